"""Clearance: how far a node lies outside a smooth solid, and how far along a line it has gone.

The solid is where F < 0, F(x, y, z) = f(x) + g(y) + h(z). Its clearance is F / |grad F|: the distance to first order,
with slope 1 straight out of the surface. Second derivatives are exact, which takes no more than the third derivatives
of three functions of one variable.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, dot
from fabricsim.mechanics.energies.registry import Patch, register
from fabricsim.mechanics.laws import Cushion, Elastic
from fabricsim.mechanics.terms import Measure, Order, Term

Parts = Callable[[Floats], tuple[Floats, Floats, Floats, Floats]]
"""Told where nodes lie, (b, 3) m, returns f, g and h there and their first three derivatives, each (b, 3)."""


@dataclass(frozen=True, eq=False)
class Clearance:
    """s = F / |grad F|, m, for elements of one point; ``parts`` of F."""

    parts: Parts

    combine_mp = np.array([[1.0]])

    def measure(self, d_bmc: Floats, order: Order) -> Measure:
        f_bc, first_bc, second_bc, third_bc = self.parts(d_bmc[:, 0])
        f_b, squared_b = f_bc.sum(axis=1), dot(first_bc, first_bc)
        root_b = squared_b**-0.5
        s_b = f_b * root_b
        if order == 0:
            return Measure(s_b)
        turn_bc = 2.0 * first_bc * second_bc  # the gradient of |grad F|^2
        slope_bc = first_bc * root_b[:, None] - 0.5 * (f_b * root_b**3)[:, None] * turn_bc
        if order == 1:
            return Measure(s_b, slope_bc)
        diagonal = np.arange(3)
        curvature_bcc = (0.75 * f_b * root_b**5)[:, None, None] * turn_bc[:, :, None] * turn_bc[:, None, :]
        mixed_bcc = first_bc[:, :, None] * turn_bc[:, None, :]
        curvature_bcc -= 0.5 * (root_b**3)[:, None, None] * (mixed_bcc + mixed_bcc.transpose(0, 2, 1))
        own_bc = second_bc * root_b[:, None]
        own_bc -= (f_b * root_b**3)[:, None] * (second_bc**2 + first_bc * third_bc)
        curvature_bcc[:, diagonal, diagonal] += own_bc
        return Measure(s_b, slope_bc, curvature_bcc)


@dataclass(frozen=True, eq=False)
class AlongLine:
    """s = x . way, m, for elements of one point; ``way_bc`` (b, 3) unit vectors, one an element."""

    way_bc: Floats

    combine_mp = np.array([[1.0]])

    def measure(self, d_bmc: Floats, order: Order) -> Measure:
        s_b = dot(d_bmc[:, 0], self.way_bc)
        return Measure(s_b) if order == 0 else Measure(s_b, self.way_bc)


def _bumpy(x_bc: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """An ellipsoid with a bulge, around the patch: every derivative differs from nought."""
    size = 0.05
    u_bc = (x_bc + 0.01) / size
    weight_c = np.array([1.0, 0.7, 1.3])
    f_bc = weight_c * (u_bc**2 + 0.1 * u_bc**3) - 1.0 / 30.0
    first_bc = weight_c * (2.0 * u_bc + 0.3 * u_bc**2) / size
    second_bc = weight_c * (2.0 + 0.6 * u_bc) / size**2
    return f_bc, first_bc, second_bc, weight_c * np.full_like(u_bc, 0.6) / size**3


@register("form", internal=False, fixed=True)
def _sample_form(patch: Patch, rng: np.random.Generator) -> Term:
    node_bp = np.arange(9)[:, None]
    s_b = Clearance(_bumpy).measure(patch.rest_nc[:, None], 0).s_b
    near = float(np.linalg.norm(patch.rest_nc[5] - patch.rest_nc[4]))
    law = Cushion(rng.uniform(5.0, 20.0, 9), s_b + near * rng.normal(size=9), 0.5 * near)
    return Term("form", Clearance(_bumpy), law, node_bp)


@register("friction", internal=False, fixed=True)
def _sample_friction(patch: Patch, rng: np.random.Generator) -> Term:
    way_bc = rng.normal(size=(9, 3))
    way_bc /= np.linalg.norm(way_bc, axis=1, keepdims=True)
    near = float(np.linalg.norm(patch.rest_nc[5] - patch.rest_nc[4]))
    rest_b = dot(patch.rest_nc, way_bc) + near * rng.normal(size=9)
    return Term("friction", AlongLine(way_bc), Elastic(rng.uniform(0.5, 2.0, 9), rest_b), np.arange(9)[:, None])
