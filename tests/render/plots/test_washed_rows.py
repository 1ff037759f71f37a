"""Widths row by row, before and after the wash."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.render.plots.shape import LEAST_SPARE, SPARE
from fabricsim.render.plots.washed_rows import washed_rows

BEFORE, WASHED, PLAIN, FOLLOWS = (np.array(a) for a in ([0.50, 0.48], [0.49, 0.46], [0.66, 0.66], [0.50, 0.47]))


def test_every_curve_is_its_own_row_by_row_in_cm() -> None:
    figure = washed_rows(BEFORE, WASHED, PLAIN, FOLLOWS, row_word="round", first_row=3)
    (axes,) = figure.axes
    drawn = {str(line.get_label()): line for line in axes.lines}
    told = {"off the needles": BEFORE, "washed": WASHED, "plain fabric, washed": PLAIN}
    for label, width_r in {**told, "as far as floats let it": FOLLOWS}.items():
        first, last = 100.0 * width_r
        assert np.asarray(drawn[label].get_xdata()) == pytest.approx([first, first, last, last])
        assert np.asarray(drawn[label].get_ydata()) == pytest.approx([2.5, 3.0, 4.0, 4.5])
    assert (axes.get_xlabel(), axes.get_ylabel()) == ("width, cm", "round")
    assert axes.get_ylim() == pytest.approx((2.5, 4.5))
    assert axes.get_xlim() == pytest.approx((46.0 - SPARE * 20.0, 66.0 + SPARE * 20.0))
    assert not axes.collections


def test_pins_give_a_band_from_them_to_where_it_comes_to_rest() -> None:
    pinned_r = np.array([0.47, 0.70])  # one row narrower than it is washed, one wider
    (axes,) = washed_rows(BEFORE, WASHED, PLAIN, FOLLOWS, pinned_r=pinned_r).axes
    (band,) = axes.collections
    corners = {(round(float(x), 6), round(float(y), 6)) for x, y in band.get_paths()[0].vertices}
    assert {(47.0, 0.5), (49.0, 0.5), (46.0, 2.5), (70.0, 2.5)} <= corners
    assert axes.get_xlim()[1] == pytest.approx(70.0 + SPARE * 24.0)


def test_rows_all_alike_still_have_room_beside_them() -> None:
    alike = np.full(3, 0.4)
    (axes,) = washed_rows(alike, alike, alike, alike).axes
    assert axes.get_ylabel() == "row"
    assert axes.get_xlim() == pytest.approx((40.0 - LEAST_SPARE * 40.0, 40.0 + LEAST_SPARE * 40.0))
