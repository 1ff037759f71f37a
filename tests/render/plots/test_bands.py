"""How wide a piece lies row by row, with its bands, as it is drawn."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.collections import PolyCollection
from matplotlib.colors import to_rgba

from fabricsim.render.basics.palette import BAND, GREY, HAIR, LINE
from fabricsim.render.plots.bands import AFTER, DASHES, BandShown, WidthLine, bands_figure

NOW = WidthLine("as it is", np.array([0.50, 0.46, 0.46, 0.50, 0.44, 0.46]))
WAYS = [WidthLine(f"way {number}", NOW.width_i + 0.001 * number) for number in range(1, 6)]
BANDS = [BandShown("leaves", (1, 2, 5)), BandShown("rings", (4,))]


def test_lines_lie_where_rows_are_and_the_way_it_is_stands_out() -> None:
    (axes,) = bands_figure([NOW, *WAYS], BANDS, 0.51, row_word="round", title="Two bands").axes
    plain, now, *ways = axes.lines
    assert list(plain.get_xdata()) == pytest.approx([51.0, 51.0])
    assert (plain.get_label(), plain.get_color()) == ("without floats", GREY)
    for line, shown in zip((now, *ways), (NOW, *WAYS), strict=True):
        assert line.get_label() == shown.name
        np.testing.assert_allclose(line.get_xdata(), 100.0 * shown.width_i)
        assert list(line.get_ydata()) == [1, 2, 3, 4, 5, 6]
    assert (now.get_color(), now.get_linestyle()) == (LINE, "-")
    assert [one.get_color() for one in ways] == [*AFTER, AFTER[0]]
    assert len(DASHES) == len(AFTER)
    assert [one.get_linestyle() for one in ways] == ["-", "--", "--", "--", "-"]
    assert now.get_linewidth() > max(one.get_linewidth() for one in ways)
    assert axes.get_ylim() == (0.5, 6.5)
    assert (axes.get_ylabel(), axes.get_xlabel()) == ("round", "width, cm")
    assert axes.get_title() == "Two bands" or axes.get_title("left") == "Two bands"


def test_every_run_of_rows_of_a_band_is_shaded_and_named() -> None:
    figure = bands_figure([NOW], BANDS, 0.51)
    (axes,) = figure.axes
    shades = [(one.get_y(), one.get_y() + one.get_height()) for one in axes.patches]
    assert shades == [(1.5, 3.5), (5.5, 6.5), (4.5, 5.5)]
    assert all(np.allclose(one.get_facecolor(), to_rgba(HAIR, 0.25)) for one in axes.patches)
    assert [(one.get_text(), one.xy) for one in axes.texts] == [
        ("leaves", (0.0, 2.5)), ("leaves", (0.0, 6.0)), ("rings", (0.0, 5.0)),
    ]  # fmt: skip
    figure.draw_without_rendering()
    inside = axes.get_window_extent()
    for one in axes.texts:
        assert 0.0 < one.get_window_extent().x0 - inside.x0 < 0.05 * inside.width
    left, right = axes.get_xlim()
    assert left < 44.0 - 0.15 * (right - left)  # room for their names
    assert axes.get_ylabel() == "row"


def test_what_is_likely_lies_behind_the_lines_and_is_named_in_the_key() -> None:
    bare = bands_figure([NOW], BANDS, 0.51)
    assert not [one for one in bare.axes[0].collections if isinstance(one, PolyCollection)]
    figure = bands_figure([NOW], BANDS, 0.51, likely=[(0.40 + 0.01 * row, 0.52) for row in range(6)])
    (shade,) = figure.axes[0].collections
    corners = shade.get_paths()[0].vertices
    for row in range(6):
        ends = corners[corners[:, 1] == row + 1, 0]
        assert (ends.min(), ends.max()) == pytest.approx((40.0 + row, 52.0))
    assert np.allclose(shade.get_facecolor(), to_rgba(BAND))
    said = [one.get_text() for one in figure.legends[0].get_texts()]
    assert said == ["likely by hand, as it is", "without floats", "as it is"]
