"""Let a fabric come to rest under its floats."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from math import lcm

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.breaks import asked
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.build import float_term, start_of
from fabricsim.fabric.cell import Cut, copied, cut_out, repeats, state_in, whole_cut, written_out
from fabricsim.fabric.contact import Contact
from fabricsim.fabric.equilibrium import Effort, Equilibrium
from fabricsim.fabric.look import Look, Onlooker
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.places import all_stitches
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.solver.minimise import Minimum, minimise
from fabricsim.mechanics.solver.stopping import Status, Stopping
from fabricsim.mechanics.vectors import Normal

TOLERANCE = 1e-9
"""Largest force left on a stitch, as a share of the force that would double its width (chosen: five digits below what
any measure is printed to, three above round-off)."""

RAMPS = (1, 4, 16)
"""In how many parts the slack is let in: all at once, and where that fails, in ever smaller parts (chosen)."""


@dataclass(frozen=True)
class Patience:
    """How near to rest, as a share of the force scale; in how many ``steps`` at most, and in which ``ramps``: numbers
    of parts in which the slack is let in, one after the other until it comes to rest."""

    tolerance: float = TOLERANCE
    steps: int = Stopping.steps
    ramps: tuple[int, ...] = RAMPS


Progress = Callable[[int, float], None]
"""Told the number of the step and the largest force left, as a share of the force scale."""


def force_scale(stiffness: Stiffness, mesh: Mesh) -> float:
    """Return the force (N) that would double the width of one stitch at its low-strain stiffness."""
    return stiffness.stretch_across * mesh.stitch_width


def come_to_rest(
    fabric: Fabric,
    start: State | Equilibrium | None = None,
    progress: Progress | None = None,
    patience: Patience | None = None,
    look: Onlooker | None = None,
    *,
    whole: bool = False,
) -> Equilibrium:
    """Return the equilibrium that ``fabric`` reaches from ``start``, by default from plain fabric at rest.

    Contact is looked for on the way: floats then lie on the back of what bulges in their way, and fabric that meets
    itself pushes itself apart. Of a ``repeat`` no more is solved than its least cell, or than the tile that ``start``
    rests in, and written out on the chart as it was typed; on several copies of it where the tile is larger. ``whole``:
    all of the fabric is solved just as it is.
    ``look`` is handed the fabric before the first step, after each, and at rest.
    Raises NoEquilibriumError, saying how the solver ended, if there is none to be found.
    """
    cut = None if whole else _cut_of(fabric, start)
    if cut is None:
        return _brought_to_rest(fabric, start, progress, patience, look)
    copies = copied(fabric, lcm(cut.rows, fabric.mesh.rows), lcm(cut.stitches, fabric.mesh.stitches))
    part = cut_out(copies, cut)
    begin: State | Equilibrium | None = None
    if isinstance(start, State):
        begin = state_in(cut, start, fabric.mesh.rows, fabric.mesh.stitches)
    elif start is not None:
        begin = replace(start.solved or start, **vars(state_in(cut, start.state, start.mesh.rows, start.mesh.stitches)))

    def written(rest: Equilibrium) -> Equilibrium:
        return written_out(rest, fabric, cut)

    seen = None if look is None else lambda one: look(one.through(written))
    return written(_brought_to_rest(part, begin, progress, patience, seen))


def _cut_of(fabric: Fabric, start: State | Equilibrium | None) -> Cut | None:
    """Return which part of a fabric is to be solved; None for all of it as it is.

    From an equilibrium, what was solved of that, as often as the fabric needs; from a mere state that is not the same
    in every cell, all that it shows.
    """
    mesh = fabric.mesh
    if mesh.case != "repeat":
        return None
    cut = whole_cut(fabric)
    if isinstance(start, State) and not repeats(cut, start, mesh.rows, mesh.stitches):
        return None
    if isinstance(start, Equilibrium):
        solved = (start.solved or start).mesh
        known = start.cut or Cut(solved.rows, solved.stitches)
        cut = replace(known, rows=lcm(cut.rows, solved.rows), stitches=lcm(cut.stitches, solved.stitches))
    return None if cut == Cut(mesh.rows, mesh.stitches) else cut


def _brought_to_rest(
    fabric: Fabric,
    start: State | Equilibrium | None = None,
    progress: Progress | None = None,
    patience: Patience | None = None,
    look: Onlooker | None = None,
) -> Equilibrium:
    """Return the equilibrium of a fabric just as it is, all of it."""
    scale = force_scale(fabric.stiffness, fabric.mesh)
    patience = patience or Patience()
    stopping = Stopping(patience.tolerance * scale, patience.steps)

    def watch(step: int, force: float, q_f: Floats) -> None:
        if progress is not None:
            progress(step, force / scale)
        if look is not None:
            taken = sum(m.steps for m in spent) + step
            known = replace(contact)  # which itself goes on growing
            look(Look(taken, force / scale, False, partial(_on_the_way, fabric, q_f, known, taken, force / scale)))

    known = start.contact.carried_over(fabric, start.state) if isinstance(start, Equilibrium) else None
    begin = start.state if isinstance(start, Equilibrium) else start or start_of(fabric.mesh)
    spent: list[Minimum] = []
    for parts in patience.ramps:
        # Contacts of plain fabric are made anew each time: kept all the way, they would hold a pattern that is left.
        state, contact = begin, known or Contact.of(fabric)
        for part in range(1, parts + 1):
            eased = fabric if part == parts else _eased(fabric, part / parts)
            contact = contact.carried_over(eased, state) or Contact.of(eased)
            spent.append(minimise(contact.energy, contact.energy.free(state), stopping, watch, contact))
            state = contact.energy.state(spent[-1].q_f)
            if not spent[-1].status.at_rest:
                break
        if spent[-1].status.at_rest:
            break
    last = spent[-1]
    if not last.status.at_rest:
        raise NoEquilibriumError(
            f"{fabric.where}: no equilibrium found: {last.status.text}; try a looser slack, another case, or stiffness "
            f"nearer the defaults (after {sum(m.steps for m in spent)} steps {last.residual / scale:.1e} of the force "
            "that doubles a stitch's width is left)"
        )
    effort = Effort(
        status=last.status,
        steps=sum(m.steps for m in spent),
        factorisations=sum(m.factorisations for m in spent),
        evaluations=sum(m.evaluations for m in spent),
        residual=last.residual / scale,
        energy=last.energy,
        ramp_parts=parts,
    )
    rest = _equilibrium(fabric, state, contact, effort)
    if look is not None:
        asked()
        look(Look(effort.steps, effort.residual, True, lambda: rest))
    return rest


def relax(
    scene: Scene,
    case: Case | None = None,
    *,
    slack: float | None = None,
    inside_out: bool | None = None,
    progress: Progress | None = None,
) -> Equilibrium:
    """Return ``scene`` at rest in a load case: ``repeat``, ``swatch`` or ``round``, by default the scene's own.

    ``slack`` takes the place of every slack in the scene, ``inside_out`` of its switch; ``progress`` is told the step
    and the force left. Raises InputError for what can't be built, NoEquilibriumError if the solver finds no rest.
    """
    return come_to_rest(set_up(scene, case, slack=slack, inside_out=inside_out), progress=progress)


def _eased(fabric: Fabric, share: float) -> Fabric:
    """Return the fabric with floats let in by ``share`` only: between their distance in plain fabric and their
    length."""
    table = fabric.mesh.floats
    plain_f = float_term(fabric.mesh, fabric.stiffness).measures(fabric.mesh.rest_nc, fabric.mesh.period_a)
    length_f = np.where(plain_f > table.length_f, plain_f + share * (table.length_f - plain_f), table.length_f)
    return replace(fabric, mesh=replace(fabric.mesh, floats=replace(table, length_f=length_f)))


def _on_the_way(fabric: Fabric, q_f: Floats, contact: Contact, steps: int, force: float) -> Equilibrium:
    """Return the fabric as it lies at some of its unknowns, before it is at rest."""
    effort = Effort(Status.ON_THE_WAY, steps, 0, 0, force, contact.energy.value(q_f), 1)
    return _equilibrium(fabric, contact.energy.state(q_f), contact, effort)


def _equilibrium(fabric: Fabric, state: State, contact: Contact, effort: Effort) -> Equilibrium:
    straight = float_term(fabric.mesh, fabric.stiffness)
    chord_f = straight.measures(state.x_nc, state.period_a)
    way = contact.tracks.at(state)
    bent_f = contact.wrapped_f & way.bent_f
    way_f = np.where(contact.wrapped_f, way.length_f, chord_f)
    return Equilibrium(
        scene=fabric.scene,
        floats=fabric.floats,
        mesh=fabric.mesh,
        x_nc=state.x_nc,
        normal_nc=normals(fabric, state),
        period_a=state.period_a,
        chord_f=chord_f,
        way_f=way_f,
        pressed=tuple(steps if bent else () for steps, bent in zip(way.pressed, bent_f.tolist(), strict=True)),
        tension_f=straight.law(way_f)[1],
        touching=contact.touching(state),
        stiffness=fabric.stiffness,
        effort=effort,
        contact=contact,
    )


def normals(fabric: Fabric, state: State) -> Floats:
    """Return the unit normal (n, 3) at every stitch, out of the face, from its neighbours as the floats see it."""
    left, right, down, up = (
        state.x_nc[p.node_b] + _offset(p.shift_b2, state) for p in all_stitches(fabric.mesh).around(fabric.mesh)
    )
    return Normal(right - left, up - down).n_bc


def _offset(shift_b2: np.ndarray, state: State) -> Floats:
    offset = np.zeros((len(shift_b2), 3))
    if state.period_a is not None:
        offset[:, :2] = shift_b2 * state.period_a
    return offset
