"""Crowns: whole wedges all the way, counts that fall, and words that lead there."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.design.sizes.crown import FEWEST_WEDGES, MOST_WEDGES, Crown, crown_of
from tests.support.following import follow

SQUARENESS = 25.5 / 19


def crown(repeat: int, repeats: int, edges: int = 0) -> Crown:
    made = crown_of(repeat, repeats, squareness=SQUARENESS, edges=edges, flat=edges > 0)
    assert made is not None
    return made


def test_eight_wedges_of_a_repeat_each() -> None:
    """Common practice: 8 decreases every other round, the last ones closer. 96 stitches at 19 x 25.5 lie flat after
    96 x 25.5 / 19 / (2 pi) = 20.5 rounds (derived)."""
    made = crown(12, 8)
    assert (made.wedges, made.wedge, made.first) == (8, 12, None)
    assert [one.after for one in made.rounds] == [88, 80, 72, 64, 56, 48, 40, 32, 24, 16, 8]
    assert [one.number for one in made.rounds] == [3, 5, 7, 9, 11, 13, 15, 17, 19, 20, 21]
    assert made.rounds[0].words() == "*k10, k2tog; rep from * to end. [88 sts]"
    assert made.rounds[-1].words() == "*k2tog; rep from * to end. [8 sts]"


def test_as_many_wedges_as_repeats_where_that_is_near_eight() -> None:
    assert crown(15, 7).wedges == 7
    assert crown(12, 9).wedges == 9
    assert crown(8, 16).wedges == 8  # two repeats a wedge
    assert crown(24, 4).wedges == 8  # half a repeat a wedge


def test_a_chart_of_no_whole_wedges_is_decreased_first() -> None:
    made = crown(5, 17)  # 85 = 5 x 17
    assert made.first is not None
    assert (made.first.before, made.first.after, made.wedges, made.wedge) == (85, 80, 8, 10)


def test_flat_the_edge_stitches_stay_and_right_side_rows_decrease() -> None:
    made = crown(12, 8, edges=2)
    assert made.rounds[0].words() == "k1, *k10, k2tog; rep from * to last st, k1. [90 sts]"
    assert [one.number % 2 for one in made.rounds] == [1] * 11
    assert made.left == 10


@pytest.mark.parametrize(("repeat", "repeats"), [(1, 3), (13, 1), (3, 5)])
def test_too_few_stitches_for_a_crown(repeat: int, repeats: int) -> None:
    made = crown_of(repeat, repeats, squareness=SQUARENESS)
    assert made is None or made.stitches >= 2 * made.wedges


@given(st.integers(1, 40), st.integers(1, 40), st.sampled_from([0, 2, 3]))
def test_counts_fall_by_whole_wedges_to_what_can_be_drawn_together(repeat: int, repeats: int, edges: int) -> None:
    made = crown_of(repeat, repeats, squareness=SQUARENESS, edges=edges, flat=edges > 0)
    if made is None:
        assert repeat * repeats < 16
        return
    chart = repeat * repeats + edges
    assert FEWEST_WEDGES <= made.wedges <= MOST_WEDGES
    if made.first is not None:
        assert follow(made.first.words()) == (chart, made.stitches)
    else:
        assert made.stitches == chart
        pairs = [(w, repeat * repeats // w) for w in range(5, 13) if repeat * repeats % w == 0]
        fitting = [w for w, wedge in pairs if wedge > 1 and (wedge % repeat == 0 or repeat % wedge == 0)]
        assert made.wedges in fitting or not fitting
    on_the_needle = made.stitches
    for one in made.rounds:
        assert follow(one.words()) == (on_the_needle, one.after)
        assert one.after < on_the_needle
        assert (one.after - edges) % made.wedges == 0
        on_the_needle = one.after
    assert made.left == made.wedges + edges
    gaps = [b.number - a.number for a, b in pairwise(made.rounds)]
    assert gaps == sorted(gaps, reverse=True)  # closer and closer
