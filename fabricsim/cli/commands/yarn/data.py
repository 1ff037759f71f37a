"""What ``yarn`` says to programs and spreadsheets."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim import units
from fabricsim.design.counted.yarn_amounts import Amounts, YarnAmount
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.piece.swatch import swatch_amounts
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash

SCHEMA_VERSION = 2
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def lines(piece: WholePiece, found: Amounts) -> list[dict[str, object]]:
    """Return a line for each yarn, for a spreadsheet."""
    return [_line(piece.scene, found, one) for one in found.yarns]


def lines_by_size(every: Sequence[tuple[WholePiece, Amounts]]) -> list[dict[str, object]]:
    """Return a line for each yarn of each size, for a spreadsheet."""
    return [
        {"size": piece.size, "stitches_across": piece.stitches, **line}
        for piece, found in every
        for line in lines(piece, found)
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
        "thumb_m": one.thumb,
        "seam_m": one.seam,
        "lining_m": one.lining,
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


def for_programs(piece: WholePiece, found: Amounts, edges: bool) -> dict[str, object]:
    """Return all of it for JSON, units in the keys."""
    scene = piece.scene
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "yarn",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "worked": scene.worked,
        "stitches": piece.stitches,
        "rows": len(list(piece.rows)),
        "rows_of": {one.kind: len(one.rows) for one in piece.sections},
        "repeats_across": scene.chart.across,
        "pieces": found.pieces,
        "margin_percent": 100 * found.yarns[0].margin,
        "cast_on_and_bind_off": edges,
        "patterned_rows_over_plain_percent": None if found.over_plain is None else 100 * found.over_plain,
        "mass_g_per_m2": found.areal_mass / units.GRAM,
        "yarns": lines(piece, found),
        "swatch": _swatch(scene, found),
    }


def _swatch(scene: Scene, found: Amounts) -> dict[str, object]:
    """Return the swatch, which comes on top."""
    swatch, amounts = swatch_amounts(scene, 100.0 * found.yarns[0].margin)
    rows = swatch.knitted_rows()
    return {
        "stitches": len(rows[0]),
        "rows": len(rows),
        "yarns": [
            {"yarn": scene.yarns[one.yarn].symbol, "wanted_m": one.wanted, "wanted_g": one.wanted_mass / units.GRAM}
            for one in amounts.yarns
        ],
    }


def for_programs_by_size(scene: Scene, every: Sequence[tuple[WholePiece, Amounts]], edges: bool) -> dict[str, object]:
    """Return the yarn of every size for JSON."""
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "yarn",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "sizes": [{"size": piece.size, **for_programs(piece, found, edges)} for piece, found in every],
    }
