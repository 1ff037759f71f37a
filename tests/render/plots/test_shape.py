"""Maps and profiles as they are plotted: every cell and every line where its numbers are."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure

from fabricsim.fabric.mesh import DOWN, LEFT, RIGHT, UP
from fabricsim.render.basics.palette import GREY, INK, LINE
from fabricsim.render.plots.shape import MAP_BELOW, MAP_BESIDE, MAP_TALL, MAP_WIDE, pucker_map, width_profile


def grid(rows: int, columns: int, wide: float = 0.005, tall: float = 0.004) -> tuple[np.ndarray, np.ndarray]:
    """Return places and neighbours of a flat piece, row by row."""
    number = np.arange(rows * columns).reshape(rows, columns)
    next_to = np.full((rows, columns, 4), -1)
    next_to[:, 1:, LEFT], next_to[:, :-1, RIGHT] = number[:, :-1], number[:, 1:]
    next_to[1:, :, DOWN], next_to[:-1, :, UP] = number[:-1], number[1:]
    row, column = np.divmod(number.ravel(), columns)
    return np.column_stack([column * wide, row * tall]), next_to.reshape(-1, 4)


def cells(figure: Figure) -> list[np.ndarray]:
    (made,) = (one for one in figure.axes[0].collections if isinstance(one, PolyCollection))
    return [np.asarray(path.vertices) for path in made.get_paths()]


def test_every_stitch_has_a_cell_from_half_way_to_half_way() -> None:
    place, next_to = grid(3, 4)
    figure = pucker_map(place, next_to, np.linspace(-2e-3, 3e-3, 12), title="A map")
    for (x, y), cell in zip(100.0 * place, cells(figure), strict=True):
        assert (cell[:, 0].min(), cell[:, 0].max()) == pytest.approx((x - 0.25, x + 0.25))
        assert (cell[:, 1].min(), cell[:, 1].max()) == pytest.approx((y - 0.2, y + 0.2))
        assert cell[0] == pytest.approx([x - 0.25, y - 0.2])
        assert cell[2] == pytest.approx([x + 0.25, y + 0.2])
    axes, bar = figure.axes
    made = axes.collections[0]
    assert np.asarray(made.get_array()) == pytest.approx(np.linspace(-2.0, 3.0, 12))
    low, high = made.get_clim()
    assert low == -high <= -3.0
    assert axes.get_xlim() == pytest.approx((-0.25, 1.75))
    assert axes.get_ylim() == pytest.approx((-0.2, 1.0))
    assert (axes.get_xlabel(), axes.get_ylabel()) == ("across, cm", "up, cm")
    assert bar.get_ylabel() == "off the smooth base, mm\n(+ towards the face)"
    assert axes.get_title(loc="left") == "A map"
    assert axes.get_aspect() == 1.0
    assert [axes.spines[side].get_visible() for side in ("top", "right", "left", "bottom")] == [
        False,
        False,
        True,
        True,
    ]


def test_cells_of_a_repeat_reach_round_its_ends() -> None:
    place, next_to = grid(2, 3)
    shift = np.zeros((6, 4, 2), dtype=int)
    for number, (row, column) in enumerate((row, column) for row in range(2) for column in range(3)):
        for direction, (at, end, other, axis, step) in {
            LEFT: (column, 0, row * 3 + 2, 0, -1), RIGHT: (column, 2, row * 3, 0, 1),
            DOWN: (row, 0, 3 + column, 1, -1), UP: (row, 1, column, 1, 1),
        }.items():  # fmt: skip
            if at == end:
                next_to[number, direction] = other
                shift[number, direction, axis] = step
    figure = pucker_map(place, next_to, np.zeros(6), period_a=np.array([0.017, 0.010]), shift_n42=shift)
    right = cells(figure)[2]
    assert right[:, 0].max() == pytest.approx(1.0 + 0.5 * 0.7)  # half way to 1.7, where the first comes again
    assert cells(figure)[0][:, 0].min() == pytest.approx(-0.35)
    assert cells(figure)[5][:, 1].max() == pytest.approx(0.4 + 0.3)


@pytest.mark.parametrize(("rows", "columns"), [(2, 12), (12, 12), (60, 4)])
def test_a_map_has_the_shape_of_its_fabric_within_reason(rows: int, columns: int) -> None:
    place, next_to = grid(rows, columns)
    wide, tall = pucker_map(place, next_to, np.zeros(rows * columns)).get_size_inches()
    wanted = (MAP_WIDE - MAP_BESIDE) * (rows * 0.004) / (columns * 0.005) + MAP_BELOW
    assert (wide, tall) == pytest.approx((MAP_WIDE, min(max(wanted, MAP_TALL[0]), MAP_TALL[1])))


def curves(axes: Axes) -> dict[str, tuple[list[float], list[float]]]:
    return {
        str(line.get_label()): (
            [float(x) for x in np.ravel(line.get_xdata())],
            [float(y) for y in np.ravel(line.get_ydata())],
        )
        for line in axes.lines
    }


def test_a_profile_shows_every_row_beside_the_plain_width() -> None:
    width = np.array([0.10, 0.09, 0.08])
    figure = width_profile(width, 0.11, low_r=width - 0.01, high_r=width + 0.005, row_word="round", title="Widths")
    axes = figure.axes[0]
    made = curves(axes)
    assert made["forecast"][0] == pytest.approx([10.0, 10.0, 9.0, 8.0, 8.0])
    assert made["forecast"][1] == [0.5, 1.0, 2.0, 3.0, 3.5]
    assert made["without floats"][0] == pytest.approx([11.0] * 5)
    (band,) = axes.collections
    corners = band.get_paths()[0].vertices
    assert (corners[:, 0].min(), corners[:, 0].max()) == pytest.approx((7.0, 10.5))
    assert (corners[:, 1].min(), corners[:, 1].max()) == (0.5, 3.5)
    assert band.get_label() == "likely range"
    assert axes.get_xlim() == pytest.approx((7.0 - 0.32, 11.0 + 0.32))  # 8 % of 4 cm
    assert axes.get_ylim() == (0.5, 3.5)
    assert (axes.get_xlabel(), axes.get_ylabel(), axes.get_title(loc="left")) == ("width, cm", "round", "Widths")
    (legend,) = figure.legends
    assert [text.get_text() for text in legend.get_texts()] == ["likely range", "without floats", "forecast"]
    colours = {str(line.get_label()): line.get_color() for line in axes.lines}
    assert colours == {"forecast": LINE, "without floats": GREY}
    assert axes.title is not None
    assert axes.xaxis.label.get_color() == GREY
    assert figure.axes[0]._left_title.get_color() == INK  # type: ignore[attr-defined]


def test_a_profile_without_a_band_has_room_of_its_own() -> None:
    plain = width_profile(np.array([0.1]), 0.1)
    assert plain.axes[0].get_xlim() == pytest.approx((9.8, 10.2))  # 2 % of the width
    assert curves(plain.axes[0])["forecast"][1] == [0.5, 1.0, 1.5]
    same = np.array([0.1])
    assert not width_profile(same, 0.1, low_r=same, high_r=same).axes[0].collections


def test_a_profile_has_room_for_fabric_that_is_wider_than_without_floats() -> None:
    axes = width_profile(np.array([0.15, 0.12]), 0.10).axes[0]
    assert axes.get_xlim() == pytest.approx((10.0 - 0.40, 15.0 + 0.40))  # 8 % of 5 cm
