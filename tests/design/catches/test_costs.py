"""What a catch costs where it lies, each rule alone and by hand."""

from __future__ import annotations

import pytest

from fabricsim.design.catches.costs import Ground, costs, from_change, placing_cost, shows
from fabricsim.design.catches.plan import choices_along, plan_catches
from fabricsim.design.rows.squares import Hold, Layout, Repeat, floats_behind

FLAT = Layout(flat=True, across=1, up=1, plain_below=0, plain_above=0, plain=0)
ROUND = FLAT._replace(flat=False)
REPEATED = FLAT._replace(up=2)


def cost_of(row: tuple[int, ...], most: int, lightness_y: tuple[float, ...] = (50.0,) * 3) -> dict[int, float]:
    """Return what a catch costs in each column of a chart of one row, worked flat once."""
    runs = choices_along(one for one in floats_behind((row,), FLAT) if len(one.squares) > most)
    return {hold.column: cost for hold, cost in costs((row,), runs, most, lightness_y, FLAT).items()}


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
        (hold,) = plan_catches((row,), FLAT, 9, frozenset(), lightness_y).planned
        assert row[hold.column] == front


@pytest.mark.parametrize(
    ("layout", "want"),
    [(FLAT, [1, 2, 3, 2, 1, 1, 1]), (FLAT._replace(across=2), [2, 3, 3, 2, 1, 1, 1]), (ROUND, [2, 3, 3, 2, 1, 1, 1])],
)
def test_how_far_a_stitch_lies_from_a_change_by_counting(layout: Layout, want: list[int]) -> None:
    """Repeated, or in the round, the row goes on from its end; worked flat once, its edge is as good as a change."""
    row = (0, 0, 0, 0, 0, 1, 0)
    assert [from_change((row,), (0, column), layout) for column in range(7)] == want
    assert from_change(((0,) * 4,), (0, 1), layout) == (2 if layout == FLAT else 4)


def at(row: int, column: int, yarn: int = 1, repeat: Repeat = "every") -> Hold:
    return Hold(row, column, yarn, repeat)


def test_what_lies_on_another_and_beside() -> None:
    """In charts of three rows of five stitches: on top of a repeat the next begins, beside it too."""
    caught = [at(0, 1), at(2, 1), at(1, 3), at(2, 3), at(2, 2)]
    once, up = Ground(3, 5, FLAT), Ground(3, 5, REPEATED)
    assert once.stacked(caught) == [(at(1, 3), at(2, 3))]
    assert up.stacked(caught) == [(at(1, 3), at(2, 3)), (at(2, 1), at(0, 1))]
    assert once.side_by_side(caught) == [(at(2, 2), at(2, 1)), (at(2, 3), at(2, 2))]
    edges = [at(0, 0), at(0, 4)]
    assert once.side_by_side(edges) == []
    assert Ground(3, 5, FLAT._replace(across=3)).side_by_side(edges) == [(at(0, 0), at(0, 4))]
    assert once.clashes(caught) == once.stacked(caught) + once.side_by_side(caught)
    strands = [at(0, 1, yarn=1), at(0, 1, yarn=2), at(0, 2, yarn=2)]
    assert once.side_by_side(strands) == [(strands[2], strands[0]), (strands[2], strands[1])]  # one stitch is no clash


def test_catches_of_the_first_repeat_lie_where_that_lies() -> None:
    ground = Ground(2, 5, ROUND._replace(across=9))
    first, last, every = at(0, 2, repeat="first"), at(1, 2, repeat="last"), at(1, 2, yarn=2)
    assert ground.stacked([first, last]) == []
    assert ground.stacked([first, every]) == [(first, every)]
    assert ground.side_by_side([at(0, 0, repeat="first"), at(0, 4, repeat="last")]) == [
        (at(0, 0, repeat="first"), at(0, 4, repeat="last"))
    ]  # of two repeats, which stand for all
    assert (ground.made(first), ground.made(every)) == (1, 9)


def test_two_rows_apart_costs_six_where_a_plan_can_help_it() -> None:
    caught = [at(0, 1), at(2, 1), at(4, 1), at(1, 3)]
    cost = dict.fromkeys(caught, 0.25)
    pairs = [(at(0, 1), at(2, 1)), (at(2, 1), at(4, 1))]
    five = Ground(5, 5, FLAT)
    assert list(five.two_rows(caught, ())) == pairs
    assert list(five.two_rows(caught, [at(0, 1), at(2, 1)])) == pairs[1:]  # both listed: nothing to be done
    assert list(five.two_rows(caught, [at(2, 1)])) == pairs
    assert list(Ground(6, 5, REPEATED).two_rows(caught, ())) == [*pairs, (at(4, 1), at(0, 1))]
    assert placing_cost(caught, (), cost, five) == pytest.approx(4 * 0.25 + 2 * 6.0)
    assert placing_cost([at(2, 1)], [at(0, 1)], cost, five) == pytest.approx(0.25 + 6.0)
    low = [at(0, 1), at(2, 1)]
    assert list(Ground(3, 5, FLAT).two_rows(low, ())) == [(at(0, 1), at(2, 1))]
    assert not list(Ground(3, 5, REPEATED).two_rows(low, ()))  # the second is right below the next copy's first
    assert len(list(Ground(4, 5, REPEATED).two_rows(low, ()))) == 2
