"""Which places of the fabric are near each other, across its periods too.

Of two places, neighbours or not, each has its room: a thickness, or half of their distance in plain fabric if that is
less.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from fabricsim.arrays import Floats, Ints, Mask, norms
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.places import all_stitches, cells, whole
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.compiled import compiled_near

ROOM = 0.5
"""Share of their distance in plain fabric that places keep where that is less than a thickness: neighbours jam before
they come so near, unless the fabric between them is folded; and of a hairpin whose sides just touch no two places do
(chosen)."""
MOST_IMAGES = 50
"""Periods each way beyond which images aren't looked at: only a cell that a bad step has shrunk to nothing has more
(chosen)."""


@dataclass(frozen=True, eq=False)
class Surface:
    """The places that can touch: every stitch, and the middle of every cell, so that no stitch slips between four.

    ``corner_s4`` (s, 4) int: the stitches whose mean each place is; ``shift_s42`` (s, 4, 2) their periods.
    """

    corner_s4: Ints
    shift_s42: Ints

    def corners(self, state: State) -> Floats:
        """Return where the stitches of each place lie, (4, s, 3) float, m."""
        corner_4sc: Floats = state.x_nc.take(self.corner_s4.T, axis=0)
        if state.period_a is not None:
            corner_4sc[..., :2] += self.shift_s42.transpose(1, 0, 2) * state.period_a
        return corner_4sc

    def at(self, state: State) -> Floats:
        """Return where the places lie, (s, 3) float, m."""
        return middle(self.corners(state))


def middle(corner_4sc: Floats) -> Floats:
    """Return the middle (s, 3) of four corners (4, s, 3); three times as quick as numpy's ``mean`` over so few."""
    return np.asarray(0.25 * (corner_4sc[0] + corner_4sc[1] + corner_4sc[2] + corner_4sc[3]))


def surface(mesh: Mesh) -> Surface:
    """Return the places of a mesh that can touch."""
    corners = cells(mesh)
    kept = whole(corners)
    here = all_stitches(mesh)
    node = np.concatenate([np.repeat(here.node_b[:, None], 4, axis=1), np.stack([c.node_b for c in corners], 1)[kept]])
    still = np.zeros((len(here.node_b), 4, 2), dtype=np.intp)
    return Surface(node, np.concatenate([still, np.stack([c.shift_b2 for c in corners], axis=1)[kept]]))


@dataclass(frozen=True, eq=False)
class Pairs:
    """Pairs of places: ``place_p2`` (p, 2) int, the second ``shift_p2`` (p, 2) periods away; how far ``apart_p`` (p,)
    m, and the ``room_p`` (p,) m below which they push: a thickness, or less for neighbours."""

    place_p2: Ints
    shift_p2: Ints
    apart_p: Floats
    room_p: Floats

    def __len__(self) -> int:
        return len(self.apart_p)

    def keys(self) -> NDArray[np.void]:
        """Return something for each pair by which to know it again, (p,)."""
        rows = np.ascontiguousarray(np.concatenate([self.place_p2, self.shift_p2], axis=1))
        return rows.view(np.dtype((np.void, rows.itemsize * rows.shape[1]))).ravel()

    def where(self, kept_p: Mask) -> Pairs:
        """Return some of the pairs."""
        return Pairs(self.place_p2[kept_p], self.shift_p2[kept_p], self.apart_p[kept_p], self.room_p[kept_p])

    def within(self, share: float) -> Pairs:
        """Return those nearer than ``share`` times their room, in an order that is theirs alone."""
        found = self.where(self.apart_p < share * self.room_p)
        order = np.lexsort([*found.shift_p2.T, *found.place_p2.T])
        return Pairs(found.place_p2[order], found.shift_p2[order], found.apart_p[order], found.room_p[order])

    def and_also(self, others: Pairs) -> Pairs:
        """Return these pairs and others."""
        return Pairs(
            np.concatenate([self.place_p2, others.place_p2]),
            np.concatenate([self.shift_p2, others.shift_p2]),
            np.concatenate([self.apart_p, others.apart_p]),
            np.concatenate([self.room_p, others.room_p]),
        )

    def with_room_in(self, mesh: Mesh, faces: Surface) -> Pairs:
        """Return the same pairs with the room that they have in a ``mesh``."""
        return replace(self, room_p=_room(mesh, faces, self.place_p2, self.shift_p2))


NO_PAIRS = Pairs(np.zeros((0, 2), dtype=np.intp), np.zeros((0, 2), dtype=np.intp), np.zeros(0), np.zeros(0))


def pairs_within(mesh: Mesh, faces: Surface, state: State, share: float) -> Pairs:
    """Return the pairs of places that are nearer than ``share`` times their room."""
    place_sc = faces.at(state)
    pair_p2, shift_p2 = near(place_sc, state.period_a, share * mesh.thickness)
    apart_p = apart(place_sc, state.period_a, pair_p2, shift_p2)
    found = Pairs(pair_p2, shift_p2, apart_p, _room(mesh, faces, pair_p2, shift_p2))
    return found.within(share)


def _room(mesh: Mesh, faces: Surface, pair_p2: Ints, shift_p2: Ints) -> Floats:
    plain_sc = faces.at(State(mesh.rest_nc, mesh.period_a))
    return room_of(mesh.thickness, apart(plain_sc, mesh.period_a, pair_p2, shift_p2))


def room_of(thickness: float, plain_p: Floats) -> Floats:
    """Return the room (p,) m of pairs that lie so far apart in plain fabric."""
    return np.asarray(np.minimum(thickness, ROOM * plain_p))


def near(place_sc: Floats, period_a: Floats | None, distance: float) -> tuple[Ints, Ints]:
    """Return all pairs of places no farther apart than ``distance`` (m), (p, 2), and by how many periods the second is
    away; by compiled code where there is any, in a third of the time."""
    ghosts = None if period_a is None else images(place_sc, period_a, distance)
    every_sc = place_sc if ghosts is None else np.concatenate([place_sc, ghosts[2]])
    pair_p2 = compiled_near(every_sc, len(place_sc), distance)
    if pair_p2 is None:
        pair_p2 = near_by_trees(every_sc, len(place_sc), distance)
    shift_p2 = np.zeros_like(pair_p2)
    if ghosts is not None:
        ghost_g, shift_g2, _ = ghosts
        (far,) = np.nonzero(pair_p2[:, 1] >= len(place_sc))
        number = pair_p2[far, 1] - len(place_sc)
        shift_p2[far], pair_p2[far, 1] = shift_g2[number], ghost_g[number]
    return pair_p2, shift_p2


def near_by_trees(point_nc: Floats, own: int, distance: float) -> Ints:
    """Return the same pairs as ``compiled_near``."""
    tree = _tree(point_nc[:own])
    pair_p2 = tree.query_pairs(distance, output_type="ndarray").astype(np.intp)
    if own == len(point_nc):
        return pair_p2
    across = tree.sparse_distance_matrix(_tree(point_nc[own:]), distance, output_type="coo_matrix")
    return np.concatenate([pair_p2, np.stack([across.row, own + across.col], axis=1).astype(np.intp)])


def _tree(place_sc: Floats) -> cKDTree:
    """Return a tree to look for what is near: built in half the time unbalanced, and asked as quickly, as a fabric's
    places are evenly spread (measured)."""
    return cKDTree(place_sc, balanced_tree=False, compact_nodes=False)


def images(place_sc: Floats, period_a: Floats, distance: float) -> tuple[Ints, Ints, Floats]:
    """Return which places lie, some periods further, within ``distance`` of the box around all places; by how many
    periods (g, 2), and where (g, 3).

    Of an image and its opposite only one is taken: their pairs are the same, seen from either end.
    """
    flat_s2 = place_sc[:, :2]
    low_a, high_a = flat_s2.min(axis=0) - distance, flat_s2.max(axis=0) + distance
    across, up = np.minimum(np.ceil((high_a - low_a) / np.abs(period_a)), MOST_IMAGES).astype(int)
    inside = []  # of each direction: which places lie inside the box, so many periods on
    for a, turns in enumerate((np.arange(across + 1), np.arange(-up, up + 1))):
        there_is = flat_s2[:, a] + turns[:, None] * period_a[a]
        inside.append((there_is >= low_a[a]) & (there_is <= high_a[a]))
    both_ijs = inside[0][:, None] & inside[1]
    both_ijs[0, : up + 1] = False  # their opposites are taken, and what lies here is no image
    i, j, place = np.nonzero(both_ijs)
    shift_g2 = np.stack([i, j - up], axis=1)
    ghost_gc = place_sc[place]
    ghost_gc[:, :2] += shift_g2 * period_a
    return place, shift_g2, ghost_gc


def apart(place_sc: Floats, period_a: Floats | None, pair_p2: Ints, shift_p2: Ints) -> Floats:
    """Return how far apart pairs of places lie, (p,) m."""
    way_pc = place_sc.take(pair_p2[:, 1], axis=0) - place_sc.take(pair_p2[:, 0], axis=0)
    if period_a is not None:
        way_pc[:, :2] += shift_p2 * period_a
    return norms(way_pc)
