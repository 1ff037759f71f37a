"""What ``why`` says to programs and spreadsheets."""

from __future__ import annotations

from typing import Any

from fabricsim.cli.shell.answer import head_of
from fabricsim.design.catches.plan import listed_holds
from fabricsim.design.rows.squares import EVERY_STRAND
from fabricsim.study.change.costs import Costs, FloatPlace, ordered
from fabricsim.units import MM

SCHEMA_VERSION = 2
"""Of the JSON; raised whenever a key changes its meaning or goes."""
COLUMNS = ("row", "stitch", "yarn", "gap_stitches", "width_lost_percent", "of_the_loss_percent")
"""Of the table for spreadsheets: keys of every line, one a float of the chart."""


def for_programs(found: Costs) -> dict[str, Any]:
    """Return all of it for JSON: rows and stitches of the chart from 1, from the bottom right."""
    scene, measures = found.scene, found.measures
    wide, listed = scene.stitches_per_repeat, listed_holds(scene)
    return {
        **head_of("why", SCHEMA_VERSION, scene),
        "case": found.case,
        "floats_carried": "all alike",
        "draw_in_percent": 100.0 * measures.widths.overall,
        "width_lost_told_by_floats_percent": 100.0 * found.told,
        "width_lost_for_1_percent_more_slack_percent": -found.by_slack,
        "rows": [
            {
                "row": row + 1,
                "width_lost_percent": 100.0 * cost,
                "width_lost_for_1_percent_more_slack_percent": -found.row_by_slack[row],
            }
            for row, cost in sorted(found.rows.items())
        ],
        "floats": lines(found),
        "squares": [
            {
                "row": row + 1,
                "stitch": wide - column,
                "yarn": scene.symbols[yarn],
                "width_lost_changes_by_percent": 100.0 * one.lost,
                "pucker_rms_changes_by_mm": one.rough / MM,
            }
            for ((row, column), yarn), one in ordered(found.squares)
        ],
        "catches": [
            {
                "row": hold.row + 1,
                "stitch": wide - hold.column,
                "yarn": None if hold.yarn == EVERY_STRAND else scene.symbols[hold.yarn],
                "repeats": hold.repeat,
                "there": hold in listed,
                "width_lost_changes_by_percent": 100.0 * one.lost,
                "pucker_rms_changes_by_mm": one.rough / MM,
            }
            for hold, one in sorted(found.catches.items(), key=lambda one: (one[1].lost, one[0]))
        ],
    }


def lines(found: Costs) -> list[dict[str, object]]:
    """Return a line for every float of the chart, those that cost the most first."""
    told = found.told
    return [_float(found, place, cost, told) for place, cost in _by_cost(found)]


def _by_cost(found: Costs) -> list[tuple[FloatPlace, float]]:
    return sorted(found.floats.items(), key=lambda one: (-one[1], one[0]))


def _float(found: Costs, place: FloatPlace, cost: float, told: float) -> dict[str, object]:
    row, column, gap, yarn = place
    scene = found.scene
    wide = scene.stitches_per_repeat
    return {
        "row": row + 1,
        "stitch": wide - (column + gap) % wide,  # the first that it passes, read from the right
        "yarn": scene.symbols[yarn],
        "gap_stitches": gap,
        "width_lost_percent": 100.0 * cost,
        "of_the_loss_percent": 100.0 * cost / told if told > 0.0 else 0.0,
    }
