"""Increases and decreases spread evenly, held against counting and against following the words."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from fabricsim.design.scene.made import even_groups
from fabricsim.design.sizes.spread import can_spread, spread
from tests.support.following import follow

counts = st.integers(1, 400)


@pytest.mark.parametrize(
    ("before", "after", "flat", "words"),
    [
        # common practice: floor(i n/k) - floor((i - 1) n/k)
        (100, 112, False, "*(k8, m1) twice, k9, m1; rep from * to end. [112 sts]"),
        (76, 75, False, "k74, k2tog. [75 sts]"),
        (80, 70, True, "k3, k2tog, *k6, k2tog; rep from * 8 more times, k3. [70 sts]"),
        (76, 89, False, "k5, m1, (k6, m1) 5 times, k5, m1, (k6, m1) 6 times. [89 sts]"),
        (40, 44, True, "k5, m1, *k10, m1; rep from * 2 more times, k5. [44 sts]"),
        (20, 10, False, "*k2tog; rep from * to end. [10 sts]"),
        (96, 96, False, "k96. [96 sts]"),
    ],
)
def test_as_patterns_say_it(before: int, after: int, flat: bool, words: str) -> None:
    assert spread(before, after, flat=flat).words() == words


@given(counts, counts, st.booleans())
def test_following_the_words_leads_from_the_one_count_to_the_other(before: int, after: int, flat: bool) -> None:
    assume(can_spread(before, after))
    one = spread(before, after, flat=flat)
    assert follow(one.words()) == (before, after)
    assert sum(one.groups) + one.tail == before
    assert len(one.plain) == abs(after - before)


@given(counts, counts)
def test_in_the_round_groups_differ_by_one_at_most(before: int, after: int) -> None:
    assume(can_spread(before, after) and before != after)
    one = spread(before, after)
    assert max(one.groups) - min(one.groups) <= 1
    assert one.tail == 0
    assert min(one.plain) >= 0


@given(counts, counts)
def test_flat_half_a_group_is_left_at_each_edge(before: int, after: int) -> None:
    assume(can_spread(before, after) and before != after)
    one, in_the_round = spread(before, after, flat=True), spread(before, after)
    assert 0 <= one.tail - one.plain[0] <= 1
    assert (*one.plain[1:], one.plain[0] + one.tail) == in_the_round.plain


@given(st.integers(1, 500), st.integers(1, 100))
def test_groups_run_evenly(stitches: int, k: int) -> None:
    groups, gone = even_groups(stitches, k), 0
    for number, group in enumerate(groups, start=1):
        gone += group
        assert 0 <= number * stitches - k * gone < k  # never a whole stitch behind, never ahead


@pytest.mark.parametrize(("before", "after"), [(10, 21), (21, 10), (0, 0)])
def test_more_than_one_round_is_refused(before: int, after: int) -> None:
    with pytest.raises(ValueError, match="more than one round"):
        spread(before, after)
