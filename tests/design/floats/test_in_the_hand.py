"""Slack in the hand, against worked figures of the trade."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.design.floats.in_the_hand import corner_share, extra_yarn, inside_out_gain, sag, spread_to
from fabricsim.render.yarn.float_path import end_slope
from fabricsim.units import CM, MM


@pytest.mark.parametrize(("girth_cm", "percent"), [(20, 9), (50, 4), (100, 2)])
def test_work_inside_out_gains_9_4_and_2_per_cent(girth_cm: float, percent: int) -> None:
    # derived figures of the trade, for fabric 3 mm thick
    assert round(100 * inside_out_gain(3 * MM, girth_cm * CM)) == percent


def test_corners_leave_half_on_three_needles_and_71_per_cent_on_four() -> None:
    assert corner_share(3) == pytest.approx(0.5, abs=1e-12)
    assert corner_share(4) == pytest.approx(np.sqrt(0.5), rel=1e-12)
    # the corner itself: two equal legs along the needles of a polygon, and the line across
    for needles in (3, 4, 5, 7):
        half = 0.5 * np.pi * (1.0 - 2.0 / needles)
        assert corner_share(needles) == pytest.approx(np.sin(half), rel=1e-12)


def test_a_float_of_two_and_a_half_cm_at_10_per_cent_hangs_half_a_cm() -> None:
    assert sag(2.5 * CM, 0.10) == pytest.approx(0.48 * CM, abs=0.005 * CM)
    # against the exact parabola: the shallow one is a little too shallow there
    assert sag(1.0, 0.10) == pytest.approx(0.25 * float(end_slope(np.array(0.10))), rel=0.05)
    assert sag(1.0, -0.1) == 0.0


def test_spread_stitches_give_the_float_its_yarn() -> None:
    assert spread_to(4, 5 * MM, 0.10) == pytest.approx(22 * MM, rel=1e-12)
    assert extra_yarn(20 * MM, 0.10) == pytest.approx(2 * MM, rel=1e-12)
