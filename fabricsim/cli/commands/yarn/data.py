"""What ``yarn`` says to programs and spreadsheets."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim import units
from fabricsim.cli.shell.by_size import InSize
from fabricsim.design.counted.yarn_amounts import Amounts, YarnAmount
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def lines(scene: Scene, found: Amounts) -> list[dict[str, object]]:
    """Return a line for each yarn, for a spreadsheet."""
    return [_line(scene, found, one) for one in found.yarns]


def lines_by_size(scene: Scene, every: Sequence[tuple[InSize, Amounts]]) -> list[dict[str, object]]:
    """Return a line for each yarn of each size, for a spreadsheet."""
    return [
        {"size": size.name, "stitches_across": size.stitches, **line}
        for size, found in every
        for line in lines(scene, found)
    ]


def _line(scene: Scene, found: Amounts, one: YarnAmount) -> dict[str, object]:
    """Return one yarn, units in the keys."""
    own = scene.yarns[one.yarn]
    return {
        "yarn": own.symbol,
        "name": own.name,
        "stitches": one.stitches,
        "stitch_share_percent": 100 * found.stitch_share(one),
        "yarn_share_percent": 100 * found.yarn_share(one),
        "loops_m": one.loops,
        "floats_m": one.floats,
        "catches_m": one.catches,
        "carried_up_m": one.carried,
        "edges_m": one.edges,
        "ends": one.ends,
        "ends_m": one.tails,
        "used_m": one.length,
        "used_g": one.mass / units.GRAM,
        "wanted_m": one.wanted,
        "wanted_g": one.wanted_mass / units.GRAM,
        "ball_g": own.ball_grams,
        "ball_m": own.ball_length,
        "balls": one.balls,
    }


def for_programs(scene: Scene, found: Amounts, edges: bool) -> dict[str, object]:
    """Return all of it for JSON, units in the keys."""
    rows = scene.piece_rows()
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "yarn",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "worked": scene.worked,
        "stitches": len(rows[0]),
        "rows": len(rows),
        "repeats_across": scene.chart.across,
        "pieces": found.pieces,
        "margin_percent": 100 * found.yarns[0].margin,
        "cast_on_and_bind_off": edges,
        "patterned_rows_over_plain_percent": None if found.over_plain is None else 100 * found.over_plain,
        "mass_g_per_m2": found.areal_mass / units.GRAM,
        "yarns": lines(scene, found),
    }


def for_programs_by_size(scene: Scene, every: Sequence[tuple[InSize, Amounts]], edges: bool) -> dict[str, object]:
    """Return the yarn of every size for JSON."""
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "yarn",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "sizes": [{"size": size.name, **for_programs(size.scene, found, edges)} for size, found in every],
    }
