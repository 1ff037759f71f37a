"""The lines that needle corners leave up a tube, in words and to programs."""

from __future__ import annotations

from typing import Any

from fabricsim.cli.words.counts import count, listed
from fabricsim.cli.words.shares import SAID, percent
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.needle_corners import Needles
from fabricsim.fabric.corner_line import CornerLine, TurnedOut
from fabricsim.lengths import fine
from fabricsim.units import MM

SAID_RIDGE = 0.05 * MM
"""Heights below half of the last digit printed are nothing, m."""


def corner_figure(scene: Scene, line: CornerLine, stitches: int, unit: str, first: str = "") -> tuple[str, str]:
    """Return the labelled line that tells of the corners; of rounds that differ in their count ``first`` is what the
    first with such a float is called, and ``stitches`` are its."""
    rules = scene.floats
    between = listed([f"{stitches - column or stitches}" for column in sorted(line.column_k.tolist(), reverse=True)])
    if first:
        between += f" of {first} and over the same stitches further up"
    if line.narrower >= SAID:
        seen = f"stitches along these lines are {percent(line.narrower, 1)} narrower than the others"
        if abs(line.ridge) >= SAID_RIDGE:
            seen += f" and {'stand' if line.ridge > 0.0 else 'lie'} {fine(abs(line.ridge))} further "
            seen += "out, in a ridge" if line.ridge > 0.0 else "in, in a groove"
    else:
        seen = "they leave no line of narrower stitches"
    return (
        "Corners",
        f"{_on(rules.needles)} {count(line.floats, 'float')} in {count(line.rows, unit)} lie round a corner, after "
        f"stitch {between}, and are {percent(rules.corner_shorter)} shorter; {line.taut:,} of them are taut, and {seen}"
        ". Knitted inside out (--inside-out) they go round outside and lose nothing",
    )


def turned_figure(turned: TurnedOut, line: CornerLine) -> tuple[str, str]:
    """Return the labelled line that tells what the same hands would knit inside out."""
    along = (
        f"stitches along those lines {percent(turned.narrower, 1)} narrower than the others in place of "
        f"{percent(line.narrower, 1)}"
        if turned.narrower >= SAID
        else "no line at all"
    )
    loss, taut = turned.measures.widths.overall, turned.measures.pull.taut
    width = f"{percent(loss, 1)} narrower than plain" if loss >= SAID else "as wide as plain"
    return "Inside out", f"knitted so by the same hands: {along}; {width} all round, {count(taut, 'float')} taut"


def _on(needles: Needles | None) -> str:
    return {"double-pointed": "on four double-pointed needles", "magic loop": "by magic loop"}.get(
        str(needles), "on two circular needles"
    )


def corners_for_programs(
    line: CornerLine, stitches: int, turned: TurnedOut | None = None, below: int = 0
) -> dict[str, Any]:
    """Return all of it for JSON, units in the keys; stitches counted from 1 at the right, in the first of its rounds;
    ``below``: rounds below the one that is numbered 1."""
    return {
        "after_stitches": sorted(stitches - column or stitches for column in line.column_k.tolist()),
        "floats": line.floats,
        "rounds": line.rows,
        "in_rounds": [row + 1 - below for row in line.row_r.tolist()],
        "taut": line.taut,
        "narrower_percent": 100.0 * line.narrower,
        "ridge_mm": line.ridge / MM,
        **(
            {}
            if turned is None
            else {
                "inside_out": {
                    "draw_in_percent": 100.0 * turned.measures.widths.overall,
                    "floats_taut": turned.measures.pull.taut,
                    "narrower_percent": 100.0 * turned.narrower,
                    "ridge_mm": turned.ridge / MM,
                }
            }
        ),
    }
