"""What a fabric at rest is called: as what it is seen, and the titles of its pictures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fabricsim.cli.words.counts import count, row_word
from fabricsim.design.scene.choices import Case

if TYPE_CHECKING:
    from fabricsim.design.scene.model import Scene
    from fabricsim.fabric.equilibrium import Equilibrium
    from fabricsim.fabric.mesh import Mesh

CASE_WORDS: dict[Case, str] = {
    "repeat": "endless repeats, far from any edge and without weight",
    "swatch": "a swatch on a table, edges free, held down by its own weight",
    "round": "a tube without weight, floats inside",
}


def seen_as(scene: Scene, mesh: Mesh) -> str:
    """Return how a fabric is seen and how large it is: ``Seen as a tube without weight: 60 stitches x 9 rounds.``"""
    rows = count(mesh.rows, row_word(scene))
    return f"Seen as {CASE_WORDS[mesh.case]}: {count(mesh.stitches, 'stitch')} x {rows}."


def titled(equilibrium: Equilibrium, part: str) -> str:
    """Return the title of a picture: of what, which part and how slack its floats were knitted, so that tight can be
    laid beside loose; how slack they lie at rest is another number."""
    slacks = sorted({round(100 * one.slack) for one in equilibrium.floats})
    ends = " to ".join(f"{one}" for one in dict.fromkeys((slacks[0], slacks[-1]))) if slacks else ""
    how = f", knitted with slack {ends} %" if slacks else ""
    return f"{equilibrium.scene.title}: {part}{how}"
