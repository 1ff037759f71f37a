"""Put a tube on a form and let it come to rest: without friction, then with as little and as much as there may be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask, dot, norms
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.contact import Contact
from fabricsim.fabric.crossing import crossing_cells
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form.laying import Laid, laid
from fabricsim.fabric.form.placed import FORM_RATIO, GIVE, SOFT, Drag, Placed, up_the_form
from fabricsim.fabric.form.shapes import Form
from fabricsim.fabric.mesh import FloatTable, Mesh
from fabricsim.fabric.relax import Patience, Progress, come_to_rest
from fabricsim.fabric.setup import Fabric
from fabricsim.fabric.turned import let_go_round
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.terms import Term

LEAST_FRICTION, MOST_FRICTION = 0.2, 0.5
"""Coefficient of friction of fabric on skin and hair: the least as cotton sliding on a dry forearm, 0.25 +- 0.05, where
it was lowest (Temel, Johnson, Lloyd 2022, Tribology Letters 70(1), abstract); the most chosen, well below the 0.9 of a
chest there, as hair and dry wool slide more easily."""
STEPS = 80
"""Most steps of a fabric with friction: one that takes more slides on and on (chosen: those that hold take ten)."""
FRICTION = Patience(steps=STEPS, ramps=(1,))
TURNS = 8
"""Most times that friction is set anew by how hard the fabric presses (chosen: two or three do)."""
SETTLED = 0.01
"""Share of all friction by which it may still change (chosen)."""
YIELDING = 2.0
"""Stiffness of a form that gives, as ``FORM_RATIO`` says it of one that doesn't (chosen: fabric sinks in by a tenth of
its thickness; on one half as stiff, or twice, a whole hat takes several times as long)."""
ANEW = (-1e-3, SOFT)
"""Softness of a form, in thicknesses, for which a tube is laid anew where it finds no rest over one that gives: a bit
off it, so that nothing is sunk in, and sunk in as at first (chosen: very tight floats pull it into what gives and rest
from the one, round the edges of a board it rests from the other)."""
ROUGHLY = Patience(tolerance=1e-2, steps=60, ramps=(1,))
"""How near to rest it comes on a form that gives (chosen: which stitches touch is then known but for a few)."""
EVENLY = 1e-3
"""Share of the energy by which a step of rounds that stay even must lessen it for another to follow (chosen: to get
there takes ten steps, none of which factorises anything large)."""
SLIPPED = 0.02
"""Metres along the form beyond which a piece slips, where less is riding up (chosen: a wearer pulls it down again)."""
GRIPS = 0.5
"""Share of its push below which a piece that has moved no longer grips (chosen)."""

Hold = Literal["holds", "rides", "slips"]


@dataclass(frozen=True, eq=False)
class Resting:
    """A tube on a form, at rest under ``friction``: ``equilibrium``; ``push_n`` (n,) N, how hard each stitch presses on
    the form, and ``drag_n`` (n,) N, how hard friction keeps it from
    sliding up it (negative: down); ``rides`` m: how far up it has gone, the mean of
    all stitches, from where it was put on."""

    friction: float
    equilibrium: Equilibrium
    push_n: Floats
    drag_n: Floats
    rides: float


@dataclass(frozen=True, eq=False)
class Worn:
    """A tube put on a ``form``, in the form's own heights.

    ``off``: before; ``on``: as it was put on, without friction, its middle round kept where it lies; ``needs``: the
    friction that keeps it there, all that it would slide over all that it presses; ``slick``, ``firm``: with the least
    and the most friction, None where it slides off.
    """

    form: Form
    off: Equilibrium
    on: Resting
    needs: float
    slick: Resting | None
    firm: Resting | None

    def hold(self, resting: Resting | None) -> Hold:
        """Return whether it holds: what moves by less than a row does; what moves farther than ``SLIPPED``, or until it
        presses by less than ``GRIPS`` of what it did, slips."""
        if resting is None or abs(resting.rides) > SLIPPED or resting.push_n.sum() < GRIPS * self.on.push_n.sum():
            return "slips"
        return "holds" if abs(resting.rides) < self.off.mesh.row_height else "rides"


def wear(
    fabric: Fabric,
    off: Equilibrium,
    form: Form,
    at: float,
    frictions: tuple[float, float] | None = (LEAST_FRICTION, MOST_FRICTION),
    stage: Callable[[str], Progress | None] | None = None,
) -> Worn | None:
    """Return a tube on a form, the middle of the tube at the height ``at`` (m) of the form; None if it is too wide all
    along to touch it.

    ``fabric``: the tube; ``off``: it at rest off the form. Without ``frictions`` only what is without friction.
    Raises InputError for what is no tube, NoEquilibriumError if it finds no rest without friction.
    """
    mesh = fabric.mesh
    if mesh.case != "round":
        raise InputError(f"{fabric.where}: on", f"the case '{mesh.case}'", "round", "only a tube is put on: take that")
    lay = laid_on(fabric, off, form, at)
    if not lay.touches:
        return None
    if form.is_straight:
        down = float(lay.height_i[mesh.rows // 2]) - at
        form, at = replace(form, bottom=form.bottom + down, top=form.top + down), at + down
    laid_nc = lay.x_nc
    watch = stage or (lambda name: None)
    floats = _round_the_curve(mesh, form, lay)
    way_nc = up_the_form(form, laid_nc)
    middle = mesh.row_n == mesh.rows // 2
    drag, progress = _kept(way_nc, laid_nc, middle, form), watch("on the form")
    on = _put_on(fabric, off, floats, form, drag, lay, at, progress)
    resting = _resting(0.0, on, form, on.x_nc)
    needs = float(abs(resting.drag_n.sum()) / max(resting.push_n.sum(), 1e-30))
    ends: list[Resting | None] = [None, None]
    for number, friction in enumerate(frictions or ()):
        ends[number] = _with_friction(fabric, floats, form, on, friction, watch(f"friction {friction:g}"))
    return Worn(form, off, resting, needs, ends[0], ends[1])


def laid_on(fabric: Fabric, off: Equilibrium, form: Form, at: float, soft: float = SOFT) -> Laid:
    """Return where a tube, ``off`` the form at rest, is laid on a ``form`` about the height ``at`` (m), which is
    ``soft`` by so many of its thicknesses; on one below nought it is laid a bit off it."""
    mesh = fabric.mesh
    lay = laid(mesh, off.x_nc, form, at, fabric.stiffness.poisson_across, soft * mesh.thickness)
    if not form.is_straight:
        return lay
    # Any height is as good as another there: that at which stitch 0 is held, so that it isn't torn off the rest.
    down = float(mesh.rest_nc[0, 1] - lay.x_nc[0, 1])
    return replace(lay, x_nc=lay.x_nc + np.array([0.0, down, 0.0]), height_i=lay.height_i + down)


def stitches_of(mesh: Mesh) -> Ints:
    """Return how many stitches each row has, (rows,) int."""
    return np.bincount(mesh.row_n, minlength=mesh.rows)


def _round_the_curve(mesh: Mesh, form: Form, lay: Laid) -> FloatTable:
    """Return the floats as they lie between fabric and form: round its curve, an arc where they would be a chord; in
    rounds that stand off it, such as those of a high crown, a chord as ever."""
    table = mesh.floats
    if form.power != 2:
        return table  # flat but at its edges
    left_f = table.node_f2[:, 0]
    row_f = mesh.row_n[left_f]
    on_f = lay.touch_i[row_f] & (form.girth(lay.x_nc[left_f, 1]) > 0.0)
    half_f = np.pi * (table.gap_f + 1) / stitches_of(mesh)[row_f]
    return replace(table, length_f=table.length_f * np.where(on_f, np.sin(half_f) / half_f, 1.0))


def _kept(way_nc: Floats, x_nc: Floats, middle_n: Mask, form: Form) -> Drag | None:
    """Return what keeps the middle round at its height; nothing where the form is as wide all along."""
    if form.is_straight:
        return None
    return Drag(np.where(middle_n[:, None], way_nc, 0.0), np.where(middle_n, dot(x_nc, way_nc), 0.0))


def _put_on(
    fabric: Fabric,
    off: Equilibrium,
    floats: FloatTable,
    form: Form,
    drag: Drag | None,
    lay: Laid,
    at: float,
    progress: Progress | None,
) -> Equilibrium:
    """Return where it comes to rest from where it was laid: on what is round roughly on a form that gives, which soon
    shows which stitches touch, then on the form; on what is flat, or where that leads nowhere, on the form at once."""
    none: NoEquilibriumError | None = None
    if form.power == 2:
        try:
            start = State(_let_go(fabric, floats, form, drag, lay.x_nc))
            rough = _at_rest(fabric, floats, form, drag, start, progress, ROUGHLY, YIELDING)
            on = _at_rest(fabric, floats, form, drag, rough, progress)
            return replace(on, effort=on.effort.after(rough.effort))
        except NoEquilibriumError as why:
            none = why
    for soft in ANEW:
        try:
            laid_nc = laid_on(fabric, off, form, at, soft).x_nc
            start = State(_let_go(fabric, floats, form, drag, laid_nc, FORM_RATIO))
            return _at_rest(fabric, floats, form, drag, start, progress)
        except NoEquilibriumError as why:
            none = why
    assert none is not None
    raise none


def _at_rest(
    fabric: Fabric,
    floats: FloatTable,
    form: Form,
    drag: Drag | None,
    start: State | Equilibrium,
    progress: Progress | None,
    patience: Patience | None = None,
    hard: float = FORM_RATIO,
) -> Equilibrium:
    return come_to_rest(_placed(fabric, floats, Placed(form, start.x_nc[0], drag, hard)), start, progress, patience)


def _let_go(
    fabric: Fabric, floats: FloatTable, form: Form, drag: Drag | None, laid_nc: Floats, hard: float = YIELDING
) -> Floats:
    """Return where stitches lie, (n, 3) m, when a shaped tube is let go from where it was laid, each round kept as even
    as that: rounds find how far apart they lie, those with more yarn than room too, before any buckles.

    A plain tube stays where it was laid, and so does what would go through itself or the form.
    """
    mesh, on = fabric.mesh, Placed(form, laid_nc[0], drag, hard)
    if mesh.standing is None:
        return laid_nc
    energy = Contact.of(_placed(fabric, floats, on)).energy
    even_nc = let_go_round(energy, mesh.standing, laid_nc, EVENLY)
    through = crossing_cells(mesh, State(even_nc)) > 0 or on.outside(even_nc) < 0.0
    return laid_nc if through else even_nc


def _placed(fabric: Fabric, floats: FloatTable, placed: Placed) -> Fabric:
    """Return the fabric on its form, with the floats as they lie there."""
    return replace(fabric, placed=placed, mesh=replace(fabric.mesh, floats=floats))


def _with_friction(
    fabric: Fabric, floats: FloatTable, form: Form, on: Equilibrium, friction: float, progress: Progress | None
) -> Resting | None:
    """Return where it comes to rest with friction; None where it slides on and on.

    In each turn the friction on a stitch is what its pressure allows, and it keeps what it had already given way by: so
    a stitch that slides is dragged all along its way, one that doesn't stays where it was put.
    """
    at, given_n = on, np.zeros(len(on.x_nc))
    before_n = np.full(len(on.x_nc), np.inf)
    for _ in range(TURNS):
        push_n = _push(at)
        force_n = friction * push_n
        if np.abs(force_n - before_n).sum() <= SETTLED * force_n.sum():
            return _resting(friction, at, form, on.x_nc)
        before_n = force_n
        way_nc = up_the_form(form, at.x_nc)
        from_n = dot(at.x_nc, way_nc) - given_n
        try:
            at = _at_rest(fabric, floats, form, Drag(way_nc, from_n, force_n), at, progress, FRICTION)
        except NoEquilibriumError:
            return None
        give = GIVE * fabric.mesh.row_height
        given_n = np.clip(dot(at.x_nc, way_nc) - from_n, -give, give)
        if abs(_ridden(form, on.x_nc, at.x_nc)) > SLIPPED:
            return None
    return _resting(friction, at, form, on.x_nc)


def _push(rest: Equilibrium) -> Floats:
    """Return how hard each stitch presses on the form, (n,) N."""
    push_nc = _force(rest, "form")
    return norms(push_nc)


def _force(rest: Equilibrium, name: str) -> Floats:
    """Return the forces (n, 3) N of a term of one stitch an element, as derivatives of its energy."""
    term: Term = rest.contact.energy.term(name)
    return term.gradient(rest.x_nc[:, None])[1]


def _resting(friction: float, rest: Equilibrium, form: Form, put_nc: Floats) -> Resting:
    drag_n = np.zeros(len(rest.x_nc))
    if any(term.name == "friction" for term in rest.contact.energy.terms):
        # A derivative up the form is a pull down it: what is held back from sliding up counts as positive.
        drag_n = dot(_force(rest, "friction"), up_the_form(form, rest.x_nc))
    return Resting(friction, rest, _push(rest), drag_n, _ridden(form, put_nc, rest.x_nc))


def _ridden(form: Form, from_nc: Floats, to_nc: Floats) -> float:
    """Return how far up the form (m) the fabric has gone, the mean of all stitches."""
    return float(dot(to_nc - from_nc, up_the_form(form, 0.5 * (from_nc + to_nc))).mean())
