"""Planned catches: enough, as few as can be, even, and never stacked where it can be helped."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.design.catches import plan as planning
from fabricsim.design.catches.costs import Ground, costs, placing_cost
from fabricsim.design.catches.plan import (
    CatchPlan,
    catches_of,
    choices_along,
    held_in_piece,
    plan_catches,
    plan_of,
    with_catches,
)
from fabricsim.design.catches.solver import intervals
from fabricsim.design.counted.rounds import worked_rows
from fabricsim.design.floats.caught import caught_stitches, turns, very_long
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.found import find_floats
from fabricsim.design.floats.of_scene import floats, floats_of_repeat
from fabricsim.design.floats.on_paper import charted_piece
from fabricsim.design.rows.squares import EVERY_STRAND, Hold, Layout, Repeat, Square, floats_behind, layout_of
from fabricsim.design.scene.model import Scene
from tests.design.scenes import YARNS, scene, scene_table
from tests.design.walker import caught_in_the_round

ROUND = Layout(flat=False, across=2, up=1, plain_below=0, plain_above=0, plain=0)
FLAT = ROUND._replace(flat=True, across=1)
LIGHT = (95.0, 20.0, 55.0)
THREE = (*YARNS, {"symbol": "B", "name": "rust", "colour": "#8a3b12", "tex": 500})

Chart = tuple[tuple[int, ...], ...]

layouts = st.builds(
    Layout,
    flat=st.booleans(),
    across=st.integers(1, 2),
    up=st.integers(1, 2),
    plain_below=st.integers(0, 1),
    plain_above=st.integers(0, 1),
    plain=st.integers(0, 1),
    steek=st.none(),
)


def chart_of(seed: int, rows: int, stitches: int, yarns: int = 2) -> Chart:
    """Return a chart of stitches of yarn 0 with few of the others, so that gaps are long."""
    rng = np.random.default_rng(seed)
    share = rng.uniform(0.1, 0.6)
    grid_ij = np.where(rng.random((rows, stitches)) < share, rng.integers(1, yarns, (rows, stitches)), 0)
    return tuple(map(tuple, grid_ij.tolist()))


def some(seed: int, rows: int, stitches: int, number: int) -> frozenset[Hold]:
    rng = np.random.default_rng(seed)
    squares = [(int(rng.integers(rows)), int(rng.integers(stitches))) for _ in range(number)]
    return frozenset(Hold(*square, EVERY_STRAND) for square in squares)


def squares_of(plan: CatchPlan) -> list[Square]:
    return sorted(hold.square for hold in plan.planned)


def chosen_of(holds: Sequence[Hold], ground: Ground, made: int) -> Iterator[frozenset[Hold]]:
    """Yield every choice of ``holds`` that are made so often."""
    if made == 0:
        yield frozenset()
    for number, hold in enumerate(holds):
        if ground.made(hold) <= made:
            for others in chosen_of(holds[number + 1 :], ground, made - ground.made(hold)):
                yield others | {hold}


def enough_of(stretches: Sequence[frozenset[Hold]], ground: Ground, made: int) -> set[frozenset[Hold]]:
    """Return every choice, made so often at most, of which each stretch has one and no part would do: whichever of its
    catches the first stretch without one gets, and so on."""
    found: set[frozenset[Hold]] = set()

    def choose(chosen: frozenset[Hold], left: int) -> None:
        bare = next((stretch for stretch in stretches if not stretch & chosen), None)
        if bare is None:
            found.add(chosen)
            return
        for hold in bare:
            if ground.made(hold) <= left:
                choose(chosen | {hold}, left - ground.made(hold))

    choose(frozenset(), made)
    return found


def brute(chart: Chart, layout: Layout, most: int, listed: frozenset[Hold]) -> tuple[int, int, float]:
    """Return the fewest catches, of those the fewest stacked or side by side, of those the least cost, trying every
    choice."""
    ground = Ground(len(chart), len(chart[0]), layout)
    cut = dict.fromkeys(run for one in floats_behind(chart, layout) for run in one.open_parts(listed))
    runs = [run for run in cut if len(run.squares) > most]
    cost_of = costs(chart, choices_along(runs), most, LIGHT, layout)
    stretches = [
        frozenset(hold for step in range(start, start + most + 1) for hold in run.choices(step) if hold in cost_of)
        for run in runs
        for start in range(len(run.squares) - most)
    ]
    for made in range(sum(map(ground.made, cost_of)) + 1):
        good = enough_of(stretches, ground, made)
        if good:
            assert {sum(map(ground.made, chosen)) for chosen in good} == {made}
            return min(
                (made, clashing(chosen | listed, ground), placing_cost(chosen, listed, cost_of, ground))
                for chosen in good
            )
    raise AssertionError


def clashing(holds: frozenset[Hold], ground: Ground) -> int:
    """Return how many lie on or beside another, seen on a piece of paper with all repeats on it."""
    across, up = ground.layout.across, ground.layout.up
    repeats = {"every": range(across), "first": [across - 1], "last": [0]}
    at = [
        (hold, hold.row + above * ground.rows, hold.column + number * ground.stitches)
        for hold in holds
        for above in range(up)
        for number in repeats[hold.repeat]
    ]
    return len(
        {
            (one, other)
            for one, row, column in at
            for other, row_2, column_2 in at
            if (row_2 - row, column_2 - column) in ((1, 0), (0, -1))
        }
    )


def by_hand(plan: CatchPlan, chart: Chart, layout: Layout) -> tuple[int, int, float]:
    ground = Ground(len(chart), len(chart[0]), layout)
    return sum(map(ground.made, plan.planned)), clashing(plan.caught, ground), plan.cost


# ---- nothing too long is left --------------------------------------------------------------------


@given(
    rows=st.integers(1, 6),
    stitches=st.integers(2, 24),
    yarns=st.integers(2, 4),
    most=st.integers(0, 7),
    layout=layouts,
    number=st.integers(0, 4),
    seed=st.integers(0, 10**6),
)
def test_no_float_over_the_limit_is_left_or_it_is_named(
    rows: int, stitches: int, yarns: int, most: int, layout: Layout, number: int, seed: int
) -> None:
    chart, listed = chart_of(seed, rows, stitches, yarns), some(seed, rows, stitches, number)
    plan = plan_catches(chart, layout, most, listed, (*LIGHT, 70.0))
    assert plan.listed == listed
    assert not plan.planned & listed
    open_left = {run for one in floats_behind(chart, layout) for run in one.open_parts(plan.caught)}
    too_long = {run for run in open_left if len(run.squares) > most}
    assert too_long == set(plan.left_open)
    assert not too_long or (most == 0 and not plan.planned)
    open_before = {run for one in floats_behind(chart, layout) for run in one.open_parts(listed)}
    if all(len(run.squares) <= most for run in open_before):
        assert not plan.planned  # nothing is caught that need not be


@given(
    rows=st.integers(1, 4),
    stitches=st.integers(2, 16),
    most=st.integers(1, 6),
    worked=st.sampled_from(["round", "flat"]),
    across=st.integers(1, 3),
    up=st.integers(1, 3),
    plain=st.tuples(st.integers(0, 2), st.integers(0, 2)),
    seed=st.integers(0, 10**6),
)
def test_the_piece_as_it_is_worked_has_none_either(
    rows: int, stitches: int, most: int, worked: str, across: int, up: int, plain: tuple[int, int], seed: int
) -> None:
    """Counted by the other code, on all of the piece: the joins of rounds, of repeats, and the edges."""
    lines = ["".join(".AB"[yarn] for yarn in row) for row in reversed(chart_of(seed, rows, stitches, 3))]
    limits = {"longest_gap": most, "longest_cm": 99.0, "catches": "planned"}
    planned = scene(
        lines, yarns=THREE, worked=worked, floats=limits, across=across, up=up, plain_below=plain[0],
        plain_above=plain[1],
    )  # fmt: skip
    assert not faults(floats(planned), planned.limits)
    if across > 1:
        assert not faults(floats_of_repeat(planned), planned.limits)


@pytest.mark.parametrize(("gap", "most"), [(6, 5), (7, 5), (10, 5), (11, 5), (12, 5), (17, 5), (18, 5), (9, 3), (5, 2)])
def test_a_lone_gap_gets_as_few_as_keep_it_and_even_ones(gap: int, most: int) -> None:
    """k catches leave gap - k stitches in k + 1 stretches: k = floor(gap / (most + 1)), at most the trade's
    ceil(gap / most) - 1, in which a caught stitch counts as open (derived)."""
    row = (0, *[1] * gap, 0)
    plan = plan_catches((row,), FLAT, most, frozenset(), LIGHT)
    assert len(plan.planned) == gap // (most + 1) <= -(-gap // most) - 1
    columns = [column for _, column in squares_of(plan)]
    open_k = np.diff([0, *columns, gap + 1]) - 1
    assert open_k.max() <= most
    assert np.ptp(open_k) <= 1


@given(gap=st.integers(1, 40), most=st.integers(1, 9))
def test_the_places_of_each_catch_are_those_of_all_plans(gap: int, most: int) -> None:
    number = gap // (most + 1)
    if not number or number > 3:
        return
    good = [
        places for places in combinations(range(1, gap + 1), number) if max(np.diff([0, *places, gap + 1])) <= most + 1
    ]
    for nth, steps in enumerate(intervals(gap, most)):
        assert set(steps) == {places[nth] for places in good}


# ---- as it is knitted ----------------------------------------------------------------------------


def in_the_round(seed: int, rows: int, stitches: int, yarns: int, most: int, across: int, up: int) -> Scene:
    lines = ["".join(".AB"[yarn] for yarn in row) for row in reversed(chart_of(seed, rows, stitches, yarns))]
    rules = {"longest_gap": most, "longest_cm": 99.0, "catches": "planned"}
    return scene(lines, yarns=THREE, floats=rules, across=across, up=up, plain_below=seed % 2, plain_above=seed % 3 % 2)


def told_in_rounds(read: Scene) -> set[tuple[int, int, int]]:
    """Return the catches that the rows in words tell, by row and column of the piece and yarn."""
    told = set()
    for one in worked_rows(read):
        column = one.line.stitches
        for run in one.line.runs:
            told |= {(one.row, column - at, yarn) for at, yarn in run.caught}
            column -= run.stitches
    return told


@given(
    rows=st.integers(1, 4),
    stitches=st.integers(2, 16),
    yarns=st.integers(2, 3),
    most=st.integers(1, 6),
    across=st.integers(1, 3),
    up=st.integers(1, 3),
    seed=st.integers(0, 10**6),
)
def test_whoever_knits_what_is_told_leaves_nothing_open_and_catches_nothing_in_vain(
    rows: int, stitches: int, yarns: int, most: int, across: int, up: int, seed: int
) -> None:
    """An independent knitter follows the rounds stitch by stitch; the chart of the piece shows the same catches."""
    read = in_the_round(seed, rows, stitches, yarns, most, across, up)
    told = told_in_rounds(read)
    longest, held = caught_in_the_round(read.piece_rows(), told)
    assert longest <= most
    assert held == told
    marked = charted_piece(read).caught_ij
    assert {(row, column) for row, column, _ in told} == {
        (row, column) for row, marked_j in enumerate(marked) for column, mark in enumerate(marked_j) if mark
    }


@pytest.mark.parametrize("seed", range(24))
def test_none_of_all_ways_to_knit_it_has_fewer(seed: int) -> None:
    """Any catches at all, of every repeat or only of the first or last: none that leave nothing open are fewer.

    Up to four catches are tried. With four repeats what floats from one to the next needs those of every repeat.
    """
    rng = np.random.default_rng(seed)
    across, most, yarns = (1, 4)[seed % 2], int(rng.integers(1, 3)), (3, 2)[seed % 2]
    rows, stitches = ((2, 6), (3, 4), (2, 5))[seed // 2 % 3]
    read = in_the_round(seed, rows, stitches, yarns, most, across, 1)
    grid, chart, ground = read.piece_rows(), read.chart_rows(), Ground(rows, stitches, layout_of(read))
    planned = sum(map(ground.made, plan_of(read).planned))
    repeats: tuple[Repeat, ...] = ("every",) if across == 1 else ("every", "first", "last")
    holds = [
        Hold(row, column, yarn, repeat)
        for row, column in product(range(rows), range(stitches))
        for yarn in sorted(set(chart[row]) - {chart[row][column]})
        for repeat in repeats
    ]
    for made in range(min(planned, 5)):
        for chosen in chosen_of(holds, ground, made):
            told = {(*place, yarn) for place, held in held_in_piece(read, chosen).items() for yarn in held}
            assert caught_in_the_round(grid, told, most)[0] > most


def test_a_long_way_over_one_join_takes_two_catches_not_one_in_every_round() -> None:
    """Of a chart as wide as the piece no row closes on itself: only over one join is anything carried."""
    once, gap = "." * 8 + "A" + "." * 9, 17
    rules = {"longest_gap": 5, "longest_cm": 99.0, "catches": "planned"}
    assert not plan_of(scene([*[once, "." * 18] * 15, once], floats=rules)).planned
    found = plan_of(scene([*[once, "." * 18] * 15, once, once], floats=rules)).planned
    assert len(found) == gap // 6
    assert {hold.row for hold in found} <= {0, 1}


def test_what_only_the_join_needs_is_made_there_alone() -> None:
    """Five stitches after the last A of round 1 and six before the first of round 2: eleven, over the join only."""
    lines = ["A.A..A......", ".....A..A..A"]
    read = scene(lines, across=4, floats={"longest_gap": 6, "longest_cm": 99.0, "catches": "planned"})
    (one,) = plan_of(read).planned
    assert one.repeat in ("first", "last")
    assert len(told_in_rounds(read)) == 1


# ---- the best of all plans -----------------------------------------------------------------------

SMALL: list[tuple[int, int, int, int, int]] = [
    (seed, rows, stitches, yarns, most)
    for seed, (rows, stitches, yarns, most) in enumerate(
        [
            (3, 6, 2, 2),
            (3, 6, 2, 2),
            (2, 8, 3, 2),
            (2, 8, 2, 3),
            (4, 4, 2, 1),
            (3, 5, 3, 1),
            (2, 9, 3, 3),
            (1, 14, 2, 3),
        ]
        * 4
    )
]


@pytest.mark.parametrize(("seed", "rows", "stitches", "yarns", "most"), SMALL)
def test_none_of_all_choices_is_better(seed: int, rows: int, stitches: int, yarns: int, most: int) -> None:
    """The fewest first, then the fewest stacked, then the cost: against trying everything."""
    rng = np.random.default_rng(seed)
    layout = Layout(bool(rng.integers(2)), *(int(rng.integers(low, low + 2)) for low in (1, 1, 0, 0)), 0)
    chart = chart_of(seed, rows, stitches, yarns)
    listed = some(seed, rows, stitches, seed % 3)
    plan = plan_catches(chart, layout, most, listed, LIGHT)
    assert plan.fewest_proven
    assert plan.places_proven
    assert by_hand(plan, chart, layout) == pytest.approx(brute(chart, layout, most, listed))


def test_the_small_charts_ask_for_something() -> None:
    """Some of them have stacks that can't be helped, some share squares, all together many catches."""
    plans = [
        plan_catches(chart_of(seed, rows, stitches, yarns), ROUND._replace(up=2), most, frozenset(), LIGHT)
        for seed, rows, stitches, yarns, most in SMALL
    ]
    assert any(plan.stacked for plan in plans)
    assert any(hold.repeat != "every" for plan in plans for hold in plan.planned)
    assert sum(len(plan.planned) for plan in plans) > 50


def test_catches_do_not_stand_in_one_column_row_on_row() -> None:
    chart = ((1, *[0] * 9),) * 9  # a gap of 9 in every row: one catch each, all best in the middle
    plan = plan_catches(chart, ROUND._replace(up=2), 5, frozenset(), LIGHT)
    column_i = [column for _, column in squares_of(plan)]
    assert len(column_i) == 9
    assert all(column_i[row] != column_i[row - 1] for row in range(9))  # the chart repeats upwards too
    assert all(column_i[row] != column_i[row - 2] for row in range(9))
    assert all(1 < column < 9 for column in column_i)  # never next to a change of colour
    assert plan.stacked == ()


def test_without_repeats_up_the_last_row_may_be_like_the_first() -> None:
    chart = ((1, *[0] * 9),) * 3
    once, again = (plan_catches(chart, ROUND._replace(up=up), 5, frozenset(), LIGHT) for up in (1, 2))
    assert len({column for _, column in squares_of(once)}) == 3  # better not two rows apart either
    two = chart[:2]
    assert not plan_catches(two, ROUND, 5, frozenset(), LIGHT).stacked
    assert len({column for _, column in squares_of(again)}) == 3


def test_stacks_that_cannot_be_helped_are_named() -> None:
    chart = ((1, *[0] * 11),) * 2  # a gap of 11 at 5: the one place is the middle
    plan = plan_catches(chart, ROUND, 5, frozenset(), LIGHT)
    assert plan.planned == {Hold(0, 6, 1), Hold(1, 6, 1)}
    assert plan.stacked == ((Hold(0, 6, 1), Hold(1, 6, 1)),)
    assert plan.places_proven


def test_a_row_repeated_up_lies_on_itself() -> None:
    plan = plan_catches(((1, *[0] * 9),), ROUND._replace(up=2), 5, frozenset(), LIGHT)
    assert [low == high for low, high in plan.stacked] == [True]


def test_what_is_listed_is_kept_and_spared() -> None:
    listed = frozenset({Hold(0, 6, EVERY_STRAND)})
    plan = plan_catches(((1, *[0] * 11),), ROUND, 5, listed, LIGHT)
    assert (plan.planned, plan.caught) == (frozenset(), listed)
    below = plan_catches(((1, *[0] * 9),) * 2, ROUND, 5, frozenset({Hold(0, 5, EVERY_STRAND)}), LIGHT)
    assert [column for _, column in squares_of(below)] != [5]  # not on the listed one
    assert not below.stacked


# ---- joins ---------------------------------------------------------------------------------------


def test_floats_go_on_over_the_join_of_rounds() -> None:
    """Row 1 ends with 4 stitches of another colour, row 2 begins with 4: 8 in the spiral, though no row has a gap of
    more than 5 when closed on itself."""
    chart = ((0, 0, 0, 0, 1, 0, 0, 1, 0), (1, 0, 0, 1, 0, 0, 0, 0, 0))
    gaps = {len(one.squares) for one in floats_behind(chart, ROUND._replace(across=1)) if one.yarn == 1}
    assert max(gaps) == 9
    for most in (5, 6, 7, 8):
        plan = plan_catches(chart, ROUND._replace(across=1), most, frozenset(), LIGHT)
        pieces = find_floats(
            chart, closing="spiral", stitch_width=1.0, slack_by_yarn=[0.0] * 2,
            catches={hold.square: frozenset({hold.yarn}) for hold in plan.planned},
        )  # fmt: skip
        assert max(one.gap for one in pieces) <= most
        assert len(plan.planned) == 1


def test_flat_floats_end_at_the_edge() -> None:
    chart = ((0, 0, 0, 0, 1, 0, 0, 0, 0),)
    assert not plan_catches(chart, FLAT, 5, frozenset(), LIGHT).planned
    assert plan_catches(chart, FLAT._replace(across=2), 5, frozenset(), LIGHT).planned  # over the repeat edge
    assert not plan_catches(chart, ROUND._replace(across=1), 5, frozenset(), LIGHT).planned  # nothing to float to
    assert plan_catches(chart * 2, ROUND._replace(across=1), 5, frozenset(), LIGHT).planned  # over the join


def test_a_strand_that_passes_one_stitch_is_left_alone() -> None:
    """Yarn 1 passes nine, yarn 2 three and one: only the one is caught, wherever the other runs too."""
    chart = ((1, 2, 0, 0, 0, 2, 0, 2, 0, 2, 1),)
    plan = plan_catches(chart, FLAT, 5, frozenset(), LIGHT)
    assert [hold.yarn for hold in plan.planned] == [1]


def test_two_long_strands_are_caught_one_by_one() -> None:
    chart = ((1, 2, 0, 0, 0, 0, 0, 0, 2, 1),)
    plan = plan_catches(chart, FLAT, 5, frozenset(), LIGHT)
    assert sorted(hold.yarn for hold in plan.planned) == [1, 2]  # behind the six of yarn 0, yarn 1 (8) and yarn 2 (6)
    assert not plan.side_by_side


def test_of_three_colours_a_dark_one_is_caught_behind_a_dark_one() -> None:
    """Its one catch may lie behind the first stretch or the second, as far from the middle and from the change."""
    light, dark, middle = 95.0, 20.0, 25.0
    chart = ((1, *[0] * 5, *[2] * 3, *[0] * 2, 1),)
    behind_dark = plan_catches(chart, FLAT, 7, frozenset(), (light, dark, middle)).planned
    assert {chart[0][hold.column] for hold in behind_dark} == {2}
    swapped = plan_catches(chart, FLAT, 7, frozenset(), (dark, dark, light)).planned
    assert {chart[0][hold.column] for hold in swapped} == {0}


def test_side_by_side_only_where_it_cannot_be_helped() -> None:
    """Two strands whose middles lie behind stitches that follow one another: one of them moves."""
    chart = ((1, 2, *[0] * 9, 2, 0, 1),)
    listed = frozenset({Hold(0, 6, 2)})
    plan = plan_catches(chart, FLAT, 6, listed, LIGHT)
    (hold,) = plan.planned
    assert hold.yarn == 1
    assert abs(hold.column - 6) != 1
    assert not plan.side_by_side
    squeezed = plan_catches(((1, *[0] * 11, 1),), FLAT, 5, frozenset({Hold(0, 7, 0), Hold(0, 5, 0)}), LIGHT)
    assert squeezed.planned == {Hold(0, 6, 1)}  # its one place, beside what was listed
    assert len(squeezed.side_by_side) == 2


# ---- limits --------------------------------------------------------------------------------------


def test_a_scene_with_planned_catches_has_no_float_over_its_limits() -> None:
    table = scene_table(rows=["A" + "." * 15, "." * 15 + "A", "." * 16])
    plain, planned = (
        Scene.model_validate(table | {"floats": {"longest_gap": 4, "longest_cm": 9.0, "catches": catches}})
        for catches in ("none", "planned")
    )
    assert faults(floats_of_repeat(plain), plain.limits)
    assert not faults(floats_of_repeat(planned), planned.limits)
    assert planned.floats.plan_catches
    assert held_in_piece(planned).keys() == held_in_piece(with_catches(planned, plan_of(plain).caught)).keys()


def test_where_nothing_may_stay_open_nothing_is_planned_and_all_is_named() -> None:
    baby = Scene.model_validate(scene_table(rows=["A..", "A.A"]) | {"item": "baby socks"})
    plan = plan_of(baby)
    assert (plan.most, plan.planned) == (0, frozenset())
    assert {len(one.squares) for one in plan.left_open} == {1, 2}


def test_a_plan_is_made_once(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[int] = []
    monkeypatch.setattr(planning, "floats_behind", lambda *_: asked.append(1) or [])
    planned = scene(["A" + "." * 19], floats={"catches": "planned", "longest_gap": 6})
    for _ in range(3):
        catches_of(planned)
    assert len(asked) == 1
    plan_catches.cache_clear()  # what was planned on no floats


def test_without_time_the_plan_holds_but_is_not_called_proven() -> None:
    rng = np.random.default_rng(3)
    chart = tuple(tuple(row) for row in rng.integers(0, 3, (40, 60)).repeat(2, axis=1).tolist())
    plan = plan_catches(chart, ROUND, 3, frozenset(), LIGHT, 1e-9)
    assert not plan.places_proven
    left = [run for one in floats_behind(chart, ROUND) for run in one.open_parts(plan.caught)]
    assert max(len(run.squares) for run in left) <= 3


# ---- as the knitter meets them -------------------------------------------------------------------


def walk(row: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Yield which stitch of its run each stitch is, and how many that has, counted one by one."""
    for place, symbol in enumerate(row):
        before = next((n for n in range(1, place + 1) if row[place - n] != symbol), place + 1)
        after = next((n for n in range(1, len(row) - place) if row[place + n] != symbol), len(row) - place)
        yield before, before + after - 1


@pytest.mark.parametrize(("worked", "below"), list(product(("round", "flat"), (0, 1))))
def test_stitches_are_counted_as_they_are_worked(worked: str, below: int) -> None:
    rows = ["A......A..AAAAAAA", "A..........A....A"]
    read = scene(rows, worked=worked, plain_below=below, floats={"longest_gap": 3, "longest_cm": 9.0})
    found = caught_stitches(read, plan_of(read))
    assert found
    for one in found:
        line = rows[-one.row]
        backwards = worked == "round" or (below + one.row) % 2 == 1  # right-side rows run from the right
        counted = list(walk(line[::-1] if backwards else line))
        place = one.stitch - 1 if backwards else len(line) - one.stitch
        assert (one.nth, one.run) == counted[place]
        assert not one.over_edge
    steps = [one.stitch if worked == "round" or (below + one.row) % 2 == 1 else -one.stitch for one in found]
    assert [one.row for one in found] == sorted(one.row for one in found)
    for row in {one.row for one in found}:
        mine = [step for step, one in zip(steps, found, strict=True) if one.row == row]
        assert mine == sorted(mine)


def test_what_is_caught_is_the_strand_that_is_named_and_passes() -> None:
    rules = {"longest_gap": 19, "longest_cm": 99.0}
    squares = [{"row": 1, "stitch": 6}, {"row": 1, "stitch": 5, "yarn": "B"}, {"row": 1, "stitch": 4, "yarn": "B"}]
    read = scene([".A.B.B......AA"], yarns=THREE, across=2, floats={**rules, "catches": squares})
    found = {one.stitch: one.caught for one in caught_stitches(read, plan_of(read))}
    assert found == {6: (1, 2), 5: (2,), 4: (2,)}


def test_a_run_over_the_repeat_edge_is_counted_from_where_it_began() -> None:
    read = scene(
        ["....A....."], across=3, floats={"longest_gap": 5, "longest_cm": 9.0, "catches": [{"row": 1, "stitch": 2}]}
    )
    (one,) = caught_stitches(read, plan_of(read))
    assert (one.nth, one.run, one.over_edge, one.listed, one.caught, one.front) == (6, 9, True, True, (1,), 0)


def test_rows_that_change_sides_are_known() -> None:
    assert turns(scene(["A..."], worked="flat", up=2))
    assert not turns(scene(["A..."], worked="round", up=2))
    assert not turns(scene(["A...", "A..."], worked="flat", up=2))
    assert not turns(scene(["A..."], worked="flat", up=1))


def test_very_long_floats_are_those_of_more_than_five_cm() -> None:
    """Twice the longest float of common practice, 2.5 cm; at 20 stitches to 10 cm that is 10 stitches."""
    table = scene_table(["A" + "." * 11 + "A", "A" + "." * 10 + "AA"])
    found = very_long(Scene.model_validate(table | {"gauge": {"stitches": 20, "rows": 28}}))
    assert {len(one.squares) for one in found} == {11}


def test_catches_are_listed_from_the_bottom_right() -> None:
    read = scene(["A..........", "A.........."], across=3)
    holds = [Hold(row, column, 1, repeat) for row in (1, 0) for column in (3, 7, 5) for repeat in ("last", "first")]  # type: ignore[arg-type]
    listed = [(one.row, one.stitch, one.repeat) for one in with_catches(read, holds).floats.catches]
    assert listed == [(row, stitch, repeat) for row in (1, 2) for stitch in (4, 6, 8) for repeat in ("first", "last")]
