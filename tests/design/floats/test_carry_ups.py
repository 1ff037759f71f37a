"""Yarns that rest for whole rows, counted by hand."""

from __future__ import annotations

from math import hypot

import numpy as np
import pytest

from fabricsim.design.floats.carry_ups import CarryUp, find_carry_ups
from fabricsim.design.floats.of_scene import carry_ups
from fabricsim.design.scene.items import Limits
from tests.design.scenes import scene


def idle_for(rows: int, *, row_height: float = 0.002, in_the_round: bool = True) -> CarryUp:
    """Return the carry-up of yarn 1, used in the first and last row with so many ``rows`` between."""
    grid_ij = np.zeros((rows + 2, 5), dtype=np.int64)
    grid_ij[[0, -1], 1:3] = 1
    (only,) = find_carry_ups(
        grid_ij, row_height=row_height, stitch_width=0.005, in_the_round=in_the_round, limits=Limits(5, 2.5)
    )
    return only


def test_where_a_yarn_leaves_and_returns_in_the_round() -> None:
    # right to left: it leaves at the leftmost of its stitches and returns at the rightmost
    found = idle_for(2, row_height=0.25)
    assert found == CarryUp(
        yarn=1,
        from_row=0,
        to_row=3,
        idle=2,
        height=0.75,
        across=0.005,
        from_column=1,
        to_column=2,
        other_edge=False,
        over_limit=True,
        across_over_limit=False,
    )
    assert found.length == pytest.approx(hypot(0.75, 0.005), rel=1e-15)


@pytest.mark.parametrize(("idle", "columns", "other_edge"), [(1, (1, 2), True), (2, (1, 1), False)])
def test_flat_a_yarn_waits_where_it_was_left(idle: int, columns: tuple[int, int], other_edge: bool) -> None:
    # left at the left edge of a right-side row, it is wanted there only at the start of a wrong-side row
    found = idle_for(idle, in_the_round=False)
    assert ((found.from_column, found.to_column), found.other_edge) == (columns, other_edge)


@pytest.mark.parametrize(
    ("idle", "row_height", "advice"),
    [
        (3, 0.002, "carry up freely"),
        (4, 0.002, "twist on the way up"),
        (5, 0.002, "twist on the way up"),
        (6, 0.002, "break and rejoin"),
        (4, 0.0051, "break and rejoin"),  # 5 rows of 5.1 mm are above 2.5 cm
        (4, 0.0049, "twist on the way up"),
    ],
)
def test_what_knitters_do(idle: int, row_height: float, advice: str) -> None:
    assert idle_for(idle, row_height=row_height).advice == advice


def sideways(steps: int, limits: Limits, *, around: int = 90, in_the_round: bool = True, rows: int = 2) -> CarryUp:
    """Return the carry-up of a yarn of one stitch that comes again so many stitches further to the left."""
    grid_ij = np.zeros((rows + 2, around), dtype=np.int64)
    grid_ij[0, around - 1] = grid_ij[-1, around - 1 - steps] = 1
    (only,) = find_carry_ups(grid_ij, row_height=0.004, stitch_width=0.005, in_the_round=in_the_round, limits=limits)
    return only


@pytest.mark.parametrize(
    ("steps", "limits", "over", "advice"),
    [
        (2, Limits(None, 2.5), False, "carry up freely"),  # 1 cm across and 1.2 cm up: 1.56 cm
        (4, Limits(None, 2.3), True, "twist on the way up"),  # 2 and 1.2: 2.33 cm
        (4, Limits(None, 2.4), False, "carry up freely"),
        (29, Limits(None, 2.5), True, "break and rejoin"),  # 14.5 cm across
        (61, Limits(None, 2.5), True, "break and rejoin"),  # the other way round it is as far
        (88, Limits(None, 2.5), False, "carry up freely"),
        (6, Limits(5, None), True, "twist on the way up"),  # six across are behind five, but it goes up too
        (7, Limits(5, None), True, "break and rejoin"),
        (2, Limits(0, 0.0), True, "break and rejoin"),
    ],
)
def test_the_way_sideways_counts_and_falls_under_the_limits(
    steps: int, limits: Limits, over: bool, advice: str
) -> None:
    found = sideways(steps, limits)
    assert (found.over_limit, found.advice) == (over, advice)
    assert found.across == pytest.approx(0.005 * min(steps, 90 - steps), rel=1e-12)


def test_flat_it_climbs_the_edge() -> None:
    assert sideways(29, Limits(None, 2.5), in_the_round=False).across == 0.0


def test_a_yarn_at_the_other_edge_is_broken() -> None:
    assert idle_for(1, in_the_round=False).advice == "break and rejoin"


def test_rows_before_the_first_and_after_the_last_use_are_no_carry_up() -> None:
    assert carry_ups(scene(rows=["A.."], plain_below=4, plain_above=4)) == ()


def test_the_carry_ups_of_a_piece_run_between_its_repeats() -> None:
    found = carry_ups(scene(rows=["...", "A.."], up=3))
    assert [(one.yarn, one.from_row, one.to_row, one.idle) for one in found] == [(1, 0, 2, 1), (1, 2, 4, 1)]
    assert found[0].height == pytest.approx(2 * 0.1 / 25.5, rel=1e-15)
