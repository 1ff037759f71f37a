"""Changes of a chart that break floats, against trying every change of a single stitch."""

from __future__ import annotations

import random
from itertools import pairwise, product

import pytest

from fabricsim.design.counted.edits import changed
from fabricsim.design.counted.mending import MOST_TRIED, Mended, mend, mending_of
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.of_scene import floats
from fabricsim.design.rows.squares import Hold, Layout, Passed, floats_behind
from fabricsim.design.scene.chart import Rows
from tests.design.scenes import scene

PLAIN = Layout(flat=False, across=3, up=1, plain_below=1, plain_above=1, plain=0)


def over(chart_ij: Rows, layout: Layout, most: int) -> set[Passed]:
    return {one for one in floats_behind(chart_ij, layout) if len(one.squares) > most}


def some_chart(number: int) -> tuple[Rows, Layout, int]:
    """Return one of endlessly many small charts, its layout and how far a float may go."""
    dice = random.Random(number)
    yarns, rows, stitches = dice.choice([2, 2, 3]), dice.randint(1, 3), dice.randint(4, 9)
    weights = [6, 1, 1][:yarns]
    chart = tuple(tuple(dice.choices(range(yarns), weights, k=stitches)) for _ in range(rows))
    flat, across, up, below, above = dice.random() < 0.4, dice.randint(1, 2), *(dice.randint(0, 1) for _ in range(3))
    layout = Layout(flat, across, 1 + up, below, above, dice.randrange(yarns))
    return chart, layout, dice.randint(1, 4)


@pytest.mark.parametrize("hundred", range(3))
def test_where_one_stitch_will_do_one_is_changed_and_never_a_useless_one(hundred: int) -> None:
    """Against every stitch of the chart in every other yarn: 300 charts, of which the floats are broken one by one."""
    tried = 0
    for number in range(100 * hundred, 100 * hundred + 100):
        chart, layout, most = some_chart(number)
        found = mend(chart, layout, most)
        now = chart
        for one in found.mended:
            before = over(now, layout, most)
            yarns = {yarn for row in now for yarn in row}
            single = {
                ((row, column), yarn)
                for row in range(len(now))
                for column in range(len(now[0]))
                for yarn in yarns - {now[row][column]}
                if over(changed(now, (((row, column), yarn),)), layout, most) <= before - {one.float}
            }
            smallest = one.alone or one.edit
            assert (len(smallest) == 1) == bool(single)
            if len(smallest) == 1:
                assert smallest[0] in single
            now = changed(now, one.edit)
            after = over(now, layout, most)
            assert one.float not in after
            assert after < before  # none new
            assert one.broken == len(before) - len(after)
            tried += 1
        assert now == found.after
        assert over(now, layout, most) == set(found.left)
    assert tried > 60


@pytest.mark.parametrize("number", range(40))
def test_a_chart_that_is_its_own_mirror_image_stays_so(number: int) -> None:
    dice = random.Random(number)
    half = [dice.choices([0, 1], [5, 1], k=dice.randint(4, 6))]
    chart = tuple(tuple(row + row[::-1]) for row in half)
    found = mend(chart, PLAIN, 3)
    assert "left to right" in found.symmetric
    if all(len(one.edit) > 1 or one.alone is None for one in found.mended) and not found.left:
        row = found.after[0]
        assert any(all(row[c] == row[(axis - c) % len(row)] for c in range(len(row))) for axis in range(len(row)))


def test_a_pair_keeps_the_mirror_image_and_one_alone_is_named_beside_it() -> None:
    # two gaps of 5 left and right of a lone stitch; about the middle both are broken by a pair
    chart = ((1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 1),)
    found = mend(chart, PLAIN._replace(flat=True, across=1), 4)
    assert found.mended == (
        Mended(
            float=Passed(1, tuple((0, column) for column in range(11, 6, -1)), ("every",) * 5),
            edit=(((0, 3), 1), ((0, 9), 1)),
            alone=(((0, 9), 1),),
            broken=2,
            catches=1,
        ),
    )
    assert found.after == ((1, 0, 0, 1, 0, 0, 1, 0, 0, 1, 0, 0, 1),)
    assert found.changed_rows == [0]


def test_long_gaps_get_as_many_stitches_as_they_need_evenly() -> None:
    chart = ((1, *[0] * 14, 1),)
    found = mend(chart, PLAIN._replace(flat=True, across=1), 4)
    assert found.after == ((1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1),)
    assert (len(found.mended), found.mended[0].catches) == (1, 2)


def test_a_scene_s_piece_has_none_over_afterwards_and_its_listed_catches_stay() -> None:
    made = scene(["A.........", "..........", "A....A...."], across=3, plain_below=2, floats={"longest_gap": 4})
    found = mending_of(made)
    symbols = [["".join(".A"[yarn] for yarn in row)] for row in reversed(found.after)]
    mended = scene([row[0] for row in symbols], across=3, plain_below=2, floats={"longest_gap": 4})
    assert faults(floats(made), made.limits)
    assert not faults(floats(mended), mended.limits)
    caught = scene(["A........."], across=3, floats={"longest_gap": 4, "catches": [{"row": 1, "stitch": 5}]})
    assert mending_of(caught).mended == ()
    planned = scene(["A........."], across=3, floats={"longest_gap": 4, "catches": "planned"})
    assert mending_of(planned).mended != ()  # in place of them


def test_a_float_that_comes_from_a_plain_row_too_is_not_broken_by_the_last_stitch_of_the_chart() -> None:
    """From the top of one chart to the next above, and from the plain round below the first: the same squares. All of
    them hold catches of the other yarn, so that only its ends could change."""
    chart = ((0, 0, 1, 1, 1, 1, 1), (0, 1, 1, 1, 1, 1, 1))
    passed = Passed(0, tuple((0, column) for column in range(6, 1, -1)), ("every",) * 5)
    caught = frozenset(Hold(0, column, 1) for column in range(2, 7))
    found = mend(chart, Layout(flat=False, across=1, up=2, plain_below=1, plain_above=0, plain=0), 3, caught)
    assert passed in found.left
    assert all(one.float != passed for one in found.mended)


def test_where_no_float_may_be_open_nothing_is_tried() -> None:
    assert mend(((0, 1, 0, 1),), PLAIN, 0).mended == ()


@pytest.mark.parametrize(("rows", "stopped"), [(MOST_TRIED, False), (MOST_TRIED + 1, True)])
def test_so_many_floats_are_looked_at_and_no_more(rows: int, stopped: bool) -> None:
    """One float a row; every one that is looked at is mended."""
    lines = ["A.A.......", *["A........."] * (rows - 1)]  # not the same upside down, where one change mends two rows
    found = mending_of(scene(rows=lines, across=2, floats={"longest_gap": 5}))
    assert len(found.mended) == MOST_TRIED
    assert (found.stopped, bool(found.left)) == (stopped, stopped)


def on_itself(chart: Rows, kind: str, up: bool) -> bool:
    """Try every way to lay a chart on itself, square by square."""
    rows, wide = len(chart), len(chart[0])

    def same(rows_to: int | None, columns_to: int | None) -> bool:
        for row, column in product(range(rows), range(wide)):
            there = row if rows_to is None else rows_to - row
            across = column if columns_to is None else (columns_to - column) % wide
            if up:
                there %= rows
            if not 0 <= there < rows:
                if len(set(chart[row])) > 1:
                    return False
            elif chart[there][across] != chart[row][column]:
                return False
        return True

    rows_to = range(rows) if up else range(2 * rows - 1)
    if kind == "left to right":
        return any(same(None, column) for column in range(wide))
    if kind == "top to bottom":
        return any(same(row, None) for row in rows_to)
    return any(same(row, column) for row in rows_to for column in range(wide))


@pytest.mark.parametrize("number", range(60))
def test_what_lies_on_itself_any_way_still_does_where_a_change_can_keep_it(number: int) -> None:
    dice = random.Random(number)
    wide = dice.randint(4, 7)
    corner = [dice.choices([0, 1], [6, 1], k=wide) for _ in range(dice.randint(1, 3))]
    kinds = [("left to right", "top to bottom", "half-turn"), ("top to bottom",), ("half-turn",)][number % 3]
    sides = [row + row[::-1] for row in corner] if "left to right" in kinds else corner
    turned = [row[::-1] for row in sides[::-1]] if kinds == ("half-turn",) else sides[::-1]
    chart = tuple(map(tuple, sides + turned))
    layout = PLAIN._replace(up=dice.randint(1, 2))
    found = mend(chart, layout, 3)
    several = sum(len(set(row)) > 1 for row in chart) > 0
    assert set(kinds) <= set(found.symmetric) or not several
    if several and not found.left and all(one.alone is None or len(one.edit) > len(one.alone) for one in found.mended):
        kept = [kind for kind in kinds if on_itself(found.after, kind, layout.up > 1)]
        assert kept  # in every way, or in one where no change keeps all of them
        if all(len(one.edit) % 4 == 0 for one in found.mended):
            assert kept == list(kinds)


def test_a_chart_the_same_both_ways_is_mended_by_four_stitches() -> None:
    rows = ["A......A", ".A....A.", "A......A"]
    found = mend(tuple(tuple(".A".index(one) for one in row) for row in rows), PLAIN._replace(flat=True, across=1), 5)
    assert found.symmetric == ("left to right", "top to bottom", "half-turn")
    (one,) = found.mended
    assert sorted(square for square, _ in one.edit) == [(0, 3), (0, 4), (2, 3), (2, 4)]
    assert one.alone is not None
    assert len(one.alone) == 1


@pytest.mark.parametrize(("held", "beside"), [((6,), (5, 7)), ((6, 5, 7), (4, 8))])
def test_where_the_even_place_is_taken_one_near_it_is(held: tuple[int, ...], beside: tuple[int, ...]) -> None:
    """One stitch in the middle of a gap would halve it; there, and at its ends, a catch of the other yarn is listed."""
    chart = ((1, 1, *[0] * 9, 1),)
    caught = frozenset(Hold(0, column, 0) for column in (*held, 1, 11))
    found = mend(chart, PLAIN._replace(flat=True, across=1), 6, caught)
    ((((row, column), yarn),),) = (one.edit for one in found.mended)
    assert (row, yarn) == (0, 1)
    assert column in beside


def test_several_stitches_move_together_off_a_place_that_is_taken() -> None:
    """Of 13 stitches two leave 4, 4 and 3 between them in a few ways; the evenest of them is taken by a catch."""
    chart = ((1, 1, *[0] * 13, 1),)
    layout = PLAIN._replace(flat=True, across=1)
    ends = frozenset(Hold(0, column, 0) for column in (1, 15))
    (free,) = (one.edit for one in mend(chart, layout, 4, ends).mended)
    taken = ends | {Hold(0, free[0][0][1], 0)}
    (moved,) = (one.edit for one in mend(chart, layout, 4, taken).mended)
    for edit in (free, moved):
        inner = sorted(column for (_, column), _ in edit)
        assert len(inner) == 2
        places = [1, *inner, 15]
        assert max(high - low for low, high in pairwise(places)) <= 5
    assert set(free) != set(moved)
    assert free[0] not in moved
