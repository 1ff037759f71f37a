"""What a catch would change: a float held behind one stitch is two floats, each as slack as hands carry it."""

from __future__ import annotations

from collections.abc import Collection

from fabricsim.design.catches.plan import held_in_repeat, listed_holds
from fabricsim.design.rows.squares import Hold, Layout, floats_behind, layout_of
from fabricsim.design.scene.chart import Rows
from fabricsim.fabric.retied import TieKey
from fabricsim.study.change.charted import ChartAtRest

SHORTEST_CAUGHT = 3
"""Stitches that a float passes at the least to be caught for its pull (chosen: shorter ones are never caught)."""


def catchable(chart_ij: Rows, layout: Layout, listed: Collection[Hold]) -> list[Hold]:
    """Return a catch of every float that may be caught, behind every stitch that it passes where none is yet."""
    holds = {
        one.choices(step)[-1]
        for one in floats_behind(chart_ij, layout, SHORTEST_CAUGHT - 1)
        for step in range(len(one.squares))
    }
    taken = {other.square for other in listed}
    return [hold for hold in sorted(holds) if hold.square not in taken]


def catches_change(charted: ChartAtRest) -> dict[Hold, tuple[float, float]]:
    """Return by how much the share lost and the pucker (root mean square, m) would change with each catch alone: a new
    one made, or a listed one left out."""
    scene = charted.scene
    chart_ij, listed = tuple(map(tuple, scene.chart_rows())), frozenset(listed_holds(scene))
    keys_of: dict[Hold, list[TieKey]] = {}
    for hold in (*catchable(chart_ij, layout_of(scene), listed), *sorted(listed)):
        held = held_in_repeat(scene, listed ^ {hold})
        keys_of[hold] = charted.row_keys(hold.row, chart_ij[hold.row], held)
    for row in {hold.row for hold in keys_of}:
        charted.learn(row, sorted({key for hold, keys in keys_of.items() if hold.row == row for key in keys}))
    return {hold: charted.estimate({hold.row: keys}) for hold, keys in keys_of.items()}
