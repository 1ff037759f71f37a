"""What a fabric at rest is called: as what it is seen, and the titles of its pictures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fabricsim.cli.words.counts import count, row_word
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.shaped_piece import seam_of, shaped_rows
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.shaped_measures import counts
from fabricsim.fabric.whole import is_whole

if TYPE_CHECKING:
    from fabricsim.design.scene.model import Scene
    from fabricsim.fabric.equilibrium import Equilibrium
    from fabricsim.fabric.mesh import Mesh

CASE_WORDS: dict[Case, str] = {
    "repeat": "endless repeats, far from any edge and without weight",
    "swatch": "a swatch on a table, free to draw in, held down by its own weight",
    "round": "a tube without weight, floats inside",
}


def seen_as(scene: Scene, mesh: Mesh) -> str:
    """Return how a fabric is seen and how large it is: ``Seen as a tube without weight: 60 stitches x 9 rounds.``"""
    if is_whole(mesh):
        return _whole_seen(scene, mesh)
    rows = count(mesh.rows, row_word(scene))
    seen = f"Seen as {CASE_WORDS[mesh.case]}: {count(mesh.stitches, 'stitch')} x {rows}."
    return " ".join(filter(None, (seen, straight_said(scene))))


def straight_said(scene: Scene) -> str:
    """Return that a scene which shapes its piece is seen without that; nothing of any other."""
    if scene.shaping is None:
        return ""
    begins = count(scene.stitches_per_repeat * scene.chart.across, "stitch")
    return f"Its shaping is left out here: it is seen straight, with the {begins} that its chart begins with."


def _whole_seen(scene: Scene, mesh: Mesh) -> str:
    """Return how large a whole piece is, from its cast-on to what is left at its end."""
    count_i, unit = counts(mesh), row_word(scene)
    what = "the whole piece as it is worked" if mesh.case == "round" else "the whole piece flat on a table"
    if mesh.case == "round" and scene.worked == "flat":
        what = "the whole piece sewn up"
    end = "drawn together" if len(count_i) < mesh.rows else "left"
    seam = sum(seam_of(piece_of(scene)))
    taken = f", {seam} of the stitches in its seam" if seam else ""
    return (
        f"Seen as {what}: {count(int(count_i[0]) + seam, 'stitch')} cast on, {int(count_i.max()) + seam} at the most, "
        f"{int(count_i[-1]) + seam} {end}, {count(len(count_i), unit)}{taken}."
    )


def row_said(scene: Scene, mesh: Mesh, row: int) -> str:
    """Return what a row (from 0) of a fabric is called: ``round 14``; of a whole piece as its pattern does."""
    return rows_said(scene, mesh)[row] if is_whole(mesh) else f"{row_word(scene)} {row + 1}"


def in_a_title(name: str) -> str:
    """Return what a row is called as a title begins with it: ``Round 14``."""
    return name[0].upper() + name[1:]


def rows_said(scene: Scene, mesh: Mesh) -> list[str]:
    """Return the same of every row of a fabric, from below; what is drawn together above the last is its top."""
    if not is_whole(mesh):
        return [f"{row_word(scene)} {row + 1}" for row in range(mesh.rows)]
    names = [row.name for row in shaped_rows(piece_of(scene)).rows]
    return [*names, *["the drawn-up top"] * (mesh.rows - len(names))]


def titled(equilibrium: Equilibrium, part: str) -> str:
    """Return the title of a picture: of what, which part and how slack its floats were knitted, so that tight can be
    laid beside loose; how slack they lie at rest is another number."""
    slacks = sorted({round(100 * one.slack) for one in equilibrium.floats})
    ends = " to ".join(f"{one}" for one in dict.fromkeys((slacks[0], slacks[-1]))) if slacks else ""
    how = f", knitted with slack {ends} %" if slacks else ""
    return f"{equilibrium.scene.title}: {part}{how}"
