"""Where the fabric passes through itself: it never may, and this is how it is found out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask, cross, dot, norms
from fabricsim.fabric.kept import KeptPairs
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.pairs import Surface, apart, images, middle
from fabricsim.fabric.places import cells, whole
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.compiled import Patches, compiled_crossing

TRIANGLES = ((0, 1, 2), (1, 3, 2))
EDGES = ((0, 1), (0, 2), (1, 3), (2, 3), (1, 2))
"""Of a cell's corners, its diagonal among the edges: lower left, lower right, upper left, upper right."""

DIAGONAL = 1.01
"""Diagonals of a cell between the middles of cells that are no neighbours (chosen: more than of those with a corner in
common)."""
SPARE = 0.2
"""Stitch widths by which pairs of cells are looked for farther than they may cross (chosen: most are then looked for
once in several steps)."""
CORNER = 1e-6
"""Shares nearer than this to an edge or an end don't count: cells that have a corner in common meet there (chosen)."""


def neighbourhood(mesh: Mesh) -> float:
    """Return the distance (m) in plain fabric up to which the middles of cells are those of neighbours."""
    return DIAGONAL * float(np.hypot(mesh.stitch_width, mesh.row_height))


def crossing_cells(mesh: Mesh, state: State) -> int:
    """Return how many pairs of cells, no neighbours in plain fabric, have an edge of one go through the other."""
    return Cells.of(mesh).crossing(state)


@dataclass(frozen=True, eq=False)
class Cells:
    """The cells of a ``mesh``: their ``middles``, places whose corners are theirs, and those that are no neighbours but
    near each other as they were ``kept`` last."""

    mesh: Mesh
    middles: Surface
    kept: KeptPairs

    @cached_property
    def plain_sc(self) -> Floats:
        """Where the middles lie in plain fabric, (s, 3) m."""
        return self.middles.at(State(self.mesh.rest_nc, self.mesh.period_a))

    @classmethod
    def of(cls, mesh: Mesh) -> Cells:
        """Return all cells that have four corners."""
        corners = cells(mesh)
        kept = whole(corners)
        corner_s4 = np.stack([corner.node_b for corner in corners], axis=1)[kept]
        middles = Surface(corner_s4, np.stack([corner.shift_b2 for corner in corners], axis=1)[kept])
        plain = State(mesh.rest_nc, mesh.period_a)
        return cls(mesh, middles, KeptPairs(middles, plain, SPARE * mesh.stitch_width, neighbourhood(mesh)))

    def crossing(self, state: State) -> int:
        """Return how many pairs of cells, no neighbours in plain fabric, have an edge of one go through the other.

        Each cell is taken as two flat triangles. Möller & Trumbore 1997, J. Graphics Tools 2, 21 (memory).
        """
        corner_4sc = self.middles.corners(state)
        found = self._by_compiled_code(corner_4sc, state)
        return self._by_arrays(corner_4sc, state) if found is None else found

    def _by_compiled_code(self, corner_4sc: Floats, state: State) -> int | None:
        """Return the same in a third of the time; None where that can't be."""
        middle_sc = middle(corner_4sc)
        around_s = norms(corner_4sc - middle_sc).max(axis=0)
        cells, least = Patches(corner_4sc, middle_sc, around_s, self.plain_sc, len(around_s)), neighbourhood(self.mesh)
        if state.period_a is not None and np.isfinite(corner_4sc).all():
            assert self.mesh.period_a is not None
            s, shift_g2, ghost_gc = images(middle_sc, state.period_a, 2.0 * float(around_s.max(initial=0.0)))
            away_gc = ghost_gc - middle_sc[s]
            plain_gc = self.plain_sc[s] + np.pad(shift_g2 * self.mesh.period_a, ((0, 0), (0, 1)))
            cells = Patches(
                np.concatenate([corner_4sc, corner_4sc[:, s] + away_gc], axis=1),
                np.concatenate([middle_sc, ghost_gc]),
                np.concatenate([around_s, around_s[s]]),
                np.concatenate([self.plain_sc, plain_gc]),
                len(around_s),
            )
        return compiled_crossing(cells, least, CORNER)

    def _by_arrays(self, corner_4sc: Floats, state: State) -> int:
        """Return the same by numpy."""
        pair_p2, shift_p2 = self._may_cross(corner_4sc, state)
        if len(pair_p2) == 0:
            return 0
        one_4pc, other_4pc = corner_4sc.take(pair_p2[:, 0], axis=1), corner_4sc.take(pair_p2[:, 1], axis=1)
        if state.period_a is not None:
            other_4pc[..., :2] += shift_p2 * state.period_a
        through_p = np.zeros(len(pair_p2), dtype=bool)
        for a_4pc, b_4pc in ((one_4pc, other_4pc), (other_4pc, one_4pc)):
            for begin, end in EDGES:
                for triangle in TRIANGLES:
                    through_p |= _pierces(a_4pc[begin], a_4pc[end], *(b_4pc[corner] for corner in triangle))
        return int(through_p.sum())

    def _may_cross(self, corner_4sc: Floats, state: State) -> tuple[Ints, Ints]:
        """Return the pairs that are no neighbours and so near, for their size, that they may have a point in common."""
        middle_sc = middle(corner_4sc)
        around_s = norms(corner_4sc - middle_sc).max(axis=0)
        found = self.kept.nearer(state, 2.0 * float(around_s.max(initial=0.0)))
        pair_p2, shift_p2 = found.place_p2, found.shift_p2
        room_p = around_s[pair_p2[:, 0]] + around_s[pair_p2[:, 1]]
        near_p = apart(middle_sc, state.period_a, pair_p2, shift_p2) <= room_p
        return pair_p2[near_p], shift_p2[near_p]


def _pierces(begin_pc: Floats, end_pc: Floats, a_pc: Floats, b_pc: Floats, c_pc: Floats) -> Mask:
    """Return which segments go through their triangle a, b, c, each (p, 3)."""

    way_pc, ab_pc, ac_pc, from_pc = end_pc - begin_pc, b_pc - a_pc, c_pc - a_pc, begin_pc - a_pc
    h_pc, q_pc = cross(way_pc, ac_pc), cross(from_pc, ab_pc)
    with np.errstate(divide="ignore", invalid="ignore"):  # a segment along the plane of its triangle pierces nothing
        over_p = 1.0 / dot(ab_pc, h_pc)
        u_p, v_p, t_p = over_p * dot(from_pc, h_pc), over_p * dot(way_pc, q_pc), over_p * dot(ac_pc, q_pc)
        inside_p = (u_p > CORNER) & (v_p > CORNER) & (u_p + v_p < 1.0 - CORNER)
        return inside_p & (t_p > CORNER) & (t_p < 1.0 - CORNER)
