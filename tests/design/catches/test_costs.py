"""What a catch costs where it lies, each rule alone and by hand."""

from __future__ import annotations

import pytest

from fabricsim.design.catches.costs import above, costs, from_change, placing_cost, shows, stacked, two_rows
from fabricsim.design.catches.plan import open_runs, plan_catches
from fabricsim.design.rows.squares import Layout, Square, floats_behind

FLAT = Layout(flat=True, across=1, up=1, plain_below=0, plain_above=0, plain=0)
ROUND = FLAT._replace(flat=False)
REPEATED = FLAT._replace(up=2)


def cost_of(row: tuple[int, ...], most: int, lightness_y: tuple[float, ...] = (50.0,) * 3) -> dict[int, float]:
    """Return what a catch costs in each column of a chart of one row, worked flat once."""
    floats = floats_behind((row,), FLAT)
    runs = [run for one in floats for run in open_runs(one, frozenset()) if len(run.squares) > most]
    return {column: cost for (_, column), cost in costs((row,), floats, runs, most, lightness_y, FLAT).items()}


def test_off_the_even_place_costs_its_square_and_beside_a_change_more() -> None:
    """Six stitches at 4: one catch, even at 3.5 of 7 steps; 8 in the stitch next to a change, 1 in the next but one."""
    assert cost_of((1, 0, 0, 0, 0, 0, 0, 1), 4) == pytest.approx(
        {1: 2.5**2 + 8, 2: 1.5**2 + 1, 3: 0.5**2, 4: 0.5**2, 5: 1.5**2 + 1, 6: 2.5**2 + 8}
    )


def test_of_several_catches_each_has_its_own_even_place() -> None:
    """Nine stitches at 3: two catches, one in steps 1 to 4 (even at 10/3), one in 5 to 9 (at 20/3)."""
    first = {1: (7 / 3) ** 2 + 8, 2: (4 / 3) ** 2 + 1, 3: (1 / 3) ** 2, 4: (2 / 3) ** 2}
    second = {5: (5 / 3) ** 2, 6: (2 / 3) ** 2, 7: (1 / 3) ** 2, 8: (4 / 3) ** 2 + 1, 9: (7 / 3) ** 2 + 8}
    assert cost_of((1, *[0] * 9, 1), 3) == pytest.approx({**first, **second})


def test_a_yarn_behind_another_shows_and_a_dark_one_behind_a_light_one_by_half_more() -> None:
    assert shows(20.0, 95.0) == pytest.approx(6.0 * 0.75 * 1.5)
    assert shows(95.0, 20.0) == pytest.approx(6.0 * 0.75)
    assert shows(40.0, 40.0) == 0.0
    plain, dark, light = (
        cost_of((1, 0, 0, 0, 0, 0, 0, 1), 4, lightness_y) for lightness_y in ((50.0,) * 2, (95.0, 20.0), (20.0, 95.0))
    )
    assert dark == pytest.approx({column: cost + 6.75 for column, cost in plain.items()})
    assert light == pytest.approx({column: cost + 4.5 for column, cost in plain.items()})


def test_between_two_like_places_a_dark_yarn_is_caught_where_it_shows_less() -> None:
    """Ten stitches at 9, five of each colour, both twenty apart in L* from the yarn behind: the place lies as far off
    the middle on one side as on the other, and only which is the lighter one decides."""
    row = (1, *[0] * 5, *[2] * 5, 1)
    for lightness_y, front in (((60.0, 40.0, 20.0), 2), ((20.0, 40.0, 60.0), 0)):
        ((_, column),) = plan_catches((row,), FLAT, 9, frozenset(), lightness_y).planned
        assert row[column] == front


@pytest.mark.parametrize(
    ("layout", "want"),
    [(FLAT, [1, 2, 3, 2, 1, 1, 1]), (FLAT._replace(across=2), [2, 3, 3, 2, 1, 1, 1]), (ROUND, [2, 3, 3, 2, 1, 1, 1])],
)
def test_how_far_a_stitch_lies_from_a_change_by_counting(layout: Layout, want: list[int]) -> None:
    """Repeated, or in the round, the row goes on from its end; worked flat once, its edge is as good as a change."""
    row = (0, 0, 0, 0, 0, 1, 0)
    assert [from_change((row,), (0, column), layout) for column in range(7)] == want
    assert from_change(((0,) * 4,), (0, 1), layout) == (2 if layout == FLAT else 4)


def test_what_lies_above() -> None:
    assert above((0, 4), 2, 3, FLAT) == (2, 4)
    assert above((2, 4), 1, 3, FLAT) is None
    assert above((2, 4), 1, 3, REPEATED) == (0, 4)
    caught: list[Square] = [(0, 1), (2, 1), (1, 3), (2, 3)]
    assert stacked(caught, 3, FLAT) == [((1, 3), (2, 3))]
    assert stacked(caught, 3, REPEATED) == [((1, 3), (2, 3)), ((2, 1), (0, 1))]


def test_two_rows_apart_costs_six_where_a_plan_can_help_it() -> None:
    caught: list[Square] = [(0, 1), (2, 1), (4, 1), (1, 3)]
    cost = dict.fromkeys(caught, 0.25)
    pairs = [((0, 1), (2, 1)), ((2, 1), (4, 1))]
    assert list(two_rows(caught, (), 5, FLAT)) == pairs
    assert list(two_rows(caught, [(0, 1), (2, 1)], 5, FLAT)) == pairs[1:]  # both listed: nothing to be done
    assert list(two_rows(caught, [(2, 1)], 5, FLAT)) == pairs
    assert list(two_rows(caught, (), 6, REPEATED)) == [*pairs, ((4, 1), (0, 1))]
    assert placing_cost(caught, (), cost, 5, FLAT) == pytest.approx(4 * 0.25 + 2 * 6.0)
    assert placing_cost([(2, 1)], [(0, 1)], cost, 5, FLAT) == pytest.approx(0.25 + 6.0)
    low: list[Square] = [(0, 1), (2, 1)]
    assert list(two_rows(low, (), 3, FLAT)) == [((0, 1), (2, 1))]
    assert not list(two_rows(low, (), 3, REPEATED))  # the second is the row right below the next copy's first
    assert len(list(two_rows(low, (), 4, REPEATED))) == 2
