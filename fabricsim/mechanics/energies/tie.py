"""Ties: the distance between two anchors that sit behind the surface. A float is a tie that can only pull."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.mechanics.energies.registry import Patch, register
from fabricsim.mechanics.laws import Taut
from fabricsim.mechanics.terms import Handed, Measure, Order, Term
from fabricsim.mechanics.vectors import Normal, direction_and_length, unit_jacobian


@dataclass(frozen=True, eq=False)
class AnchoredDistance:
    """s = |b - a|, m, with anchors a = x - offset n at two nodes.

    n is the unit normal of (right - left) x (up - down) at each node, pointing to the face; ``offset`` (b,) or scalar,
    m, is how far behind the nodes the anchors sit. Points: five for each end, the node and then its
    neighbours left, right, down, up (the node itself where one is missing).
    """

    offset: Floats | float

    combine_mp = np.array(
        [
            [-1.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0],
            [0.0, -1.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
            [0.0, 0.0, 0.0, -1.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0],
            [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, -1.0, 1.0, 0.0, 0.0],
            [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, -1.0, 1.0],
        ]
    )

    def compiled(self) -> Handed:
        return "anchored distance", (self.offset,)

    def measure(self, d_bmc: Floats, order: Order) -> Measure:
        start, end = Normal(d_bmc[:, 1], d_bmc[:, 2]), Normal(d_bmc[:, 3], d_bmc[:, 4])
        offset_b = np.broadcast_to(np.asarray(self.offset, dtype=np.float64), (len(d_bmc),))
        u_bc, length_b = direction_and_length(d_bmc[:, 0] - offset_b[:, None] * (end.n_bc - start.n_bc))
        if order == 0:
            return Measure(length_b)
        chord_by_d = np.empty((len(d_bmc), 3, 15))
        chord_by_d[:, :, 0:3] = np.eye(3)
        chord_by_d[:, :, 3:9] = offset_b[:, None, None] * start.jacobian()
        chord_by_d[:, :, 9:15] = -offset_b[:, None, None] * end.jacobian()
        slope = np.einsum("bc,bcq->bq", u_bc, chord_by_d)
        if order == 1:
            return Measure(length_b, slope)
        h = np.matmul(chord_by_d.transpose(0, 2, 1), np.matmul(unit_jacobian(u_bc, length_b), chord_by_d))
        h[:, 3:9, 3:9] += offset_b[:, None, None] * start.curvature(u_bc)
        h[:, 9:15, 9:15] -= offset_b[:, None, None] * end.curvature(u_bc)
        return Measure(length_b, slope, h)


@register("tie")
def _sample(patch: Patch, rng: np.random.Generator) -> Term:
    # Corners lack two neighbours each: the node stands in for them, as at the edge of a fabric.
    node_bp = np.array([[3, 3, 4, 0, 6, 5, 4, 5, 2, 8], [0, 0, 1, 0, 3, 8, 7, 8, 5, 8]])
    chord = np.linalg.norm(patch.rest_nc[node_bp[:, 5]] - patch.rest_nc[node_bp[:, 0]], axis=1)
    law = Taut(rng.uniform(50.0, 200.0, 2), 0.8 * chord)
    return Term("tie", AnchoredDistance(rng.uniform(0.1, 0.3, 2) * chord), law, node_bp)
