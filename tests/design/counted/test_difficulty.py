"""What makes a chart hard, counted by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.design.counted import difficulty as module
from fabricsim.design.counted.difficulty import Difficulty, Stack, difficulty, longest_stack, rows_in_bands
from tests.design.scenes import scene

THREE = [{"symbol": symbol, "name": symbol, "colour": "#000000", "tex": 500} for symbol in (".", "A", "B")]


def test_the_longest_stack() -> None:
    # from below, between columns 1 and 2: .A, then A., which is no line, then .A three times
    rows = ["..A..", "..AAB", "..AA.", "AA...", "..AAA"]  # flat: the edges don't meet
    assert longest_stack([[".AB".index(sign) for sign in row] for row in reversed(rows)], False) == Stack(1, 2, 3)


def test_a_stack_across_the_edge_counts_in_the_round() -> None:
    rows = [[0, 1, 1, 1], [0, 0, 1, 1], [0, 0, 0, 1]]
    assert longest_stack(rows, True) == Stack(3, 0, 3)
    assert longest_stack(rows, False) == Stack(0, 0, 1)
    assert longest_stack([[0, 0]], True) is None


@given(st.lists(st.lists(st.integers(0, 1), min_size=4, max_size=4), min_size=1, max_size=8), st.booleans())
def test_no_stack_is_longer(rows: list[list[int]], closed: bool) -> None:
    """Against trying every column and every span of rows."""
    longest = max(
        (
            until - since
            for left in range(4 if closed else 3)
            for since in range(len(rows))
            for until in range(since, len(rows) + 1)
            if all(row[left] != row[(left + 1) % 4] for row in rows[since:until])
            and len({row[left] for row in rows[since:until]}) <= 1  # of two colours the one says the other
        ),
        default=0,
    )
    found = longest_stack(rows, closed)
    assert (found.rows if found else 0) == longest


def test_bands_hold_short_rests_and_are_parted_by_long_ones() -> None:
    assert rows_in_bands([]) == 0
    assert rows_in_bands([4]) == 1
    assert rows_in_bands([0, 2, 3]) == 4
    assert rows_in_bands([0, 6]) == 7  # five rows between: one band
    assert rows_in_bands([0, 7]) == 2  # six: where a yarn would be broken


def test_counted_by_hand() -> None:
    made = scene(["A.A.", "....", "AA.."], across=2, plain_below=3, plain_above=9, worked="flat")
    found = difficulty(made)
    assert (found.rows, found.patterned, found.three, found.in_bands, found.without) == (15, 2, 0, 3, 1)
    assert found.changes == pytest.approx(100 * (3 + 7) / 16)
    # row 4 left to right, AA..AA..: oat 1, 2 and pine 2, 1; row 6, A.A.A.A.: each three times 1
    assert (found.floats, found.longest_gap) == (10, 2)
    assert found.mean_gap == pytest.approx(12 / 10)
    assert found.allowed_gap == 4  # 2.5 cm at 19 stitches to 10 cm are 4.75
    assert found.stack == Stack(1, 3, 1)


def test_levels_and_verdicts() -> None:
    assert [module.CHANGES.level(value) for value in (35, 35.1, 100)] == ["easy", "some practice", "some practice"]
    often = scene(["A...", ".A.."], across=2)
    assert [name for name, level in difficulty(often).levels.items() if level != "easy"] == ["changes"]
    assert difficulty(often).verdict == "easy"
    assert difficulty(scene(["A...", "....", ".A.."], across=2)).verdict == "some practice"  # bulging, hard by itself
    both = difficulty(scene(["A..."] * 4, across=2))
    assert (both.levels["stack"], both.levels["changes"], both.verdict) == (*["some practice"] * 3,)
    three = difficulty(scene(["A.B..A"] * 9, yarns=THREE))
    assert (three.levels["three"], three.levels["stack"], three.verdict) == ("hard", "hard", "hard")
    assert difficulty(scene(["A....."] * 2, floats={"longest_gap": 0})).levels["longest_gap"] == "hard"


@pytest.mark.parametrize(
    ("steps", "easy", "practice"),
    [
        (module.STACK, 3, 7),
        (module.THREE_COLOURS, 0, 0),
        (module.MEAN_GAP, 3, 5),
        (module.BULGING, 0.10, 0.30),
        (difficulty(scene(["A..."])).longest_gaps, 4, 8),  # 2.5 cm hold 4 stitches
    ],
)
def test_where_easy_and_practice_end(steps: module.Steps, easy: float, practice: float) -> None:
    """As the README names them for users."""
    above = practice + 0.01 if practice else 1
    want = ["easy", "some practice" if practice > easy else "hard", *(["some practice"] if practice > easy else [])]
    at = [easy, easy + 0.01, *([practice] if practice > easy else [])]
    assert [steps.level(value) for value in at] == want
    assert steps.level(above) == "hard"


def test_what_is_caught_no_longer_hangs_open() -> None:
    free = difficulty(scene(["A........."], across=2))
    assert (free.longest_gap, free.levels["longest_gap"]) == (9, "hard")
    caught = difficulty(scene(["A........."], across=2, floats={"catches": "planned"}))
    assert caught.longest_gap <= caught.allowed_gap == free.allowed_gap
    assert caught.levels["longest_gap"] == "easy"
    assert replace(caught, floats=free.floats, mean_gap=free.mean_gap, longest_gap=free.longest_gap) == free


def test_a_check_of_single_stitches_is_easy() -> None:
    check = difficulty(scene(["A.", ".A"], across=10, up=10))
    assert (check.stack, check.changes, check.verdict) == (Stack(0, 0, 1), 100.0, "easy")


def test_a_float_only_where_rounds_join_makes_no_chart_hard() -> None:
    # the lower round ends with two oats, and the upper begins with two
    rows = ["A..A..", "..A..A"]
    once, often = difficulty(scene(rows)), difficulty(scene(rows, across=2))
    assert (often.longest_gap, often.at_join, often.levels["longest_gap"]) == (2, 4, "easy")
    assert (once.longest_gap, once.at_join) == (4, 0)  # the chart's own: there is no other repeat


def test_nothing_to_say_of_one_colour() -> None:
    found = difficulty(scene(["...."]))
    assert (found.patterned, found.stack, found.bulging, found.changes, found.mean_gap) == (0, None, 0.0, 0.0, 0.0)
    assert found.verdict == "easy"


EASY = Difficulty(
    rows=40, patterned=30, stack=None, three=0, floats=90, mean_gap=1.0, longest_gap=1, allowed_gap=5, in_bands=100,
    without=0, changes=10.0, at_join=0,
)  # fmt: skip


@pytest.mark.parametrize(
    ("key", "field", "easy", "practice"),
    [
        ("stack", "stack", 3, 7),
        ("three", "three", 0, 0),
        ("mean_gap", "mean_gap", 3.0, 5.0),
        ("longest_gap", "longest_gap", 5, 10),  # once and twice what is allowed
        ("bulging", "without", 10, 30),  # of a hundred rows in bands
        ("changes", "changes", 35.0, 1e9),
    ],
)
def test_a_chart_is_as_hard_as_the_most_that_each_step_takes(
    key: str, field: str, easy: float, practice: float
) -> None:
    def level(value: float) -> str:
        given = Stack(0, 0, int(value)) if field == "stack" else value
        found = replace(EASY, **{field: given}).levels
        assert {found[other] for other in found if other != key} == {"easy"}
        return found[key]

    more = 0.01 if isinstance(easy, float) else 1
    assert level(easy) == "easy"
    assert level(easy + more) == ("some practice" if practice > easy else "hard")
    if practice > easy:
        assert level(practice) == "some practice"
    if practice < 1e9:
        assert level(practice + more) == "hard"
