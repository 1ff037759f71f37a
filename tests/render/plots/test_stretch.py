"""Curves of load against stretch as they are plotted: every point where its numbers are, all at one scale."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.axes import Axes

from fabricsim.render.basics.palette import GREY, LINE
from fabricsim.render.plots.stretch import ROOM, Pulled, stretch_curves
from fabricsim.units import GRAM, GRAVITY

LOAD = np.array([0.0, 5.0, 20.0])
ACROSS = Pulled(
    "Across", LOAD, np.array([0.0, 0.03, 0.06]), np.array([0.0, 0.1, 0.2]), np.array([0.0, 0.01, 0.02]),
    np.array([0.0, 0.2, 0.3]), (0.04, 8.0),
)  # fmt: skip
UP = Pulled("Up", LOAD[:2], np.array([0.0, np.nan]))


def lines(axes: Axes) -> dict[str, tuple[list[float], list[float]]]:
    return {
        str(line.get_label()): (
            [float(x) for x in np.ravel(line.get_xdata())],
            [float(y) for y in np.ravel(line.get_ydata())],
        )
        for line in axes.lines
    }


def test_every_curve_is_where_its_numbers_are() -> None:
    figure = stretch_curves([ACROSS, UP], 0.05, "Hat band")
    across, up = figure.axes
    made = lines(across)
    assert made["with its floats"] == (pytest.approx([0.0, 3.0, 6.0]), pytest.approx([0.0, 5.0, 20.0]))
    assert made["plain fabric, without floats"] == (pytest.approx([0.0, 10.0, 20.0]), pytest.approx([0.0, 5.0, 20.0]))
    assert made["first floats go taut"] == (pytest.approx([4.0]), [8.0])
    assert list(lines(up)) == ["forecast"]
    (band,) = across.collections
    corners = band.get_paths()[0].vertices
    assert (corners[:, 0].max(), corners[:, 1].max()) == pytest.approx((30.0, 20.0))
    assert band.get_label() == "likely range"
    assert not up.collections
    for axes, title in ((across, "Across"), (up, "Up")):
        assert axes.get_title(loc="left") == title
        assert axes.get_xlabel() == "longer than at rest, %"
        assert axes.get_xlim() == pytest.approx((0.0, 30.0 * ROOM))
        assert axes.get_ylim() == pytest.approx((0.0, 20.0 * ROOM))
    assert across.get_ylabel() == "pull, N per m of width"
    assert figure.get_suptitle() == "Hat band"
    (legend,) = figure.legends
    assert [text.get_text() for text in legend.get_texts()] == [
        "likely range", "plain fabric, without floats", "with its floats", "first floats go taut", "forecast",
    ]  # fmt: skip
    assert {str(line.get_label()): line.get_color() for line in across.lines} == {
        "with its floats": LINE, "first floats go taut": LINE, "plain fabric, without floats": GREY,
    }  # fmt: skip


def test_grams_stand_beside_newtons() -> None:
    """20 N/m on a strip of 5 cm is 1 N, and that the weight of 102 g."""
    figure = stretch_curves([ACROSS], 0.05)
    figure.draw_without_rendering()
    (hung,) = figure.axes[0].child_axes
    assert hung.get_ylim() == pytest.approx((0.0, 20.0 * ROOM * 0.05 / GRAVITY / GRAM))
    assert hung.get_ylabel() == "grams hung from a strip 5 cm wide"
    assert figure.get_suptitle() == ""
    forward = hung._functions[0]  # type: ignore[attr-defined]
    back = hung._functions[1]  # type: ignore[attr-defined]
    assert forward(20.0) == pytest.approx(101.94, abs=0.01)
    assert back(forward(7.0)) == pytest.approx(7.0)
