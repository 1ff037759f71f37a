"""Thin orthotropic plates by other means: Navier's series, Levy's closed form, and finite elements of scikit-fem.

The plate has the energy per area (B_x w_xx^2 + B_y w_yy^2 + 2 B_t w_xy^2)/2 that a flat piece of fabric has for small
heights w. In the usual letters, (D11 w_xx^2 + 2 D12 w_xx w_yy + D22 w_yy^2 + 4 D66 w_xy^2)/2 (Timoshenko &
Woinowsky-Krieger, Theory of Plates and Shells, 1959, ch. 11, memory), that is D11 = B_x, D22 = B_y, D12 = 0 and
D66 = B_t/2. It fills 0 <= x <= a, 0 <= y <= b.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import skfem
from skfem.helpers import dd

from fabricsim.arrays import Floats
from fabricsim.fabric.stiffness import Stiffness

Pressure = Callable[[Floats, Floats], Floats]
"""Load per area (Pa) as a function of x and y (m)."""


@dataclass(frozen=True)
class Plate:
    """``a``, ``b`` m; ``across``, ``up``, ``twist``: B_x, B_y, B_t in N.m."""

    a: float
    b: float
    across: float
    up: float
    twist: float


def plate_of(stiffness: Stiffness, a: float, b: float) -> Plate:
    return Plate(a, b, stiffness.bend_across, stiffness.bend_up, stiffness.twist)


def navier(plate: Plate, x: float, y: float, terms: int = 400) -> float:
    """Return the height at (x, y) under unit uniform load, all four sides simply supported.

    w = sum over odd m, n of 16 / (pi^6 m n) sin(m pi x/a) sin(n pi y/b) / (D11 m^4/a^4 + 2 H m^2 n^2/(a b)^2 +
    D22 n^4/b^4), H = D12 + 2 D66 = B_t (Navier; Timoshenko & Woinowsky-Krieger 1959, memory). Terms fall as the sixth
    power: 200 odd ones each way leave less than 1e-9.
    """
    odd = np.arange(1, terms, 2)
    m, n = odd[:, None], odd[None, :]
    stiff = plate.across * (m / plate.a) ** 4 + plate.up * (n / plate.b) ** 4
    stiff = stiff + 2.0 * plate.twist * (m * n / (plate.a * plate.b)) ** 2
    wave = np.sin(m * np.pi * x / plate.a) * np.sin(n * np.pi * y / plate.b)
    return float((16.0 / np.pi**6 * wave / (m * n * stiff)).sum())


def levy(plate: Plate, x: Floats, y: Floats) -> Floats:
    """Return the heights at (x, y) under sin(pi x/a) y/b, sides x = 0, a simply supported, y = 0, b free.

    w = sin(k x) F(y), k = pi/a: D22 F'''' - 2 H k^2 F'' + D11 k^4 F = y/b; at a free side no moment,
    F'' = 0 (as D12 = 0), and no force of Kirchhoff's, D22 F''' - (H + 2 D66) k^2 F' = 0, here with H + 2 D66 = 2 B_t
    (Levy; Timoshenko & Woinowsky-Krieger 1959, memory). Not for B_t^2 = B_x B_y, where the four exponents are two.
    """
    k = np.pi / plate.a
    r_s = np.roots([plate.up, 0.0, -2.0 * plate.twist * k**2, 0.0, plate.across * k**4]).astype(complex)
    particular = 1.0 / (plate.across * k**4 * plate.b)  # F = particular y
    force = plate.up * r_s**3 - 2.0 * plate.twist * k**2 * r_s
    far = np.exp(r_s * plate.b)
    conditions = np.array([r_s**2, force, r_s**2 * far, force * far])
    pull = 2.0 * plate.twist * k**2 * particular
    weight_s = np.linalg.solve(conditions, np.array([0.0, pull, 0.0, pull]))
    profile = (np.exp(np.multiply.outer(np.asarray(y), r_s)) @ weight_s).real + particular * np.asarray(y)
    height: Floats = np.sin(k * np.asarray(x)) * profile
    return height


def finite_elements(plate: Plate, load: Pressure, sides: str, cells: int, at: Floats) -> Floats:
    """Return the heights at the points ``at`` (2, p) by Morley's plate triangles on ``cells`` x ``cells`` squares.

    ``sides`` names those simply supported, of "left right down up"; the others are free. The points must be corners of
    the mesh. Heights are of the second order in the triangles (Morley 1968, Aeronautical Quarterly 19, 149, memory).
    """
    line = np.linspace(0.0, 1.0, cells + 1)
    mesh = skfem.MeshTri.init_tensor(plate.a * line, plate.b * line)
    basis = skfem.Basis(mesh, skfem.ElementTriMorley(), intorder=4)

    @skfem.BilinearForm
    def bending(u, v, w):  # type: ignore[no-untyped-def]
        p, q = dd(u), dd(v)
        return plate.across * p[0][0] * q[0][0] + plate.up * p[1][1] * q[1][1] + 2.0 * plate.twist * p[0][1] * q[0][1]

    @skfem.LinearForm
    def pressure(v, w):  # type: ignore[no-untyped-def]
        return load(*w.x) * v

    x, y = mesh.p
    places = {"left": x == 0.0, "right": x == plate.a, "down": y == 0.0, "up": y == plate.b}
    held = np.flatnonzero(np.any([places[side] for side in sides.split()], axis=0))
    held_f = basis.nodal_dofs[0, held]
    heights = skfem.solve(*skfem.condense(bending.assemble(basis), pressure.assemble(basis), D=held_f))
    nodes = [int(np.flatnonzero(np.isclose(x, p) & np.isclose(y, q)).item()) for p, q in at.T]
    found_p: Floats = heights[basis.nodal_dofs[0, nodes]]
    return found_p
