"""What ``place`` says to programs and spreadsheets."""

from __future__ import annotations

from typing import Any

from fabricsim.cli.commands.place.words import PlaceTold
from fabricsim.cli.shell.answer import head_of
from fabricsim.design.counted.chart_in_text import printed_rows
from fabricsim.units import CM, MM

SCHEMA_VERSION = 2
"""Of the JSON; raised whenever a key changes its meaning or goes."""
COLUMNS = ("laid", "plain_rows", "draw_in_percent", "pucker_mm", "floats_over_limit")
"""Of the table for spreadsheets: keys of every line, one a way to lay repeats."""


def for_programs(told: PlaceTold) -> dict[str, Any]:
    """Return all of it for JSON: stitches of the chart from 1, from the right."""
    scene = told.scene
    return {
        **head_of("place", SCHEMA_VERSION, scene),
        "floats_carried": "all alike",
        "rounds_begin": [
            {
                "stitch": one.stitch,
                "floats_over_join": one.joins,
                "longest_gap_stitches": one.longest,
                "stitches_passed": one.together,
                "floats_over_limit": one.over,
            }
            for one in told.begun
        ],
        "laid": [
            {**line, "chart": printed_rows(one.rows, scene.symbols)}
            for line, one in zip(lines(told), told.laid, strict=True)
        ],
        "met": [
            {
                "stitches": one.stitches,
                "repeats": one.repeats,
                "plain_beside_each": one.wider,
                "plain_at_the_end": one.left,
                "draw_in_percent": None if one.lost is None else 100.0 * one.lost,
                "around_cm": None if one.around is None else one.around / CM,
                "floats_over_limit": one.over,
            }
            for one in told.met
        ],
    }


def lines(told: PlaceTold) -> list[dict[str, object]]:
    """Return a line for every way to lay repeats, for a spreadsheet."""
    return [
        {
            "laid": one.kind,
            "plain_rows": one.plain,
            "draw_in_percent": None if one.lost is None else 100.0 * one.lost,
            "pucker_mm": None if one.pucker is None else one.pucker / MM,
            "floats_over_limit": one.over,
        }
        for one in told.laid
    ]
