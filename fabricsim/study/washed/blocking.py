"""A washed piece pinned out, or dried over a form, and what it may be once the pins are out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import ArrayRecord, Floats, Mask
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.yarn import BlockedOver
from fabricsim.design.sizes.makeup import makeup_of
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form import shapes
from fabricsim.fabric.form.laying import is_closed
from fabricsim.fabric.form.pinned import pinned_out
from fabricsim.fabric.form.shapes import Form
from fabricsim.fabric.form.wearing import wear
from fabricsim.fabric.measures import Measures, girths, height_change, taut, widths
from fabricsim.fabric.relax import Progress
from fabricsim.fabric.setup import Fabric
from fabricsim.fabric.stretching import stretched
from fabricsim.study.worn.on_body import RIM_BELOW
from fabricsim.units import CM

NOTHING = (
    "no friction in the fabric: it springs back to its own rest (derived; the mechanics here has no friction between "
    "loops)"
)
ALL = (
    "loops stay as they were pulled: stockinette has no unique rest shape (Crassous, Poincloux, Steinberger 2024, "
    "Phys. Rev. Lett., abstract)"
)
"""The owners of the two ends between which a piece lies once its pins are out."""
PINNED = (0.5, 1.5)
"""Between what a piece may be pinned, over how wide its plain fabric is (chosen: half is a slip, half as much again
is more than knitting stretches at hand)."""
ALIKE = 1e-4
"""Share of its width by which a piece must be pinned out for its pins to pull (chosen: a twentieth of a millimetre)."""


@dataclass(frozen=True, eq=False, repr=False)
class Blocked(ArrayRecord):
    """A piece pinned out to ``pinned`` (m) ``over`` a board or a form, and dried.

    ``rest``: as it lies there, on a ``form`` if it is a tube; None where it is no narrower, so that nothing pulls on
    it, or where it found no rest, ``why_not``. ``width_i`` (rows,) m: how wide it lies there; ``taller``: the share by
    which it is taller (+) than before it was pinned; ``taut_f`` (f,) bool: floats that pull there.
    """

    pinned: float
    over: BlockedOver
    width_i: Floats
    taller: float
    taut_f: Mask
    rest: Equilibrium | None = None
    form: Form | None = None
    why_not: str = ""

    def springs(self, own_i: Floats) -> tuple[Floats, Floats]:
        """Return the least and the greatest that each row may be once the pins are out, (rows,) m, of rows as wide as
        ``own_i`` before."""
        return np.minimum(own_i, self.width_i), np.maximum(own_i, self.width_i)

    @property
    def hardest(self) -> int | None:
        """Which float pulls hardest there, of ``rest``; None if none does."""
        return int(self.rest.tension_f.argmax()) if self.rest is not None and self.taut_f.any() else None


def check_blocking(scene: Scene, case: Case, *, whole: bool = False) -> None:
    """Raise InputError for what can't be pinned out so, before anything is solved."""
    washed = scene.gauge.washed
    if washed is None or washed.pinned_cm is None:
        return
    plain_cm = len(scene.piece_rows()[0]) * scene.gauge.as_washed().stitch_width / CM
    least, most = (factor * plain_cm for factor in PINNED)
    if not least <= washed.pinned_cm <= most:
        where = scene.where("gauge.washed.pinned_cm")
        allowed = f"{least:.3g} to {most:.3g}, as plain fabric of as many stitches is {plain_cm:.3g} cm wide washed"
        raise InputError(where, f"{washed.pinned_cm:g}", allowed, "give the width of the piece, all round of a tube")
    where = scene.where("gauge.washed.over")
    if washed.over != "board" and case != "round":
        given, todo = f"'{washed.over}' in the case '{case}'", "only a tube goes over a form: take the case 'round'"
        raise InputError(where, given, "'board'", todo)
    if whole and washed.over == "board":
        # a board is as wide all along, and has no end that a crown could lie over: rib and cuff would be pulled to it
        given = "'board' for a whole piece, which isn't as wide all along"
        if case != "round" or not makeup_of(scene).crown:
            raise InputError(where, given, "the chart alone", "block that: --no-whole")
        closed = "'head' or 'hand', as its top is drawn together"
        raise InputError(where, given, closed, "name one, or block the chart alone: --no-whole")


def blocked(
    fabric: Fabric, off: Equilibrium, measures: Measures, pinned: float, over: BlockedOver, progress: Progress | None
) -> Blocked:
    """Return a washed piece, at rest ``off`` its pins, of which so much is measured, pinned out to ``pinned`` (m).

    What is no narrower than its pins want it lies as it lies.
    """
    mesh, own_i, own = off.mesh, measures.widths.width_i, measures.widths.width
    as_it_lies = Blocked(pinned, over, own_i, 0.0, measures.pull.taut_f)
    if over == "board" and pinned <= (1.0 + ALIKE) * own:
        return as_it_lies
    try:
        if mesh.case == "repeat":
            rest, form = stretched(fabric, "across", pinned / own - 1.0, off, progress), None
        elif mesh.case == "swatch":
            rest, form = pinned_out(fabric, off, pinned, progress), None
        else:
            form = _form(over, pinned, mesh.thickness, float(np.ptp(off.x_nc[:, 1])))
            at = -RIM_BELOW * pinned if is_closed(mesh) else 0.5 * (form.bottom + form.top) if over == "board" else 0.0
            worn = wear(fabric, off, form, at, None, lambda _: progress)
            if worn is None:
                return as_it_lies
            rest, form = worn.on.equilibrium, worn.form
    except NoEquilibriumError as why:
        return Blocked(pinned, over, own_i, 0.0, measures.pull.taut_f, why_not=str(why))
    width_i = widths(rest).width_i if form is None or is_closed(mesh) else girths(mesh, rest.x_nc)
    taller = (1.0 + height_change(rest)) / (1.0 + measures.height_change) - 1.0
    return Blocked(pinned, over, width_i, taller, taut(rest), rest, form)


def _form(over: BlockedOver, around: float, thickness: float, tall: float) -> Form:
    """Return what a tube is dried on, so wide that the middle of the fabric lies ``around`` (m)."""
    girth = around - np.pi * thickness
    if over == "head":
        return shapes.head(girth)
    return shapes.hand(girth, 0.0) if over == "hand" else shapes.board(girth, 2.0 * tall)
