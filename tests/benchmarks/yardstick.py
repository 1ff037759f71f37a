"""The yardstick of a solve: one banded factorisation of its own Hessian, in double precision, by LAPACK.

It stands apart from the program's own factorisation: a better one there shortens the solve, not the yardstick. Stitches
are numbered as they are knitted; the sizes of a cell, which touch everything, are left out.
"""

from __future__ import annotations

import numpy as np
from scipy import sparse
from scipy.linalg import lapack

from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.setup import Fabric


def own_hessian(ready: Fabric, rest: Equilibrium) -> sparse.csc_array:
    """Return the exact Hessian (f, f) N/m of a fabric at rest: positive definite there."""
    energy = rest.contact.energy
    return energy.pattern.fill(energy.hessian(energy.free(rest.state))[2])


def own_band(ready: Fabric, rest: Equilibrium) -> Floats:
    """Return the upper band (half + 1, f) of that Hessian as LAPACK stores it."""
    matrix = own_hessian(ready, rest).tocoo()
    free_f = rest.contact.energy.pattern.free_f
    free_f = free_f[free_f < rest.x_nc.size]
    place_f = np.argsort(np.argsort(as_knitted(rest.mesh)[free_f // 3], kind="stable"))
    inside_k = (matrix.row < len(free_f)) & (matrix.col < len(free_f))
    low, high = place_f[matrix.row[inside_k]], place_f[matrix.col[inside_k]]
    half = int(np.abs(high - low).max())
    upper = low <= high
    band = np.zeros((half + 1, len(free_f)), order="F")
    band[half + low[upper] - high[upper], high[upper]] = matrix.data[inside_k][upper]
    return band


def as_knitted(mesh: Mesh) -> Ints:
    """Return at which place each stitch comes, (n,) int: row by row; rounds from right to left; the rows of a repeat,
    which close on themselves, the first, the last, the second, the last but one and so on."""
    row, column = mesh.row_n, mesh.column_n
    if mesh.case == "round":
        column = mesh.stitches - 1 - column
    if mesh.case == "repeat":
        row = np.minimum(2 * row, 2 * (mesh.rows - row) - 1)
    return np.asarray(row * mesh.stitches + column)


def one_factorisation(band: Floats) -> Floats:
    """Return LAPACK's banded Cholesky of a band. Raises AssertionError if it isn't positive definite."""
    factors, info = lapack.dpbtrf(band, lower=0, overwrite_ab=0)
    assert info == 0
    return np.asarray(factors)
