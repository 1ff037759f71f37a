"""Derivatives of unit vectors and normals, the building blocks of every geometry."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Floats, cross, dot, norms

IDENTITY = np.eye(3)


def outer(a_bc: Floats, b_bc: Floats) -> Floats:
    """Return the outer products (b, 3, 3)."""
    return a_bc[:, :, None] * b_bc[:, None, :]


def cross_matrix(a_bc: Floats) -> Floats:
    """Return [a]x (b, 3, 3), so that [a]x b = a x b."""
    m = np.zeros((len(a_bc), 3, 3))
    m[:, 0, 1], m[:, 0, 2] = -a_bc[:, 2], a_bc[:, 1]
    m[:, 1, 0], m[:, 1, 2] = a_bc[:, 2], -a_bc[:, 0]
    m[:, 2, 0], m[:, 2, 1] = -a_bc[:, 1], a_bc[:, 0]
    return m


def direction_and_length(d_bc: Floats) -> tuple[Floats, Floats]:
    """Return the unit vectors (b, 3) and the lengths (b,) of ``d_bc``."""
    length_b = norms(d_bc)
    return d_bc / length_b[:, None], length_b


def unit_jacobian(u_bc: Floats, length_b: Floats) -> Floats:
    """Return d(unit)/d(vector) = (I - u u')/l, (b, 3, 3)."""
    return (IDENTITY - outer(u_bc, u_bc)) / length_b[:, None, None]


def unit_curvature(f_bc: Floats, u_bc: Floats, length_b: Floats) -> Floats:
    """Return the second derivative of f . u with respect to the vector, f fixed, (b, 3, 3).

    With p = (I - u u') f it is -(p u' + u p' + (f . u)(I - u u')) / l^2.
    """
    f_along_b = dot(f_bc, u_bc)
    p_bc = f_bc - f_along_b[:, None] * u_bc
    pu = outer(p_bc, u_bc)
    projector = IDENTITY - outer(u_bc, u_bc)
    total = pu + pu.transpose(0, 2, 1) + f_along_b[:, None, None] * projector
    curvature: Floats = -total / (length_b**2)[:, None, None]
    return curvature


class Normal:
    """The unit normal of a x b for (b, 3) arrays a, b, and its derivatives with respect to (a, b) as one 6-vector."""

    def __init__(self, a_bc: Floats, b_bc: Floats) -> None:
        self._a, self._b = a_bc, b_bc
        self.n_bc, self._area_b = direction_and_length(cross(a_bc, b_bc))

    def jacobian(self) -> Floats:
        """Return dn/d(a, b), (b, 3, 6)."""
        self._swing = np.concatenate([-cross_matrix(self._b), cross_matrix(self._a)], axis=2)
        by_ab: Floats = np.matmul(unit_jacobian(self.n_bc, self._area_b), self._swing)
        return by_ab

    def curvature(self, f_bc: Floats) -> Floats:
        """Return the second derivative of f . n with respect to (a, b), f fixed, (b, 6, 6). Call ``jacobian`` first."""
        swing = self._swing
        h: Floats = np.matmul(swing.transpose(0, 2, 1), np.matmul(unit_curvature(f_bc, self.n_bc, self._area_b), swing))
        along_b = dot(f_bc, self.n_bc)
        g_bc = (f_bc - along_b[:, None] * self.n_bc) / self._area_b[:, None]
        turn = cross_matrix(g_bc)  # g . (da x db) = -da' [g]x db
        h[:, :3, 3:] -= turn
        h[:, 3:, :3] += turn
        return h
