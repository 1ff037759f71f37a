"""Fabric that meets itself, and floats that lie on its back: what has to be added to the energy as it comes about.

Both are looked for after every step on the way to rest. Places push apart below one thickness, neighbours below half of
their distance in plain fabric, and floats in whose way a stitch bulges go round it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask, largest
from fabricsim.breaks import asked
from fabricsim.fabric.behind import Tracks
from fabricsim.fabric.build import cloth_terms, float_law, float_term, held_unknowns, start_of
from fabricsim.fabric.crossing import Cells
from fabricsim.fabric.kept import KeptPairs, Nearby
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.pairs import NO_PAIRS, Pairs, Surface, apart, pairs_within, room_of, surface
from fabricsim.fabric.setup import Fabric
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.energies.touch import MeanDistance
from fabricsim.mechanics.laws import Floor
from fabricsim.mechanics.terms import Term

TOUCH_RATIO = 20.0
"""Stiffness of fabric pressed onto fabric, over its stretch stiffness: a cN, more than most floats pull, presses it in
by about a hundredth of its thickness (chosen)."""
LISTED, NEAR = 1.6, 1.25
"""Pairs nearer than LISTED times their room are watched, those that come nearer than NEAR make a new list (chosen)."""
SPARE = 0.5
"""Thicknesses by which pairs are looked for farther than they are watched, to be kept until they have moved by half of
that (chosen)."""
DEEPEST = 0.5
"""Share of its room below which no step may bring any pair: deeper, it might pass through (chosen)."""
LOOKS = 32
"""Most looks at what comes near on the way of one step; a step that would need more is cut short (chosen)."""
FARTHEST = 100.0
"""Sizes of the fabric by which a step may move a stitch at the most (chosen: a fabric that turns over moves by one)."""
NEARLY = 0.95
"""Share of its yarn from which a float is wrapped along with those that have to be, bent or not: most of them will have
to be later on, and what is added one by one costs new factors each time (chosen: of 0.9, 0.95 and 0.99 the quickest on
a tube of many hands; swatches take a tenth to a fifth less than with those alone whose way is bent)."""


@dataclass(eq=False)
class Contact:
    """What is in contact, or near it, while a fabric comes to rest; grows and never shrinks.

    ``wrapped_f`` (f,) bool: floats that go round what bulges in their way, if anything does; ``watched``: pairs that
    push apart; ``energy``: of the fabric with all that; ``kept``: what was last found near; ``cloth``: the terms of the
    fabric itself; ``clear_f`` (f,) m: where it was last seen not to pass through itself.
    """

    fabric: Fabric
    tracks: Tracks
    surface: Surface
    cells: Cells
    wrapped_f: Mask
    watched: Pairs
    energy: Energy
    kept: KeptPairs
    cloth: tuple[Term, ...]
    clear_f: Floats | None = None

    @classmethod
    def of(cls, fabric: Fabric) -> Contact:
        """Return the fabric with nothing in contact: floats straight."""
        mesh = fabric.mesh
        cloth = _cloth(fabric)
        energy = assemble([*cloth, float_term(mesh, fabric.stiffness)], _start(fabric), _held(fabric))
        none_f = np.zeros(len(mesh.floats), dtype=bool)
        faces = surface(mesh)
        return cls(fabric, Tracks(mesh), faces, Cells.of(mesh), none_f, NO_PAIRS, energy, _kept(mesh, faces), cloth)

    def carried_over(self, fabric: Fabric, state: State | None = None) -> Contact | None:
        """Return what still holds of these contacts in a ``fabric`` that begins at ``state``, by default plain; None if
        it is of other stitches. Floats that are new to it are looked at where they begin."""
        mesh, old = fabric.mesh, self.fabric.mesh
        if (mesh.case, mesh.rows, mesh.stitches, mesh.standing) != (old.case, old.rows, old.stitches, old.standing):
            return None
        other = replace(self, fabric=fabric, clear_f=None)
        alike = _lie_alike(mesh, old)
        placed_alike = fabric.placed is self.fabric.placed
        as_stiff = _as_stiff(fabric, self.fabric)
        if not alike or not as_stiff or mesh.grip != old.grip or not placed_alike:
            other.cloth = _cloth(fabric)
        if not alike:
            other.watched = self.watched.with_room_in(mesh, self.surface)
            other.cells, other.kept = Cells.of(mesh), _kept(mesh, self.surface)
        ways_f, old_ways_f = (np.column_stack([t.node_f2, t.shift_f2, t.gap_f]) for t in (mesh.floats, old.floats))
        if mesh.thickness != old.thickness or not np.array_equal(ways_f, old_ways_f):
            wrapped = set(map(tuple, old_ways_f[self.wrapped_f].tolist()))
            wrapped_f = np.array([tuple(way) in wrapped for way in ways_f.tolist()], dtype=bool)
            other = replace(other, tracks=Tracks(mesh), wrapped_f=wrapped_f)
            other.notice(state or _start(fabric))
            other.energy = other._assembled()
            return other
        if _held(fabric) != _held(self.fabric):
            return replace(other, energy=other._assembled())
        if mesh.rest_nc is old.rest_nc and as_stiff and placed_alike and _load(mesh) == _load(old):
            energy = replace(self.energy, start=_start(fabric))
            for term in other._float_terms():
                energy = energy.with_law(term.name, term.law)
            return replace(other, energy=energy)
        shared = self.energy.with_laws_of(other._terms(), _start(fabric))
        return None if shared is None else replace(other, energy=shared)

    def _assembled(self) -> Energy:
        return assemble(self._terms(), _start(self.fabric), _held(self.fabric), like=self.energy)

    def _terms(self) -> list[Term]:
        return [*self.cloth, *self._float_terms(), self._touch_term()]

    def _float_terms(self) -> list[Term]:
        law = partial(float_law, self.fabric.mesh, self.fabric.stiffness)
        straight = float_term(self.fabric.mesh, self.fabric.stiffness, ~self.wrapped_f)
        return [straight, *self.tracks.wrapped(self.wrapped_f, law)]

    def _touch_term(self) -> Term:
        pair, shift = self.watched.place_p2, self.watched.shift_p2
        node_bp = self.surface.corner_s4[pair].reshape(len(pair), 8)
        shift_bpa = self.surface.shift_s42[pair] + np.stack([np.zeros_like(shift), shift], axis=1)[:, :, None]
        law = Floor(TOUCH_RATIO * self.fabric.stiffness.stretch_across, self.watched.room_p)
        return Term("touch", MeanDistance(), law, node_bp, shift_bpa.reshape(len(pair), 8, 2))

    def touching(self, state: State) -> Ints:
        """Return the numbers of the stitches that press on others, themselves or with a cell of theirs."""
        found = pairs_within(self.fabric.mesh, self.surface, state, 1.0)
        return np.unique(self.surface.corner_s4[found.place_p2])

    def notice(self, state: State) -> bool:
        """Add what is in contact in ``state``, with what is near it; return whether there was anything to add."""
        return bool(self._notice_floats(state) | self._notice_pairs(state))

    def _notice_floats(self, state: State) -> bool:
        table, way = self.fabric.mesh.floats, self.tracks.at(state, ~self.wrapped_f)
        if not (way.bent_f & (way.length_f > table.length_f) & ~self.wrapped_f).any():
            return False
        self.wrapped_f = self.wrapped_f | (way.length_f > NEARLY * table.length_f)
        return True

    def _notice_pairs(self, state: State) -> bool:
        found = self._pairs(self.kept.nearer(state, LISTED * self.fabric.mesh.thickness), state, LISTED)
        new = found.where(~np.isin(found.keys(), self.watched.keys()))
        if not (new.apart_p < NEAR * new.room_p).any():
            return False
        self.watched = self.watched.and_also(new)
        return True

    # What the solver asks of elements that come about on the way.

    def renewed(self, energy: Energy, q_f: Floats) -> Energy | None:
        """Return the energy with what has come into contact at ``q_f``; None if nothing has."""
        if not self.notice(energy.state(q_f)):
            return None
        self.energy = self._assembled()
        return self.energy

    def longest(self, energy: Energy, q_f: Floats, step_f: Floats) -> float:
        """Return the share of a step that brings no two places so near that they might pass through each other, and
        no cell through another at any look."""
        thickness = self.fabric.mesh.thickness
        here = energy.state(q_f)
        within = _within_sight(here, step_f)
        step_f = within * step_f
        floor = min(DEEPEST, self._nearest(here))
        # Between two looks no pair comes nearer by more than a thickness, but for what moves all alike.
        far = 2.0 * _moved_apart(here, energy.state(q_f + step_f)) / thickness
        if self.fabric.placed is not None:
            far = max(far, largest(step_f) / self.fabric.placed.looked_at_every)
        whole = min(1.0, LOOKS / far) if far > 0.0 else 1.0
        looks = max(1, int(np.ceil(whole * far)))
        for look in range(1, looks + 1):
            asked()
            there_f = q_f + whole * (look / looks) * step_f
            if self._nearest(energy.state(there_f)) < floor or not self.allowed(energy, q_f, there_f):
                return within * whole * (max(look - 1, 0.5) / looks)
        return within * whole

    def allowed(self, energy: Energy, q_f: Floats, new_f: Floats) -> bool:
        """Return whether no cells cross at ``new_f``, nor does the middle of any stitch lie in the form that it is on;
        anything goes while some do already, as at a random start."""
        if not self._off_the_form(energy, new_f) and self._off_the_form(energy, q_f):
            return False
        return self._clear(energy, new_f) or not self._clear(energy, q_f)

    def _off_the_form(self, energy: Energy, q_f: Floats) -> bool:
        placed = self.fabric.placed
        return placed is None or placed.outside(energy.state(q_f).x_nc) >= 0.0

    def _clear(self, energy: Energy, q_f: Floats) -> bool:
        """Return whether no cells cross at ``q_f``; what was last found clear is known, as it is often asked again."""
        if self.clear_f is not None and np.array_equal(q_f, self.clear_f):
            return True
        clear = self.cells.crossing(energy.state(q_f)) == 0
        if clear:
            self.clear_f = q_f
        return clear

    def _nearest(self, state: State) -> float:
        """Return the least distance of any pair over its room; infinite if none is near."""
        mesh = self.fabric.mesh
        known = self.kept.at_hand(state, DEEPEST * mesh.thickness)
        if known is None:
            found = pairs_within(mesh, self.surface, state, DEEPEST)
        else:
            found = self._pairs(known, state, DEEPEST)
        return float((found.apart_p / found.room_p).min(initial=np.inf))

    def _pairs(self, near: Nearby, state: State, share: float) -> Pairs:
        """Return those of the pairs that are nearer than ``share`` times their room in ``state``."""
        apart_p = apart(self.surface.at(state), state.period_a, near.place_p2, near.shift_p2)
        room_p = room_of(self.fabric.mesh.thickness, near.plain_p)
        return Pairs(near.place_p2, near.shift_p2, apart_p, room_p).within(share)


def _cloth(fabric: Fabric) -> tuple[Term, ...]:
    """Return the terms of the fabric itself, and of the form that it is on."""
    placed = [] if fabric.placed is None else fabric.placed.terms(fabric.mesh, fabric.stiffness)
    return (*cloth_terms(fabric.mesh, fabric.stiffness, fabric.where), *placed)


def _held(fabric: Fabric) -> list[int]:
    """Return the unknowns that are held."""
    return held_unknowns(fabric.mesh) if fabric.placed is None else fabric.placed.held()


def _start(fabric: Fabric) -> State:
    """Return where plain fabric lies, what is held where it is held."""
    start = start_of(fabric.mesh)
    return start if fabric.placed is None else fabric.placed.begins(start)


def _kept(mesh: Mesh, faces: Surface) -> KeptPairs:
    return KeptPairs(faces, State(mesh.rest_nc, mesh.period_a), SPARE * mesh.thickness)


def _lie_alike(one: Mesh, other: Mesh) -> bool:
    """Return whether two meshes of the same stitches lie alike in plain fabric, as thick."""
    return one.thickness == other.thickness and bool(np.array_equal(one.rest_nc, other.rest_nc))


def _as_stiff(one: Fabric, other: Fabric) -> bool:
    """Return whether the terms of two fabrics of a case are as stiff. What they weigh, which more float yarn adds to,
    counts for a swatch alone, as that lies on a table."""
    stiffness = one.stiffness
    if one.mesh.case != "swatch":
        stiffness = replace(stiffness, areal_mass=other.stiffness.areal_mass)
    return stiffness == other.stiffness


def _load(mesh: Mesh) -> float:
    """Return the dead load on the cell of a mesh, N."""
    return 0.0 if mesh.grip is None else mesh.grip.force


def _within_sight(here: State, step_f: Floats) -> float:
    """Return the share of a step that moves nothing by more than ``FARTHEST`` times the size of the fabric.

    A Newton step from where the fabric is all but unstable may be as long as numbers go; places that it leads to have
    no finite distances, and nothing is to be learnt there.
    """
    size = float(np.ptp(here.x_nc, axis=0).max())
    if here.period_a is not None:
        size = max(size, float(here.period_a.max()))
    reach = largest(step_f)
    return min(1.0, FARTHEST * size / reach) if reach > 0.0 else 1.0


def _moved_apart(before: State, after: State) -> float:
    """Return how far (m) any stitch moves beyond what the whole fabric does: beyond the best affine map."""
    moved_nc = after.x_nc - before.x_nc
    basis = np.column_stack([before.x_nc - before.x_nc.mean(axis=0), np.ones(len(moved_nc))])
    if not np.isfinite(moved_nc).all():
        return 0.0  # which the solver will find out
    own_nc = moved_nc - basis @ np.linalg.lstsq(basis, moved_nc, rcond=None)[0]
    return float(np.linalg.norm(own_nc, axis=1).max())
