"""Bending along a line of nodes: how much the direction turns at a node, seen along the surface normal there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, dot
from fabricsim.mechanics.energies.registry import Patch, register
from fabricsim.mechanics.laws import Elastic
from fabricsim.mechanics.terms import Handed, Measure, Order, Term
from fabricsim.mechanics.vectors import Normal, direction_and_length, unit_curvature, unit_jacobian


@dataclass(frozen=True, eq=False)
class Curvature:
    """s = (u_next - u_previous) . n / spacing, 1/m, for points (previous, here, next, from, to).

    u are the unit vectors of the two bars at ``here``; n is the unit normal of (next - previous) x (to - from), where
    from and to are the neighbours of ``here`` across the line; so s > 0 where the fabric bulges to the back.
    ``spacing`` (b,) or scalar, m: rest distance of nodes along the line. ``flip`` turns the product round for a line
    whose (along, across) pair is left-handed as seen from the face, so that n points to the face for wales too.
    """

    spacing: Floats | float
    flip: bool = False

    combine_mp = np.array([[0.0, -1.0, 1.0, 0.0, 0.0], [-1.0, 1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, -1.0, 1.0]])

    def compiled(self) -> Handed:
        return "curvature", ((-1.0 if self.flip else 1.0) / np.asarray(self.spacing),)

    def measure(self, d_bmc: Floats, order: Order) -> Measure:
        sign = -1.0 if self.flip else 1.0
        ahead_bc, ahead_length = direction_and_length(d_bmc[:, 0])
        behind_bc, behind_length = direction_and_length(d_bmc[:, 1])
        normal = Normal(d_bmc[:, 0] + d_bmc[:, 1], d_bmc[:, 2])
        turn_bc = ahead_bc - behind_bc
        scale_b = np.broadcast_to(sign / np.asarray(self.spacing), ahead_length.shape)
        s_b = dot(turn_bc, normal.n_bc) * scale_b
        if order == 0:
            return Measure(s_b)
        turn_by_d = np.zeros((len(d_bmc), 3, 9))
        turn_by_d[:, :, 0:3] = unit_jacobian(ahead_bc, ahead_length)
        turn_by_d[:, :, 3:6] = -unit_jacobian(behind_bc, behind_length)
        normal_by_ab = normal.jacobian()
        normal_by_d = np.concatenate([normal_by_ab[:, :, :3], normal_by_ab], axis=2)
        slope = np.einsum("bc,bcq->bq", normal.n_bc, turn_by_d) + np.einsum("bc,bcq->bq", turn_bc, normal_by_d)
        slope *= scale_b[:, None]
        if order == 1:
            return Measure(s_b, slope)
        h = np.matmul(turn_by_d.transpose(0, 2, 1), normal_by_d)
        h = h + h.transpose(0, 2, 1)
        h[:, 0:3, 0:3] += unit_curvature(normal.n_bc, ahead_bc, ahead_length)
        h[:, 3:6, 3:6] -= unit_curvature(normal.n_bc, behind_bc, behind_length)
        turning = normal.curvature(turn_bc)  # by (along, across), where along = ahead + behind
        h[:, 0:3, 0:3] += turning[:, :3, :3]
        h[:, 0:3, 3:6] += turning[:, :3, :3]
        h[:, 3:6, 0:3] += turning[:, :3, :3]
        h[:, 3:6, 3:6] += turning[:, :3, :3]
        h[:, 0:3, 6:9] += turning[:, :3, 3:]
        h[:, 3:6, 6:9] += turning[:, :3, 3:]
        h[:, 6:9, 0:3] += turning[:, 3:, :3]
        h[:, 6:9, 3:6] += turning[:, 3:, :3]
        h[:, 6:9, 6:9] += turning[:, 3:, 3:]
        return Measure(s_b, slope, h * scale_b[:, None, None])


@register("bend")
def _sample(patch: Patch, rng: np.random.Generator) -> Term:
    node_bp = np.array([[patch.LEFT, patch.CENTRE, patch.RIGHT, patch.DOWN, patch.UP]])
    spacing = float(np.linalg.norm(patch.rest_nc[5] - patch.rest_nc[4]))
    return Term("bend", Curvature(spacing), Elastic(rng.uniform(1e-9, 1e-8, 1), rng.normal(size=1)), node_bp)


@register("bend flipped")
def _sample_flipped(patch: Patch, rng: np.random.Generator) -> Term:
    node_bp = np.array([[patch.DOWN, patch.CENTRE, patch.UP, patch.LEFT, patch.RIGHT]])
    spacing = float(np.linalg.norm(patch.rest_nc[7] - patch.rest_nc[4]))
    law = Elastic(rng.uniform(1e-9, 1e-8, 1), rng.normal(size=1))
    return Term("bend flipped", Curvature(spacing, flip=True), law, node_bp)
