"""What ``mend`` says to programs and spreadsheets."""

from __future__ import annotations

from typing import Any

from fabricsim.cli.commands.mend.words import MendTold
from fabricsim.design.counted.chart_in_text import printed_rows
from fabricsim.design.counted.edits import Edit
from fabricsim.design.rows.squares import Passed, Square
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""
COLUMNS = ("change", "row", "stitch", "from_yarn", "to_yarn", "breaks_yarn", "passed_behind_stitches")
"""Of the table for spreadsheets: keys of every line."""


def for_programs(told: MendTold) -> dict[str, Any]:
    """Return all of it for JSON: rows and stitches of the chart from 1, from the bottom right."""
    scene, found = told.scene, told.found
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "mend",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "longest_gap_allowed": found.most,
        "mirror_image_of_itself": "left to right" in found.symmetric,
        "symmetries": list(found.symmetric),
        "floats_over_limit_in_piece": {"before": told.before, "after": told.after},
        "changes": [
            {
                "float": _float(scene, one.float),
                "stitches": _edit(scene, one.edit),
                "smallest_without_symmetry": None if one.alone is None else _edit(scene, one.alone),
                "broken": one.broken,
                "catches_instead": one.catches,
            }
            for one in found.mended
        ],
        "left": [_float(scene, one) for one in found.left],
        "changed_rows": [
            {"row": row + 1, "before": told.row(found.before, row), "after": told.row(found.after, row)}
            for row in found.changed_rows
        ],
        "chart": printed_rows(found.after, scene.symbols),
    }


def lines(told: MendTold) -> list[dict[str, object]]:
    """Return a line for every stitch that changes, for a spreadsheet."""
    scene, before = told.scene, [list(row) for row in told.found.before]
    made: list[dict[str, object]] = []
    for number, one in enumerate(told.found.mended, start=1):
        for (row, column), yarn in one.edit:
            made.append(
                {
                    "change": number,
                    "row": row + 1,
                    "stitch": scene.stitches_per_repeat - column,
                    "from_yarn": scene.symbols[before[row][column]],
                    "to_yarn": scene.symbols[yarn],
                    "breaks_yarn": scene.symbols[one.float.yarn],
                    "passed_behind_stitches": len(one.float.squares),
                }
            )
            before[row][column] = yarn
    return made


def _square(scene: Scene, square: Square) -> dict[str, int]:
    return {"row": square[0] + 1, "stitch": scene.stitches_per_repeat - square[1]}


def _edit(scene: Scene, edit: Edit) -> list[dict[str, object]]:
    return [{**_square(scene, square), "yarn": scene.symbols[yarn]} for square, yarn in edit]


def _float(scene: Scene, one: Passed) -> dict[str, object]:
    return {"yarn": scene.symbols[one.yarn], **_square(scene, one.squares[0]), "gap_stitches": len(one.squares)}
