"""Fabric that meets itself, and floats that lie on its back: what has to be added to the energy as it comes about.

Both are looked for after every step on the way to rest. Pairs of places that are no neighbours push apart below one
thickness, and floats in whose way a stitch bulges go round it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from fabricsim.fabric.behind import Tracks
from fabricsim.fabric.build import cloth_terms, fabric_energy, float_law, float_term, held_unknowns, start_of
from fabricsim.fabric.mesh import Floats, Ints, Mesh
from fabricsim.fabric.places import Mask, all_stitches, cells, whole
from fabricsim.fabric.setup import Fabric
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.energies.touch import MeanDistance
from fabricsim.mechanics.laws import Floor
from fabricsim.mechanics.terms import Term

TOUCH_RATIO = 20.0
"""Stiffness of fabric pressed onto fabric, over its stretch stiffness: a cN, more than most floats pull, presses it in
by about a hundredth of its thickness (chosen)."""
APART, DIAGONAL = 2.5, 1.01
"""Thicknesses, and diagonals of a cell, between places in plain fabric from which they are no neighbours: a hairpin
whose sides just touch is half of pi thicknesses from side to side, and cells with a corner in common are neighbours
(chosen, a little more)."""
LISTED, NEAR = 1.6, 1.25
"""Pairs nearer than LISTED thicknesses are watched, those that come nearer than NEAR make a new list (chosen)."""
DEEPEST = 0.5
"""Thicknesses below which no step may bring any pair: deeper, it might pass through (chosen)."""
LOOKS = 32
"""Most looks at what comes near on the way of one step; a step that would need more is cut short (chosen)."""
MOST_IMAGES = 50
"""Periods each way beyond which images aren't looked at: only a cell that a bad step has shrunk to nothing has more
(chosen)."""
NEARLY = 0.99
"""Share of its yarn from which a float whose way is bent is wrapped along with those that pull (chosen)."""


@dataclass(frozen=True)
class Surface:
    """The places that can touch: every stitch, and the middle of every cell, so that no stitch slips between four.

    ``corner_s4`` (s, 4) int: the stitches whose mean each place is; ``shift_s42`` (s, 4, 2) their periods.
    """

    corner_s4: Ints
    shift_s42: Ints

    def at(self, state: State) -> Floats:
        """Return where the places lie, (s, 3) float, m."""
        corner_s4c = state.x_nc[self.corner_s4]
        if state.period_a is not None:
            corner_s4c[..., :2] += self.shift_s42 * state.period_a
        place_sc: Floats = corner_s4c.mean(axis=1)
        return place_sc


def surface(mesh: Mesh) -> Surface:
    """Return the places of a mesh that can touch."""
    corners = cells(mesh)
    kept = whole(corners)
    here = all_stitches(mesh)
    node = np.concatenate([np.repeat(here.node_b[:, None], 4, axis=1), np.stack([c.node_b for c in corners], 1)[kept]])
    still = np.zeros((len(here.node_b), 4, 2), dtype=np.intp)
    return Surface(node, np.concatenate([still, np.stack([c.shift_b2 for c in corners], axis=1)[kept]]))


@dataclass(frozen=True)
class Pairs:
    """Pairs of places: ``place_p2`` (p, 2) int, the second ``shift_p2`` (p, 2) periods away; ``apart_p`` (p,) m."""

    place_p2: Ints
    shift_p2: Ints
    apart_p: Floats

    def __len__(self) -> int:
        return len(self.apart_p)

    def keys(self) -> NDArray[np.void]:
        """Return something for each pair by which to know it again, (p,)."""
        rows = np.ascontiguousarray(np.concatenate([self.place_p2, self.shift_p2], axis=1))
        return rows.view(np.dtype((np.void, rows.itemsize * rows.shape[1]))).ravel()

    def where(self, kept_p: Mask) -> Pairs:
        """Return some of the pairs."""
        return Pairs(self.place_p2[kept_p], self.shift_p2[kept_p], self.apart_p[kept_p])

    def and_also(self, others: Pairs) -> Pairs:
        """Return these pairs and others."""
        return Pairs(
            np.concatenate([self.place_p2, others.place_p2]),
            np.concatenate([self.shift_p2, others.shift_p2]),
            np.concatenate([self.apart_p, others.apart_p]),
        )


NO_PAIRS = Pairs(np.zeros((0, 2), dtype=np.intp), np.zeros((0, 2), dtype=np.intp), np.zeros(0))


def neighbourhood(mesh: Mesh) -> float:
    """Return the distance (m) in plain fabric up to which places are neighbours and can't meet."""
    return max(APART * mesh.thickness, DIAGONAL * float(np.hypot(mesh.stitch_width, mesh.row_height)))


def pairs_within(mesh: Mesh, faces: Surface, state: State, distance: float) -> Pairs:
    """Return the pairs of places nearer than ``distance`` (m) that are no neighbours in plain fabric."""
    place_sc = faces.at(state)
    tree = cKDTree(place_sc)
    pair_p2 = tree.query_pairs(distance, output_type="ndarray").astype(np.intp)
    shift_p2 = np.zeros_like(pair_p2)
    if state.period_a is not None:
        ghost_g, shift_g2, ghost_gc = _ghosts(place_sc, state.period_a, distance)
        near = tree.sparse_distance_matrix(cKDTree(ghost_gc), distance, output_type="coo_matrix")
        across = np.stack([near.row, ghost_g[near.col]], axis=1).astype(np.intp)
        pair_p2, shift_p2 = np.concatenate([pair_p2, across]), np.concatenate([shift_p2, shift_g2[near.col]])
    plain_p = _apart(faces, pair_p2, shift_p2, State(mesh.rest_nc, mesh.period_a))
    pair_p2, shift_p2 = (of_p2[plain_p >= neighbourhood(mesh)] for of_p2 in (pair_p2, shift_p2))
    return Pairs(pair_p2, shift_p2, _apart(faces, pair_p2, shift_p2, state))


def _ghosts(place_sc: Floats, period_a: Floats, distance: float) -> tuple[Ints, Ints, Floats]:
    """Return which places lie, some periods further, within ``distance`` of the box around all places; by how many
    periods (g, 2), and where (g, 3).

    Of an image and its opposite only one is taken: their pairs are the same, seen from either end.
    """
    low_c, high_c = place_sc.min(axis=0) - distance, place_sc.max(axis=0) + distance
    reach = np.minimum(np.ceil((high_c - low_c)[:2] / np.abs(period_a)), MOST_IMAGES).astype(int)
    images = [(i, j) for i in range(reach[0] + 1) for j in range(-reach[1], reach[1] + 1) if (i, j) > (0, 0)]
    shift_i2 = np.array(images, dtype=np.intp).reshape(-1, 2)
    ghost_isc = place_sc + np.pad(shift_i2 * period_a, ((0, 0), (0, 1)))[:, None]
    image, place = np.nonzero(((ghost_isc >= low_c) & (ghost_isc <= high_c)).all(axis=2))
    return place, shift_i2[image], ghost_isc[image, place]


def _apart(faces: Surface, pair_p2: Ints, shift_p2: Ints, state: State) -> Floats:
    place_sc = faces.at(state)
    way_pc = place_sc[pair_p2[:, 1]] - place_sc[pair_p2[:, 0]]
    if state.period_a is not None:
        way_pc[:, :2] += shift_p2 * state.period_a
    return np.asarray(np.linalg.norm(way_pc, axis=1))


@dataclass
class Contact:
    """What is in contact, or near it, while a fabric comes to rest; grows and never shrinks.

    ``wrapped_f`` (f,) bool: floats that go round what bulges in their way; ``watched``: pairs that push apart;
    ``energy``: of the fabric with all that.
    """

    fabric: Fabric
    tracks: Tracks
    surface: Surface
    wrapped_f: Mask
    watched: Pairs
    energy: Energy

    @classmethod
    def of(cls, fabric: Fabric) -> Contact:
        """Return the fabric with nothing in contact: floats straight."""
        mesh = fabric.mesh
        energy = fabric_energy(mesh, fabric.stiffness, fabric.where)
        return cls(fabric, Tracks(mesh), surface(mesh), np.zeros(len(mesh.floats), dtype=bool), NO_PAIRS, energy)

    def carried_over(self, fabric: Fabric) -> Contact | None:
        """Return the same contacts in a ``fabric`` of the same stitches; None if it isn't one."""
        same = (fabric.mesh.floats.node_f2, self.fabric.mesh.floats.node_f2)
        if len(fabric.mesh.rest_nc) != len(self.fabric.mesh.rest_nc) or not np.array_equal(*same):
            return None
        other = replace(self, fabric=fabric)
        if fabric.mesh.rest_nc is self.fabric.mesh.rest_nc and fabric.stiffness == self.fabric.stiffness:
            energy = self.energy
            for term in other._float_terms():
                energy = energy.with_law(term.name, term.law)
            return replace(other, energy=energy)
        shared = self.energy.with_laws_of(other._terms(), start_of(fabric.mesh))
        return None if shared is None else replace(other, energy=shared)

    def _terms(self) -> list[Term]:
        fabric = self.fabric
        return [*cloth_terms(fabric.mesh, fabric.stiffness, fabric.where), *self._float_terms(), self._touch_term()]

    def _float_terms(self) -> list[Term]:
        law = partial(float_law, self.fabric.mesh, self.fabric.stiffness)
        straight = float_term(self.fabric.mesh, self.fabric.stiffness, ~self.wrapped_f)
        return [straight, *self.tracks.wrapped(self.wrapped_f, law)]

    def _touch_term(self) -> Term:
        pair, shift = self.watched.place_p2, self.watched.shift_p2
        node_bp = self.surface.corner_s4[pair].reshape(len(pair), 8)
        shift_bpa = self.surface.shift_s42[pair] + np.stack([np.zeros_like(shift), shift], axis=1)[:, :, None]
        law = Floor(TOUCH_RATIO * self.fabric.stiffness.stretch_across, self.fabric.mesh.thickness)
        return Term("touch", MeanDistance(), law, node_bp, shift_bpa.reshape(len(pair), 8, 2))

    def touching(self, state: State) -> Ints:
        """Return the numbers of the stitches that press on others, themselves or with a cell of theirs."""
        found = pairs_within(self.fabric.mesh, self.surface, state, self.fabric.mesh.thickness)
        return np.unique(self.surface.corner_s4[found.place_p2])

    def notice(self, state: State) -> bool:
        """Add what is in contact in ``state``, with what is near it; return whether there was anything to add."""
        return bool(self._notice_floats(state) | self._notice_pairs(state))

    def _notice_floats(self, state: State) -> bool:
        table, way = self.fabric.mesh.floats, self.tracks.at(state, ~self.wrapped_f)
        if not (way.bent_f & (way.length_f > table.length_f) & ~self.wrapped_f).any():
            return False
        self.wrapped_f = self.wrapped_f | (way.bent_f & (way.length_f > NEARLY * table.length_f))
        return True

    def _notice_pairs(self, state: State) -> bool:
        mesh = self.fabric.mesh
        found = pairs_within(mesh, self.surface, state, LISTED * mesh.thickness)
        new = found.where(~np.isin(found.keys(), self.watched.keys()))
        if not (new.apart_p < NEAR * mesh.thickness).any():
            return False
        self.watched = self.watched.and_also(new)
        return True

    # What the solver asks of elements that come about on the way.

    def renewed(self, energy: Energy, q_f: Floats) -> Energy | None:
        """Return the energy with what has come into contact at ``q_f``; None if nothing has."""
        if not self.notice(energy.state(q_f)):
            return None
        self.energy = assemble(self._terms(), energy.start, held_unknowns(self.fabric.mesh))
        return self.energy

    def longest(self, energy: Energy, q_f: Floats, step_f: Floats) -> float:
        """Return the share of a step that brings no two places so near that they might pass through each other."""
        thickness = self.fabric.mesh.thickness
        here = energy.state(q_f)
        floor = min(DEEPEST * thickness, self._nearest(here))
        # Between two looks no pair comes nearer by more than a thickness, but for what moves all alike.
        apart = 2.0 * _moved_apart(here, energy.state(q_f + step_f)) / thickness
        whole = min(1.0, LOOKS / apart) if apart > 0.0 else 1.0
        looks = max(1, int(np.ceil(whole * apart)))
        for look in range(1, looks + 1):
            if self._nearest(energy.state(q_f + whole * look / looks * step_f)) < floor:
                return whole * max((look - 1) / looks, 0.5 / looks)
        return whole

    def _nearest(self, state: State) -> float:
        found = pairs_within(self.fabric.mesh, self.surface, state, DEEPEST * self.fabric.mesh.thickness)
        return float(found.apart_p.min(initial=np.inf))


def _moved_apart(before: State, after: State) -> float:
    """Return how far (m) any stitch moves beyond what the whole fabric does: beyond the best affine map."""
    moved_nc = after.x_nc - before.x_nc
    basis = np.column_stack([before.x_nc - before.x_nc.mean(axis=0), np.ones(len(moved_nc))])
    if not np.isfinite(moved_nc).all():
        return 0.0  # which the solver will find out
    own_nc = moved_nc - basis @ np.linalg.lstsq(basis, moved_nc, rcond=None)[0]
    return float(np.linalg.norm(own_nc, axis=1).max())
