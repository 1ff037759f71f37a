"""Cell coupling: the product of a cell's strains across and up, which sets the Poisson ratio.

Bars and diagonals alone force C12 = G (Cauchy's relation); this term adds the difference.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.mechanics.energies.registry import Patch, register
from fabricsim.mechanics.laws import Proportional
from fabricsim.mechanics.terms import Handed, Measure, Order, Term
from fabricsim.mechanics.vectors import direction_and_length, unit_jacobian


@dataclass(frozen=True, eq=False)
class StrainProduct:
    """s = e_x e_y of a cell (lower left, lower right, upper left, upper right).

    e_x is the mean strain of its lower and upper bar, e_y that of its left and right bar; ``across`` and ``up``, (b,)
    or scalar, m, are the rest lengths of those bars.
    """

    across: Floats | float
    up: Floats | float

    combine_mp = np.array([[-1.0, 1.0, 0.0, 0.0], [0.0, 0.0, -1.0, 1.0], [-1.0, 0.0, 1.0, 0.0], [0.0, -1.0, 0.0, 1.0]])

    def compiled(self) -> Handed:
        return "strain product", (self.across, self.up)

    def measure(self, d_bmc: Floats, order: Order) -> Measure:
        count = len(d_bmc)
        u_vc, length_v = direction_and_length(d_bmc.reshape(-1, 3))
        length_bm = length_v.reshape(count, 4)
        strain_across = (length_bm[:, 0] + length_bm[:, 1]) / (2.0 * self.across) - 1.0
        strain_up = (length_bm[:, 2] + length_bm[:, 3]) / (2.0 * self.up) - 1.0
        s_b = strain_across * strain_up
        if order == 0:
            return Measure(s_b)
        half_across_b, half_up_b = (0.5 / np.broadcast_to(one, (count,)) for one in (self.across, self.up))
        by_length_bm = np.stack([half_across_b, half_across_b, half_up_b, half_up_b], axis=1)
        slope_bmc = u_vc.reshape(count, 4, 3) * by_length_bm[:, :, None]
        across_bq, up_bq = np.zeros((count, 12)), np.zeros((count, 12))
        across_bq[:, :6] = slope_bmc[:, :2].reshape(count, 6)
        up_bq[:, 6:] = slope_bmc[:, 2:].reshape(count, 6)
        slope_bq = strain_up[:, None] * across_bq + strain_across[:, None] * up_bq
        if order == 1:
            return Measure(s_b, slope_bq)
        mixed = across_bq[:, :, None] * up_bq[:, None, :]
        curvature = mixed + mixed.transpose(0, 2, 1)
        turning = unit_jacobian(u_vc, length_v).reshape(count, 4, 3, 3)
        for m in range(4):
            other = strain_up if m < 2 else strain_across
            part = slice(3 * m, 3 * m + 3)
            curvature[:, part, part] += (other * by_length_bm[:, m])[:, None, None] * turning[:, m]
        return Measure(s_b, slope_bq, curvature)


@register("coupling")
def _sample(patch: Patch, rng: np.random.Generator) -> Term:
    node_bp = np.array([[0, 1, 3, 4], [4, 5, 7, 8]])
    size = patch.rest_nc[4] - patch.rest_nc[0]
    geometry = StrainProduct(0.9 * size[0], 1.1 * size[1])
    return Term("coupling", geometry, Proportional(rng.uniform(0.5, 2.0, 2)), node_bp)
