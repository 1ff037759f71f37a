"""Floats against hand counts, and against a knitter who walks the chart stitch by stitch."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from fabricsim.design.floats.faults import FloatFault, faults
from fabricsim.design.floats.found import Closing, Float, find_floats
from fabricsim.design.floats.of_scene import floats, floats_of_chart, floats_of_repeat
from fabricsim.design.scene.items import Limits
from fabricsim.design.scene.read import scene_hash
from fabricsim.errors import InputError
from tests.design import walker
from tests.design.scenes import YARNS, everything_at, scene

WIDTH = 0.004
WALKS = {"spiral": walker.in_the_round, "row": walker.endless, "edges": walker.back_and_forth}

grids = st.tuples(st.integers(1, 5), st.integers(1, 9)).flatmap(
    lambda size: st.lists(
        st.lists(st.integers(0, 3), min_size=size[1], max_size=size[1]), min_size=size[0], max_size=size[0]
    )
)


def find(rows: list[str], closing: Closing) -> tuple[Float, ...]:
    """Find the floats of ``rows`` as printed, top row first, yarns named by digit."""
    grid_ij = np.array([[int(sign) for sign in row] for row in reversed(rows)])
    return find_floats(grid_ij, closing=closing, stitch_width=WIDTH, slack_by_yarn=[0.1, 0.2, 0.3])


def brief(found: tuple[Float, ...]) -> list[tuple[object, ...]]:
    return [(one.yarn, one.row, one.start, one.end_row, one.end, one.gap, one.kind) for one in found]


@pytest.mark.parametrize("closing", ["row", "spiral", "edges"])
@given(grid=grids)
def test_the_knitter_counts_the_same(closing: Closing, grid: list[list[int]]) -> None:
    found = find_floats(np.array(grid), closing=closing, stitch_width=WIDTH, slack_by_yarn=[0.0] * 4)
    counted = [(one.yarn, one.row, one.start, one.direction, one.gap) for one in found]
    assert sorted(counted) == sorted(WALKS[closing](grid))


@pytest.mark.parametrize("closing", ["row", "spiral", "edges"])
@given(data=st.data(), grid=grids)
def test_catches_divide_floats_and_lose_no_yarn(closing: Closing, data: st.DataObject, grid: list[list[int]]) -> None:
    grid_ij = np.array(grid)
    rows, stitches = grid_ij.shape
    caught_ij = np.array(
        data.draw(st.lists(st.lists(st.booleans(), min_size=stitches, max_size=stitches), min_size=rows, max_size=rows))
    )
    whole = find_floats(grid_ij, closing=closing, stitch_width=WIDTH, slack_by_yarn=[0.0] * 4)
    pieces = iter(
        find_floats(
            grid_ij, closing=closing, stitch_width=WIDTH, slack_by_yarn=[0.0] * 4, catches=everything_at(caught_ij, 4)
        )
    )
    for one in whole:
        # walk the whole float stitch by stitch and expect a new piece at each caught stitch
        row, column, piece = one.row, one.start, next(pieces)
        assert (piece.row, piece.start, piece.caught_start) == (row, column, False)
        walked = 0.0
        for _ in range(one.gap):
            column += one.direction
            if not 0 <= column < stitches:
                column, row = column % stitches, row + (closing == "spiral")
            if caught_ij[row, column]:
                assert (piece.end_row, piece.end, piece.caught_end) == (row, column, True)
                walked += piece.span
                piece = next(pieces)
                assert (piece.row, piece.start, piece.caught_start) == (row, column, True)
        assert (piece.end_row, piece.end, piece.caught_end) == (one.end_row, one.end, False)
        assert walked + piece.span == pytest.approx(one.span, rel=1e-12)  # rounding of sums only
        assert (piece.kind, piece.layer, piece.yarn) == (one.kind, one.layer, one.yarn)
    assert next(pieces, None) is None


def test_an_endless_row_closes_on_itself() -> None:
    # counted by hand: yarn 1 leaves column 5 going left to 2, then round the repeat's edge back to 5
    assert brief(find(["001001"], "row")) == [
        (1, 0, 5, 0, 2, 2, "inside"),
        (0, 0, 3, 0, 1, 1, "inside"),
        (1, 0, 2, 0, 5, 2, "repeat edge"),
        (0, 0, 0, 0, 4, 1, "repeat edge"),
    ]


def test_a_yarn_used_once_floats_to_its_own_next_copy() -> None:
    once = next(one for one in find(["00100"], "row") if one.yarn == 1)
    assert (once.start, once.end, once.gap, once.unrolled_end, once.crosses) == (2, 2, 4, -3, True)


def test_the_last_float_of_a_round_ends_in_the_next() -> None:
    # bottom round, right to left: 0 1 0 0 0; the next: 0 0 0 1 0
    found = find(["01000", "00010"], "spiral")
    assert brief(found) == [
        (0, 0, 4, 0, 2, 1, "inside"),
        (1, 0, 3, 1, 1, 6, "round join"),
        (0, 1, 2, 1, 0, 1, "inside"),
    ]
    assert found[1].unrolled_end == -4


def test_a_yarn_used_once_a_round_floats_nearly_once_round() -> None:
    found = [one for one in find(["00100"] * 3, "spiral") if one.yarn == 1]
    assert brief(tuple(found)) == [(1, 0, 2, 1, 2, 4, "round join"), (1, 1, 2, 2, 2, 4, "round join")]


def test_a_yarn_absent_from_the_next_round_makes_no_closing_float() -> None:
    assert [one for one in find(["00100", "00000", "00100"], "spiral") if one.yarn == 1] == []


def test_flat_rows_alternate_and_floats_end_at_the_edge_stitches() -> None:
    # row 0 goes right to left, row 1 left to right; yarn 1 is picked up at the edge stitch
    assert brief(find(["000100", "000100"], "edges")) == [
        (1, 0, 5, 0, 3, 1, "edge"),
        (0, 0, 4, 0, 2, 1, "inside"),
        (1, 0, 3, 0, 0, 2, "edge"),
        (1, 1, 0, 1, 3, 2, "edge"),
        (0, 1, 2, 1, 4, 1, "inside"),
        (1, 1, 3, 1, 5, 1, "edge"),
    ]
    assert [one.direction for one in find(["000100", "000100"], "edges")] == [-1, -1, -1, 1, 1, 1]


@pytest.mark.parametrize("closing", ["row", "spiral", "edges"])
def test_rows_of_one_colour_have_no_floats(closing: Closing) -> None:
    assert find(["111", "000"], closing) == ()


def test_three_colours_lie_in_three_layers() -> None:
    found = find(["012012"], "row")
    assert {(one.yarn, one.layer, one.gap) for one in found} == {(0, 0, 2), (1, 1, 2), (2, 2, 2)}
    assert {(one.yarn, one.layer) for one in find(["002200"], "row")} == {(0, 0), (2, 1)}


def test_span_slack_and_yarn_of_a_float() -> None:
    one = next(one for one in find(["0110"], "row") if one.yarn == 0)
    assert (one.gap, one.slack) == (2, 0.1)
    assert one.span == pytest.approx(3 * WIDTH, rel=1e-15)
    assert one.gap_width == pytest.approx(2 * WIDTH, rel=1e-15)
    assert one.yarn_length == pytest.approx(3.3 * WIDTH, rel=1e-15)


def test_limits_hold_the_gap_in_stitches_and_in_cm() -> None:
    found = find(["0111110000"], "row")  # gaps of 5 (yarn 0) and of 5 (yarn 1), 2.0 cm each
    assert [one.gap for one in found] == [5, 5]
    assert faults(found, Limits(longest_gap=5, longest_cm=2.0)) == ()
    assert faults(found, Limits(longest_gap=4, longest_cm=2.0)) == tuple(
        FloatFault(one, too_many_stitches=True, too_many_cm=False) for one in found
    )
    assert faults(found, Limits(longest_gap=5, longest_cm=1.99)) == tuple(
        FloatFault(one, too_many_stitches=False, too_many_cm=True) for one in found
    )


@pytest.mark.parametrize(("per_10_cm", "most"), [(30, 7), (22, 5), (13, 3)])
def test_two_and_a_half_cm_in_stitches_as_the_trade_counts_them(per_10_cm: float, most: int) -> None:
    # common practice: fingering 7 stitches, DK 5, bulky 3
    row = ["0" + "1" * gap for gap in (most, most + 1)]
    over = [
        faults(
            find_floats(
                np.array([[int(sign) for sign in one]]),
                closing="row",
                stitch_width=0.1 / per_10_cm,
                slack_by_yarn=[0, 0],
            ),
            Limits(longest_gap=99, longest_cm=2.5),
        )
        for one in row
    ]
    assert [len(one) for one in over] == [0, 1]


def test_the_piece_is_worked_as_the_scene_says_with_repeats_and_plain_rows() -> None:
    in_the_round = scene(rows=["A.."], across=2, plain_below=1, plain_above=1)
    assert brief(floats(in_the_round)) == [
        (0, 1, 4, 1, 2, 1, "repeat edge"),
        (1, 1, 3, 1, 0, 2, "repeat edge"),
        (0, 1, 1, 2, 5, 1, "round join"),
    ]
    assert brief(floats_of_repeat(in_the_round)) == [
        (0, 0, 1, 0, 2, 1, "repeat edge"),
        (1, 0, 0, 0, 0, 2, "repeat edge"),
    ]
    # flat, the one chart row is the second row, worked left to right; yarn 1 is held at the right edge (5)
    flat = scene(rows=["A.."], across=2, plain_below=1, plain_above=1, worked="flat")
    assert brief(floats(flat)) == [
        (1, 1, 0, 1, 3, 2, "repeat edge"),
        (0, 1, 2, 1, 4, 1, "repeat edge"),
        (1, 1, 3, 1, 5, 1, "edge"),
    ]
    assert {one.direction for one in floats(flat)} == {1}


def test_slack_of_single_yarns_and_for_all() -> None:
    made = scene(rows=["A..A..."], floats={"slack": 0.02, "slack_by_yarn": {"A": -0.03}})
    assert {(one.yarn, one.slack) for one in floats_of_repeat(made)} == {(0, 0.02), (1, -0.03)}
    assert {one.slack for one in floats_of_repeat(made, slack=-0.2)} == {-0.2}
    assert {one.slack for one in floats(made, slack=-0.1)} == {-0.1}


def test_catches_are_counted_from_the_bottom_right_and_repeat_with_the_chart() -> None:
    made = scene(
        rows=["A......", "......."],
        across=2,
        up=2,
        plain_below=1,
        floats={"catches": [{"row": 2, "stitch": 3}]},
    )
    caught = [one for one in floats(made) if one.caught_end]
    # stitch 3 of 7 is column 4; in the piece also column 11; chart row 2 is rows 2 and 4 over one plain row
    assert [(one.row, one.end) for one in caught if one.yarn == 1] == [(2, 4), (4, 4)]
    pieces = [(one.start, one.end, one.gap) for one in floats_of_repeat(made) if one.yarn == 1]
    assert pieces == [(0, 4, 2), (4, 0, 3)]


def test_floats_come_in_the_order_of_the_knitting() -> None:
    grid_ij = np.random.default_rng(3).integers(0, 3, (6, 20))
    for flat in (False, True):
        closing: Closing = "edges" if flat else "spiral"
        found = find_floats(grid_ij, closing=closing, stitch_width=WIDTH, slack_by_yarn=[0] * 3)
        for row, group in groupby(found, key=lambda one: one.row):
            starts = [one.start for one in group]
            assert starts == sorted(starts, reverse=not (flat and row % 2))
        assert [one.row for one in found] == sorted(one.row for one in found)


@pytest.mark.parametrize("worked", ["round", "flat"])
@pytest.mark.parametrize("across", [1, 2])
def test_the_strand_written_below_lies_lowest_in_every_row_and_nothing_else_changes(worked: str, across: int) -> None:
    rows, yarns = (
        ["AB.A..", "..AA..", "B.B..."],
        [*YARNS, {"symbol": "B", "name": "b", "colour": "#800000", "tex": 500}],
    )
    as_listed, below = (
        scene(rows, worked=worked, yarns=yarns, floats=floats, across=across) for floats in ({}, {"below": ["B", "A"]})
    )
    assert as_listed.strands_from_below == (0, 1, 2)
    assert below.strands_from_below == (2, 1, 0)
    for count in (floats, floats_of_repeat, floats_of_chart):
        before, after = count(as_listed), count(below)
        assert [replace(one, layer=0) for one in before] == [replace(one, layer=0) for one in after]
        lowest_first = {0: [2, 0], 1: [1, 0], 2: [2, 1, 0]}  # row 1 is the last line
        assert all(one.layer == lowest_first[one.row % 3].index(one.yarn) for one in after)
    assert scene_hash(scene(rows, yarns=yarns)) == scene_hash(scene(rows, yarns=yarns, floats={"below": []}))
    assert scene_hash(as_listed) != scene_hash(below)


@pytest.mark.parametrize(("below", "said"), [("q", "the symbol of a yarn"), (["A", "A"], "'A' twice"), (3, "below")])
def test_what_lies_below_is_a_yarn_of_the_scene_each_once(below: object, said: str) -> None:
    with pytest.raises((InputError, ValidationError), match=said):
        scene(["A..A"], floats={"below": below})
