"""Bars: the distance between two nodes. Courses, wales and shear diagonals are bars with different laws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.mechanics.energies.registry import Patch, register
from fabricsim.mechanics.laws import Knitted
from fabricsim.mechanics.terms import Handed, Measure, Order, Term
from fabricsim.mechanics.vectors import direction_and_length, unit_jacobian


@dataclass(frozen=True)
class Distance:
    """s = |b - a|, m, for elements of points (a, b)."""

    combine_mp = np.array([[-1.0, 1.0]])

    def compiled(self) -> Handed:
        return "distance", ()

    def measure(self, d_bmc: Floats, order: Order) -> Measure:
        u_bc, length_b = direction_and_length(d_bmc[:, 0])
        if order < 2:
            return Measure(length_b, u_bc)
        return Measure(length_b, u_bc, unit_jacobian(u_bc, length_b))


@register("bar")
def _sample(patch: Patch, rng: np.random.Generator) -> Term:
    node_bp = np.array([[4, 5], [4, 7], [0, 4], [2, 4]])
    rest = np.linalg.norm(patch.rest_nc[node_bp[:, 1]] - patch.rest_nc[node_bp[:, 0]], axis=1)
    # Lock and jam lie so near that some bars of a random state are past them.
    law = Knitted(rng.uniform(5.0, 20.0, 4), rest * rng.uniform(0.8, 1.2, 4), 0.1, 8.0, 0.1, 9.0)
    return Term("bar", Distance(), law, node_bp)
