"""Which yarns meet, which is carried below and which makes the motif."""

from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from fabricsim.design.floats.meeting import Meeting, meetings, stitches_of_yarns, with_motifs_below
from tests.design.floats.test_on_paper import scene


def only(rows: list[str], worked: str = "flat") -> dict[tuple[int, int], Meeting]:
    return {(one.one, one.other): one for one in meetings(scene(rows, worked))}


@given(st.lists(st.text("abc", min_size=4, max_size=4), min_size=1, max_size=6), st.sampled_from(["round", "flat"]))
def test_every_touching_place_is_counted_once(rows: list[str], worked: str) -> None:
    """Counted stitch by stitch: to its right neighbour, to the one above; in the round also along the spiral."""
    beside, above = Counter[str](), Counter[str]()
    knitted = rows[::-1]
    for i, row in enumerate(knitted):
        for j, yarn in enumerate(row):
            if j + 1 < 4:
                beside["".join(sorted(yarn + row[j + 1]))] += 1
            elif worked == "round" and i > 0:
                beside["".join(sorted(yarn + knitted[i - 1][0]))] += 1
            if i + 1 < len(knitted):
                above["".join(sorted(yarn + knitted[i + 1][j]))] += 1
    found = {"abc"[one.one] + "abc"[one.other]: (one.beside, one.above) for one in meetings(scene(rows, worked))}
    pairs = {pair for pair in beside | above if pair[0] != pair[1]}
    assert found == {pair: (beside[pair], above[pair]) for pair in pairs}


def test_the_yarn_with_fewer_stitches_where_both_are_used_makes_the_motif() -> None:
    # the plain rows of b would outvote it
    assert only(["bbbbbb", "bbbbbb", "abaaab", "aabaaa"])[0, 1].motif == 1
    assert only(["ababab"])[0, 1].motif is None
    assert only(["abbbbb"])[0, 1].motif == 0


def test_of_two_yarns_the_first_is_carried_below() -> None:
    assert only(["aabaa"])[0, 1].below == 0
    assert only(["ccbcc"])[1, 2].below == 1
    three = only(["abcab"])
    assert (three[0, 1].below, three[1, 2].below) == (0, None)
    assert only(["abcabc", "bbcccb"])[1, 2].below == 1  # alone together in one row


def test_yarns_that_share_no_row_are_not_carried_behind_each_other() -> None:
    one = only(["aaaa", "bbbb"])[0, 1]
    assert (one.beside, one.above, one.together, one.below, one.motif) == (0, 4, 0, None, None)


def test_one_yarn_meets_nobody() -> None:
    assert meetings(scene(["aaaa"])) == ()
    assert stitches_of_yarns([(0, 2, 2), (0, 0, 2)], 4) == (3, 0, 3, 0)


@given(st.permutations(range(4)), st.sets(st.sampled_from([(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)])))
def test_every_motif_comes_to_lie_below_its_ground(order: list[int], pairs: set[tuple[int, int]]) -> None:
    """The motif of every pair the yarn of the higher number, so that there is no ring of motifs."""
    found = [Meeting(one, other, 1, 1, 1, 9, 1, None) for one, other in pairs]
    best = with_motifs_below(order, found)
    assert sorted(best) == [0, 1, 2, 3]
    assert all(best.index(other) < best.index(one) for one, other in pairs)
    if all(order.index(other) < order.index(one) for one, other in pairs):
        assert best == tuple(order)  # good as it is


def test_motifs_in_a_ring_still_leave_every_yarn_its_place() -> None:
    ring = [Meeting(0, 1, 1, 1, 1, 1, 9, None), Meeting(1, 2, 1, 1, 1, 1, 9, None), Meeting(0, 2, 1, 1, 1, 9, 1, None)]
    assert with_motifs_below((2, 1, 0), ring) == (2, 0, 1)
