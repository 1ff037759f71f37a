"""Twist of a cell: how far its four corners are from lying in one plane."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, dot
from fabricsim.mechanics.energies.registry import Patch, register
from fabricsim.mechanics.laws import Elastic
from fabricsim.mechanics.terms import Handed, Measure, Order, Term
from fabricsim.mechanics.vectors import Normal


@dataclass(frozen=True)
class Twist:
    """s = (x11 - x10 - x01 + x00) . n / area, 1/m, for corners (x00, x10, x01, x11), first index across.

    n is the unit normal of the two diagonals; ``area`` is the rest area of the cell, m2.
    """

    area: float

    combine_mp = np.array([[1.0, -1.0, -1.0, 1.0], [-1.0, 0.0, 0.0, 1.0], [0.0, -1.0, 1.0, 0.0]])

    def compiled(self) -> Handed:
        return "twist", (self.area,)

    def measure(self, d_bmc: Floats, order: Order) -> Measure:
        warp_bc = d_bmc[:, 0]
        normal = Normal(d_bmc[:, 1], d_bmc[:, 2])
        s_b = dot(warp_bc, normal.n_bc) / self.area
        if order == 0:
            return Measure(s_b)
        by_diagonals = normal.jacobian()
        turned = np.einsum("bc,bcq->bq", warp_bc, by_diagonals)
        slope = np.concatenate([normal.n_bc, turned], axis=1) / self.area
        if order == 1:
            return Measure(s_b, slope)
        h = np.zeros((len(d_bmc), 9, 9))
        h[:, :3, 3:] = by_diagonals
        h[:, 3:, :3] = by_diagonals.transpose(0, 2, 1)
        h[:, 3:, 3:] = normal.curvature(warp_bc)
        return Measure(s_b, slope, h / self.area)


@register("twist")
def _sample(patch: Patch, rng: np.random.Generator) -> Term:
    node_bp = np.array([[0, 1, 3, 4], [4, 5, 7, 8]])
    size = patch.rest_nc[4] - patch.rest_nc[0]
    law = Elastic(rng.uniform(1e-9, 1e-8, 2), rng.normal(size=2))
    return Term("twist", Twist(float(size[0] * size[1])), law, node_bp)
