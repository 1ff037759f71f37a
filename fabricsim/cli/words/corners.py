"""The lines that needle corners leave up a tube, in words and to programs."""

from __future__ import annotations

from typing import Any

from fabricsim.cli.words.counts import count, listed
from fabricsim.cli.words.shares import SAID, percent
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.needle_corners import Needles
from fabricsim.fabric.corner_line import CornerLine


def corner_figure(scene: Scene, line: CornerLine, stitches: int, unit: str) -> tuple[str, str]:
    """Return the labelled line that tells of the corners."""
    rules = scene.floats
    between = listed([f"{stitches - column or stitches}" for column in sorted(line.column_k.tolist(), reverse=True)])
    if line.narrower >= SAID:
        seen = f"stitches along these lines are {percent(line.narrower, 1)} narrower than the others"
    else:
        seen = "they leave no line of narrower stitches"
    return (
        "Corners",
        f"{_on(rules.needles)} {count(line.floats, 'float')} in {count(line.rows, unit)} lie round a corner, after "
        f"stitch {between}, and are {percent(rules.corner_shorter)} shorter; {line.taut:,} of them are taut, and {seen}"
        ". Knitted inside out (--inside-out) they go round outside and lose nothing",
    )


def _on(needles: Needles | None) -> str:
    return {"double-pointed": "on four double-pointed needles", "magic loop": "by magic loop"}.get(
        str(needles), "on two circular needles"
    )


def corners_for_programs(line: CornerLine, stitches: int) -> dict[str, Any]:
    """Return all of it for JSON, units in the keys; stitches counted from 1 at the right."""
    return {
        "after_stitches": sorted(stitches - column or stitches for column in line.column_k.tolist()),
        "floats": line.floats,
        "rounds": line.rows,
        "taut": line.taut,
        "narrower_percent": 100.0 * line.narrower,
    }
