"""Plane elasticity of an orthotropic sheet by closed forms, for small loads."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.fabric.stiffness import Stiffness, plane_moduli


def wave_stiffness(stiffness: Stiffness, q_a: Floats) -> Floats:
    """Return A (2, 2), N/m3, with force per area A U cos(q.x) for a displacement U cos(q.x) (Christoffel's matrix).

    A = [[C11 qx^2 + G qy^2, (C12 + G) qx qy], [(C12 + G) qx qy, G qx^2 + C22 qy^2]] (derived).
    """
    c11, c22, c12 = plane_moduli(stiffness)
    g, (qx, qy) = stiffness.shear, q_a
    mixed = (c12 + g) * qx * qy
    return np.array([[c11 * qx**2 + g * qy**2, mixed], [mixed, g * qx**2 + c22 * qy**2]])


def edge_ripple(stiffness: Stiffness, size: tuple[float, float], x: Floats, y: Floats) -> Floats:
    """Return the displacement (n, 2), m2/N, at (x, y) under a pull of cos(q x) N/m on the upper edge, q = pi/width.

    Left and right edges and the lower one slide freely along themselves but don't leave their line. Separable: u =
    sin(q x) sum a_s cosh(s q y), v = cos(q x) sum b_s sinh(s q y), where the two s solve C22 G s^4 - (C11 C22 - C12^2 -
    2 C12 G) s^2 + C11 G = 0 and b_s = (G s^2 - C11) a_s/((C12 + G) s) keeps the inside in balance; on the upper edge
    the pull is cos(q x) and nothing shears (derived).
    """
    c11, c22, c12 = plane_moduli(stiffness)
    g, q = stiffness.shear, np.pi / size[0]
    s_s = np.sqrt(np.roots([c22 * g, -(c11 * c22 - c12**2 - 2.0 * c12 * g), c11 * g]).astype(complex))
    b_s = (g * s_s**2 - c11) / ((c12 + g) * s_s)
    top_s = s_s * q * size[1]
    conditions = np.array([q * (c12 + c22 * s_s * b_s) * np.cosh(top_s), (s_s - b_s) * np.sinh(top_s)])
    a_s = np.linalg.solve(conditions, np.array([1.0, 0.0]))
    depth_ns = np.multiply.outer(y, q * s_s)
    u = np.sin(q * x) * (np.cosh(depth_ns) @ a_s).real
    v = np.cos(q * x) * (np.sinh(depth_ns) @ (a_s * b_s)).real
    return np.column_stack([u, v])
