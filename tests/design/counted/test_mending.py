"""Changes of a chart that break floats, against trying every change of a single stitch."""

from __future__ import annotations

import random

import pytest

from fabricsim.design.counted.edits import changed
from fabricsim.design.counted.mending import MOST_TRIED, Mended, mend, mending_of
from fabricsim.design.floats.found import faults, floats
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
    assert found.symmetric
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
    found = mending_of(scene(rows=["A........."] * rows, across=2, floats={"longest_gap": 5}))
    assert len(found.mended) == MOST_TRIED
    assert (found.stopped, bool(found.left)) == (stopped, stopped)
