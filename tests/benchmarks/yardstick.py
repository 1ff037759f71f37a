"""The yardstick of a solve: one sparse factorisation of its own Hessian, by a public library with fixed settings.

It stands apart from the program's own factorisation: a better one there shortens the solve, not the yardstick.
"""

from __future__ import annotations

from scipy import sparse
from scipy.sparse.linalg import SuperLU, splu

from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.setup import Fabric


def own_hessian(ready: Fabric, rest: Equilibrium) -> sparse.csc_array:
    """Return the exact Hessian (f, f) N/m of a fabric at rest: positive definite there."""
    energy = rest.contact.energy
    return energy.pattern.fill(energy.hessian(energy.free(rest.state))[2])


def one_lu(matrix: sparse.csc_array) -> SuperLU:
    """Return SuperLU's factors of a symmetric matrix, ordered by minimum degree, pivots kept on the diagonal."""
    return splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
