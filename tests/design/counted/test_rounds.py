"""Rows in the order of their knitting, what repeats in them and which are alike."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import example, given
from hypothesis import strategies as st

from fabricsim.design.counted.rounds import Line, Run, Stitch, folded, in_repeats, passages, runs_of, worked_rows
from tests.design.scenes import scene


def _runs(*pairs: tuple[int, int]) -> tuple[Run, ...]:
    return tuple(Run(yarn, stitches) for yarn, stitches in pairs)


rows_of_runs = st.lists(st.integers(0, 2), min_size=1, max_size=40).map(
    lambda yarns: runs_of([Stitch(yarn) for yarn in yarns])
)


@given(runs=rows_of_runs, times=st.integers(1, 4))
def test_folding_loses_nothing_and_is_never_longer(runs: tuple[Run, ...], times: int) -> None:
    many = runs_of([Stitch(run.yarn) for run in runs * times for _ in range(run.stitches)])
    line = folded(many, len(runs))
    assert line.runs == many
    written = len(line.before) + len(line.again) + len(line.after)
    assert written <= len(many)
    assert (line.times > 1) == (written < len(many))
    # a repeat of the chart is found wherever its runs come back: no more is written than two repeats, lead and end
    assert written <= 2 * len(runs)
    assert all(one.yarn != two.yarn for one, two in pairwise(line.runs))


@example(runs_of([Stitch(yarn) for yarn in (1, 1, 0, 1, 1, 0, 1, 0, 1, 0)]))  # the longest stretch is too few stitches
@given(runs=rows_of_runs)
def test_folding_finds_the_shortest_way(runs: tuple[Run, ...]) -> None:
    """Against trying every start, part and number of times."""
    stitches = sum(run.stitches for run in runs)
    shortest = min(
        (
            len(runs) - (times - 1) * part
            for part in range(1, len(runs) + 1)
            for start in range(len(runs))
            for times in range(1, len(runs) // part + 1)
            if runs[start : start + part] * times == runs[start : start + part * times]
            and (times == 1 or 2 * sum(run.stitches for run in runs[start : start + part * times]) >= stitches)
        ),
        default=len(runs),
    )
    line = folded(runs, len(runs))
    assert len(line.before) + len(line.again) + len(line.after) == shortest


def test_a_row_is_told_by_the_repeat_of_the_chart_so_that_markers_serve() -> None:
    # right to left: 2 MC, 1 CC, 1 MC; with the first of the next repeat 3 MC lie side by side, over its marker
    (row,) = worked_rows(scene(rows=[".A.."], across=4))
    assert row.line == Line((), _runs((0, 2), (1, 1), (0, 1)), 4)
    assert row.line.stitches == 16
    # a part of the repeat that makes all of it ends at every marker too
    (row,) = worked_rows(scene(rows=["A.A.A."], across=2))
    assert row.line == Line((), _runs((0, 1), (1, 1)), 6)


def test_only_what_differs_at_an_end_is_told_apart() -> None:
    made = scene(rows=["A......"], across=5, floats={"catches": [{"row": 1, "stitch": 3}]})
    (row,) = worked_rows(made)  # in the first repeat A has not come yet: nothing is caught
    assert row.line == Line(_runs((0, 6), (1, 1)), (Run(0, 6, ((3, 1),)), Run(1, 1)), 4)
    made = scene(rows=["A......"] * 3, across=5, floats={"catches": [{"row": 2, "stitch": 3, "repeat": "first"}]})
    line = worked_rows(made)[1].line
    assert line == Line((Run(0, 6, ((3, 1),)), Run(1, 1)), _runs((0, 6), (1, 1)), 4)


@given(
    st.lists(st.integers(0, 2), min_size=1, max_size=7),
    st.integers(1, 6),
    st.sets(st.tuples(st.integers(0, 41), st.integers(0, 2)), max_size=3),
    st.tuples(st.integers(0, 2), st.integers(0, 2)),
)
def test_told_in_repeats_every_stitch_and_catch_is_where_it_was(
    yarns: list[int], across: int, catches: set[tuple[int, int]], edges: tuple[int, int]
) -> None:
    row = [
        Stitch(yarn, tuple(sorted(held for at, held in catches if at == place and held != yarn)))
        for place, yarn in enumerate(yarns * across)
    ]
    before, after = [Stitch(row[0].yarn)] * edges[0], [Stitch(row[-1].yarn)] * edges[1]
    line = in_repeats(before, row, after, len(yarns))
    if line is None:
        return
    told = [
        Stitch(run.yarn, tuple(sorted(held for at, held in run.caught if at == place)))
        for run in line.runs
        for place in range(1, run.stitches + 1)
    ]
    assert told == [*before, *row, *after]
    apart = sum(run.stitches for run in line.before) - edges[0]
    assert apart in (0, len(yarns))  # a marker begins every repeat
    assert len(yarns) % sum(run.stitches for run in line.again) == 0


def test_a_repeat_that_begins_and_ends_differently_needs_no_lead() -> None:
    (row,) = worked_rows(scene(rows=["A..."], across=24))
    assert row.line == Line((), _runs((0, 3), (1, 1)), 24)


def test_flat_wrong_side_rows_are_read_from_the_left() -> None:
    first, second = worked_rows(scene(rows=["AA.", "AA."], worked="flat"))
    assert (first.wrong_side, first.line.runs) == (False, _runs((0, 1), (1, 2)))
    assert (second.wrong_side, second.line.runs) == (True, _runs((1, 2), (0, 1)))


def test_a_catch_is_told_where_it_holds_a_float_and_not_before_the_yarn_is_there() -> None:
    made = scene(rows=["A......"], across=2, floats={"catches": [{"row": 1, "stitch": 3}]})
    (row,) = worked_rows(made)
    # 6 MC, then A joins; behind the third MC of the second repeat it passes and is caught
    assert row.line.runs == (Run(0, 6), Run(1, 1), Run(0, 6, ((3, 1),)), Run(1, 1))


def test_rows_alike_are_told_at_once_and_repeats_of_the_chart_named_so() -> None:
    made = scene(rows=["A..", ".A.", ".A."], up=3, plain_below=2, plain_above=1)
    told = [([one.row for one in each.rows], each.like) for each in passages(made, worked_rows(made))]
    assert told == [([0, 1], None), ([2, 3], None), ([4], None), ([5, 6, 7], 2), ([8, 9, 10], 2), ([11], None)]


def test_flat_repeats_of_an_odd_number_of_rows_change_sides() -> None:
    made = scene(rows=["A..", ".A.", ".A."], up=3, worked="flat")
    told = [([one.row for one in each.rows], each.like) for each in passages(made, worked_rows(made))]
    # the second repeat begins with a wrong-side row, the third is worked as the first
    assert told == [*(([row], None) for row in range(6)), ([6, 7, 8], 0)]


def test_rows_that_read_alike_both_ways_are_not_alike_if_one_is_purled() -> None:
    made = scene(rows=[".A.", "A.A", ".A."], up=2, worked="flat")
    assert [one.like for one in passages(made, worked_rows(made))] == [None] * 6


def test_plain_rows_are_told_at_once_on_both_sides() -> None:
    made = scene(rows=["...", "..."], up=2, plain_above=3, worked="flat")
    assert [len(each.rows) for each in passages(made, worked_rows(made))] == [7]
