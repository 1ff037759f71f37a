"""Where the fabric passes through itself: it never may, and this is how it is found out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fabricsim.fabric.contact import Surface, pairs_within
from fabricsim.fabric.mesh import Floats, Mesh
from fabricsim.fabric.places import cells, whole
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.vectors import cross

TRIANGLES = ((0, 1, 2), (1, 3, 2))
EDGES = ((0, 1), (0, 2), (1, 3), (2, 3), (1, 2))
"""Of a cell's corners, its diagonal among the edges: lower left, lower right, upper left, upper right."""

CORNER = 1e-6
"""Shares nearer than this to an edge or an end don't count: cells that have a corner in common meet there (chosen)."""


def crossing_cells(mesh: Mesh, state: State) -> int:
    """Return how many pairs of cells, no neighbours in plain fabric, have an edge of one go through the other.

    Each cell is taken as two flat triangles. Möller & Trumbore 1997, J. Graphics Tools 2, 21 (memory).
    """
    corners = cells(mesh)
    kept = whole(corners)
    corner_s4 = np.stack([corner.node_b for corner in corners], axis=1)[kept]
    shift_s42 = np.stack([corner.shift_b2 for corner in corners], axis=1)[kept]
    if len(corner_s4) == 0:
        return 0
    centres = Surface(corner_s4, shift_s42)
    place_s4c = state.x_nc[corner_s4]
    if state.period_a is not None:
        place_s4c[..., :2] += shift_s42 * state.period_a
    around_s4 = np.linalg.norm(place_s4c - place_s4c.mean(axis=1, keepdims=True), axis=2)
    pairs = pairs_within(mesh, centres, state, 2.0 * float(around_s4.max()))
    one_p4c, other_p4c = place_s4c[pairs.place_p2[:, 0]], place_s4c[pairs.place_p2[:, 1]]
    if state.period_a is not None:
        other_p4c[..., :2] += (pairs.shift_p2 * state.period_a)[:, None]
    through_p = np.zeros(len(pairs), dtype=bool)
    for a_p4c, b_p4c in ((one_p4c, other_p4c), (other_p4c, one_p4c)):
        for begin, end in EDGES:
            for triangle in TRIANGLES:
                through_p |= _pierces(a_p4c[:, begin], a_p4c[:, end], *(b_p4c[:, corner] for corner in triangle))
    return int(through_p.sum())


def _pierces(begin_pc: Floats, end_pc: Floats, a_pc: Floats, b_pc: Floats, c_pc: Floats) -> NDArray[np.bool_]:
    """Return which segments go through their triangle a, b, c, each (p, 3)."""

    def dot(u_pc: Floats, v_pc: Floats) -> Floats:
        return np.asarray(np.einsum("pc,pc->p", u_pc, v_pc))

    way_pc, ab_pc, ac_pc, from_pc = end_pc - begin_pc, b_pc - a_pc, c_pc - a_pc, begin_pc - a_pc
    h_pc, q_pc = cross(way_pc, ac_pc), cross(from_pc, ab_pc)
    with np.errstate(divide="ignore", invalid="ignore"):  # a segment along the plane of its triangle pierces nothing
        over_p = 1.0 / dot(ab_pc, h_pc)
        u_p, v_p, t_p = over_p * dot(from_pc, h_pc), over_p * dot(way_pc, q_pc), over_p * dot(ac_pc, q_pc)
        inside_p = (u_p > CORNER) & (v_p > CORNER) & (u_p + v_p < 1.0 - CORNER)
        return inside_p & (t_p > CORNER) & (t_p < 1.0 - CORNER)
