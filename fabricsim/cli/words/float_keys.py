"""How programs are told of a float: the same keys from every command, rows and stitches from 1 as knitters count."""

from __future__ import annotations

from typing import Any

from fabricsim import units
from fabricsim.cli.words.counts import stitch_number
from fabricsim.design.floats.found import Float
from fabricsim.design.scene.model import Scene

FLOAT_KEYS = (
    "yarn",
    "row",
    "stitch",
    "to_row",
    "to_stitch",
    "worked",
    "gap_stitches",
    "gap_cm",
    "span_cm",
    "slack_percent",
    "yarn_cm",
    "kind",
    "starts_at_catch",
    "ends_at_catch",
)
"""Of every float, in their order."""


def float_keys(scene: Scene, one: Float) -> dict[str, Any]:
    """Return one float, from where it leaves to where it ends in the order of the knitting; stitch 1 is rightmost,
    those of a steek before it are 0 and less."""
    return {
        "yarn": scene.yarns[one.yarn].symbol,
        "row": one.row + 1,
        "stitch": stitch_number(scene, one, one.start),
        "to_row": one.end_row + 1,
        "to_stitch": stitch_number(scene, one, one.end),
        "worked": "right to left" if one.direction < 0 else "left to right",
        "gap_stitches": one.gap,
        "gap_cm": one.gap_width / units.CM,
        "span_cm": one.span / units.CM,
        "slack_percent": 100 * one.slack,
        "yarn_cm": one.yarn_length / units.CM,
        "kind": one.kind,
        "starts_at_catch": one.caught_start,
        "ends_at_catch": one.caught_end,
    }


def limits(scene: Scene) -> dict[str, float | None]:
    """Return how long the scene lets a float be; None for what doesn't count."""
    return {"longest_gap_stitches": scene.limits.longest_gap, "longest_gap_cm": scene.limits.longest_cm}
