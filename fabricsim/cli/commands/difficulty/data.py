"""What ``difficulty`` says to programs and spreadsheets."""

from __future__ import annotations

from math import inf
from typing import Any

from fabricsim.design.counted import difficulty as design
from fabricsim.design.counted.difficulty import Difficulty, Level, Stack, Steps
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def lines(found: Difficulty) -> list[dict[str, object]]:
    """Return a line for each measure, for a spreadsheet."""
    return [{"measure": name, **_line(value, steps, found.levels[name])} for name, value, steps in _measures(found)]


def _measures(found: Difficulty) -> list[tuple[str, float, Steps]]:
    """Return every measure with its limits: the most that is easy, the most that takes practice."""
    return [
        ("stack", found.stack.rows if found.stack else 0, design.STACK),
        ("three", found.three, design.THREE_COLOURS),
        ("mean_gap", found.mean_gap, design.MEAN_GAP),
        ("longest_gap", found.longest_gap, found.longest_gaps),
        ("bulging", found.bulging, design.BULGING),
        ("changes", found.changes, design.CHANGES),
    ]


def _line(value: float, steps: Steps, level: Level) -> dict[str, object]:
    return {"value": value, "easy_up_to": steps.easy, "hard_above": _hard_above(steps), "level": level}


def _hard_above(steps: Steps) -> float | None:
    """Return above what it is hard; None for what never is."""
    return None if steps.practice == inf else steps.practice


def for_programs(scene: Scene, found: Difficulty) -> dict[str, Any]:
    """Return all of it for JSON, units in the keys."""
    stack = found.stack
    levels = found.levels
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "difficulty",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "worked": scene.worked,
        "verdict": found.verdict,
        "rows": found.rows,
        "patterned_rows": found.patterned,
        "longest_stack": None
        if stack is None
        else {"rows": stack.rows, "from_row": stack.first + 1, "left_of_chart_stitch": stitch_of(scene, stack)},
        "rows_with_three_colours": found.three,
        "floats": found.floats,
        "mean_gap_stitches": found.mean_gap,
        "longest_gap_stitches": found.longest_gap,
        "longest_gap_where_rounds_join_stitches": found.at_join,
        "rows_in_bands": found.in_bands,
        "rows_in_bands_without_float": found.without,
        "changes_per_100_stitches": found.changes,
        "levels": {
            "longest_stack": levels["stack"],
            "rows_with_three_colours": levels["three"],
            "mean_gap": levels["mean_gap"],
            "longest_gap": levels["longest_gap"],
            "rows_in_bands_without_float": levels["bulging"],
            "changes": levels["changes"],
        },
    }


def stitch_of(scene: Scene, stack: Stack) -> int:
    """Return the stitch of the chart at the left of which the colour changes."""
    return (len(scene.piece_rows()[0]) - stack.left - 2) % scene.stitches_per_repeat + 1
