"""A plan of catches for programs and spreadsheets."""

from __future__ import annotations

from typing import Any

from fabricsim import units
from fabricsim.cli.commands.catches.words import PlanTold
from fabricsim.cli.words.float_keys import limits
from fabricsim.design.floats.caught import CaughtStitch
from fabricsim.design.rows.squares import Passed, Square
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""
COLUMNS = (
    "row",
    "stitch",
    "yarns_caught",
    "behind_yarn",
    "repeat",
    "stitch_of_its_colour",
    "stitches_of_its_colour",
    "listed",
)
"""Of the table for spreadsheets: keys of every line."""


def for_programs(told: PlanTold) -> dict[str, Any]:
    """Return all of it for JSON: rows and stitches from 1 as knitters count, units in the keys."""
    scene, plan = told.scene, told.plan
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "catches",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "worked": scene.worked,
        "limits": {**limits(scene), "longest_open_stitches": plan.most},
        "before": told.before._asdict(),
        "after": told.after._asdict(),
        "planned": len(plan.planned),
        "listed": len(plan.listed),
        "fewest_proven": plan.fewest_proven,
        "places_proven": plan.places_proven,
        "fewer_at_most": plan.fewer,
        "fewer_stacked_or_side_by_side_at_most": plan.clashes_fewer,
        "better_placed_at_most_percent": 100 * plan.cheaper,
        "catches": lines(scene, told.stitches),
        "stacked": [
            {"lower": _square(scene, low.square), "upper": _square(scene, high.square)} for low, high in plan.stacked
        ],
        "side_by_side": [
            {"right": _square(scene, right.square), "left": _square(scene, left.square)}
            for right, left in plan.side_by_side
        ],
        "left_open": [_gap(scene, one) for one in plan.left_open],
        "very_long": [_gap(scene, one) for one in told.very_long],
    }


def lines(scene: Scene, stitches: list[CaughtStitch]) -> list[dict[str, object]]:
    """Return a line for each catch, in the order of the knitting."""
    symbols = scene.symbols
    return [
        {
            "row": one.row,
            "stitch": one.stitch,
            "yarns_caught": "".join(symbols[yarn] for yarn in one.caught),
            "behind_yarn": symbols[one.front],
            "repeat": one.repeat,
            "stitch_of_its_colour": one.nth,
            "stitches_of_its_colour": one.run,
            "listed": one.listed,
        }
        for one in stitches
    ]


def _square(scene: Scene, square: Square) -> dict[str, int]:
    return {"row": square[0] + 1, "stitch": scene.stitches_per_repeat - square[1]}


def _gap(scene: Scene, one: Passed) -> dict[str, Any]:
    """Return a stretch of a float by the first square that it passes behind, from the right."""
    return {
        "yarn": scene.symbols[one.yarn],
        **_square(scene, one.squares[0]),
        "gap_stitches": len(one.squares),
        "gap_cm": len(one.squares) * scene.gauge.stitch_width / units.CM,
    }
