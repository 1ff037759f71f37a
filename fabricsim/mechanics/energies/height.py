"""Height of a node along a fixed direction: its weight is proportional to it, a table pushes back below it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.mechanics.energies.registry import Patch, register
from fabricsim.mechanics.laws import Floor, Proportional
from fabricsim.mechanics.terms import Handed, Measure, Order, Term


@dataclass(frozen=True, eq=False)
class Height:
    """s = x . up, m, for elements of one point; ``up_c`` (3,) is a unit vector, z by default."""

    up_c: Floats = field(default_factory=lambda: np.array([0.0, 0.0, 1.0]))

    combine_mp = np.array([[1.0]])

    def compiled(self) -> Handed:
        return "height", (self.up_c,)

    def measure(self, d_bmc: Floats, order: Order) -> Measure:
        s_b = d_bmc[:, 0] @ self.up_c
        if order == 0:
            return Measure(s_b)
        return Measure(s_b, np.broadcast_to(self.up_c, (len(d_bmc), 3)))


@register("weight", internal=False)
def _sample_weight(patch: Patch, rng: np.random.Generator) -> Term:
    return Term("weight", Height(), Proportional(rng.uniform(1e-5, 1e-4, 9)), np.arange(9)[:, None])


@register("table", internal=False)
def _sample_table(patch: Patch, rng: np.random.Generator) -> Term:
    level = patch.rest_nc[:, 2] + rng.normal(size=9) * 0.2 * np.linalg.norm(patch.rest_nc[5] - patch.rest_nc[4])
    return Term("table", Height(), Floor(rng.uniform(0.5, 2.0, 9), level), np.arange(9)[:, None])
