"""Needles: sizes as sold, and as many sizes larger as make good what is lost."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.design.counted.needles import ONE_SIZE, TRADE_SIZES_MM, moved, sizes_larger, usual_needles
from fabricsim.design.counted.yarn_weights import YARN_WEIGHTS


def test_sizes_rise_in_steps_as_they_are_sold() -> None:
    assert (TRADE_SIZES_MM[0], TRADE_SIZES_MM[-1], len(TRADE_SIZES_MM)) == (2.0, 10.0, 18)
    assert {round(b - a, 2) for a, b in pairwise(TRADE_SIZES_MM)} == {0.25, 0.5, 1.0}


@pytest.mark.parametrize(
    ("now", "sizes", "then"),
    [(4.0, 1, 4.5), (4.5, -1, 4.0), (3.75, 2, 4.5), (4.2, 1, 4.5), (10.0, 1, None), (2.0, -1, None), (1.5, 1, 2.0)],
)
def test_the_needle_so_many_sizes_larger(now: float, sizes: int, then: float | None) -> None:
    assert moved(now, sizes) == then


@pytest.mark.parametrize(("lost", "sizes"), [(0.03, 0), (0.035, 1), (0.06, 1), (0.09, 2), (0.16, 3)])
def test_how_many_sizes_by_hand(lost: float, sizes: int) -> None:
    """One more widens a stitch by 5 to 8 %, so by 6.5 %."""
    assert sizes_larger(lost) == sizes


@given(st.floats(0.0, 0.3))
def test_no_other_number_of_sizes_comes_nearer_to_the_width(lost: float) -> None:
    """What is left, 1 - lost, against the same stretched by 0 to 8 sizes."""
    off = [abs((1.0 - lost) * (1.0 + ONE_SIZE * sizes) - 1.0) for sizes in range(9)]
    assert off[sizes_larger(lost)] <= min(off) + 1e-12


@pytest.mark.parametrize(
    ("stitches", "usual"), [(18.0, (4.5, 5.5)), (22.0, (3.75, 4.5)), (23.0, (3.25, 4.5)), (90.0, (1.5, 2.25))]
)
def test_usual_needles_of_a_gauge(stitches: float, usual: tuple[float, float]) -> None:
    assert usual_needles(stitches) == usual
    assert YARN_WEIGHTS[-1].needles_mm[0] == YARN_WEIGHTS[-2].needles_mm[1]  # one begins where the other ends
