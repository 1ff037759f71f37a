"""How the top of what is drawn together lies, and where stitches come or go too fast, in words."""

from __future__ import annotations

from typing import Any

from fabricsim.cli.words.fabric import row_said
from fabricsim.cli.words.measures import closed_as
from fabricsim.design.piece.making import piece_of
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.crown import CrownShape, crown_shape
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.giving import Ruffle, ruffle
from fabricsim.fabric.mesh import Mesh
from fabricsim.lengths import long
from fabricsim.units import CM

FLAT, POINTED = 0.5, 1.0
"""How high a top rises over the radius that it has at its foot, up to which it is called flat, and from which pointed
(chosen: about 27 and 45 degrees)."""
FEWER_GO = (
    "Its top {lies}: that comes of stitches going too fast, not of its floats. Decrease in fewer "
    "rounds (without crown_every it closes flat), then look at the floats."
)


def too_fast(scene: Scene, mesh: Mesh, fast: Ruffle, top: CrownShape | None = None) -> str:
    """Return that stitches come or go too fast there, what that makes of a ``top``, and how many would lie flat."""
    first, last = (row_said(scene, mesh, row) for row in (fast.first, fast.last))
    return (
        f"From {first} to {last} stitches {'go' if fast.fewer else 'come'} by up to {fast.most:.1f} a round, where a "
        f"flat disc takes {fast.loses:.1f} at this gauge: {_made_of(top)}. With {int(fast.loses)} a round on the "
        "average it lies flat, with fewer it makes a cone."
    )


def _made_of(top: CrownShape | None) -> str:
    """Return what comes of stitches that go too fast."""
    if top is None or top.lies == "ruffled":
        return "it ruffles there"
    if top.lies == "dished":
        return "it turns in there, as a dish does"
    return "there is no room for all of them, so they lie pressed together there"


def top_figure(rest: Equilibrium) -> tuple[str, str] | None:
    """Return the labelled line that tells how the top of a piece lies; None of what is open."""
    top = crown_shape(rest)
    if top is None:
        return None
    label = "Crown" if closed_as(piece_of(rest.scene)) == "hat" else "Tip"
    return (
        label,
        f"{_lies(top)}; {top.loses:.1f} stitches go in a round on the average, a flat disc takes {top.disc:.1f}",
    )


def _lies(top: CrownShape) -> str:
    if top.lies == "ruffled":
        return f"ruffles, by {long(top.waves)} from peak to valley"
    if top.lies == "dished":
        return f"dishes: its middle lies {long(top.dips)} lower than the round about it"
    steep = top.rises / top.radius
    how = "nearly flat" if steep <= FLAT else "round" if steep <= POINTED else "to a point"
    return f"closes {how}, {long(top.rises)} high, without a ruffle"


def said_of_shape(rest: Equilibrium) -> list[str]:
    """Return in sentences what a picture of a piece at rest leaves open of its shape."""
    top, fast, line = crown_shape(rest), ruffle(rest.mesh), top_figure(rest)
    said = [] if fast is None else [too_fast(rest.scene, rest.mesh, fast, top)]
    return said if line is None else [*said, f"Its {line[0].lower()} {line[1]}."]


def top_for_programs(top: CrownShape) -> dict[str, Any]:
    """Return the same to programs, units in the keys."""
    return {
        "lies": top.lies,
        "stitches_go_in_a_round": top.loses,
        "a_flat_disc_takes": top.disc,
        "angle_defect_degrees": 360.0 * top.defect,
        "rises_cm": top.rises / CM,
        "dips_cm": top.dips / CM,
        "waves_cm": top.waves / CM,
    }
