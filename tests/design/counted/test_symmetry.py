"""How a chart lies on itself, against laying it there square by square."""

from __future__ import annotations

import random

import pytest

from fabricsim.design.counted.symmetry import MOST_AXES, symmetries
from fabricsim.design.rows.squares import Layout
from fabricsim.design.scene.chart import Rows

ROUND = Layout(flat=False, across=3, up=1, plain_below=1, plain_above=1, plain=0)
FLAT = Layout(flat=True, across=1, up=1, plain_below=1, plain_above=1, plain=0)


def rows(*drawn: str) -> Rows:
    return tuple(tuple(int(one) for one in row) for row in drawn)


def left_to_right(chart_ij: Rows, layout: Layout) -> list[int | None]:
    return [one.columns_to for one in symmetries(chart_ij, layout) if one.kind == "left to right"]


def test_in_the_round_it_may_mirror_about_any_stitch_or_between_two_and_flat_about_its_middle_alone() -> None:
    """0110000 is mirrored between its second and third stitch; laid out flat once, its edges would change places."""
    chart = rows("0110000", "1001000")
    assert left_to_right(chart, ROUND) == [3]
    assert left_to_right(chart, FLAT) == []
    assert left_to_right(rows("0110", "1001"), FLAT) == [3]
    assert left_to_right(rows("01010", "10001"), FLAT) == [4]


@pytest.mark.parametrize("number", range(200))
def test_every_mirror_that_there_is_is_found_the_first_ones_told(number: int) -> None:
    dice = random.Random(number)
    wide, high = dice.randint(1, 6), dice.randint(1, 3)
    chart = tuple(tuple(dice.choices((0, 1), (3, 1), k=wide)) for _ in range(high))
    layout = dice.choice([ROUND, FLAT])
    axes = range(wide) if layout.closes else [wide - 1]
    holds = [axis for axis in axes if all(row[(axis - c) % wide] == row[c] for row in chart for c in range(wide))]
    assert left_to_right(chart, layout) == holds[:MOST_AXES]
