"""Sparse LU by scipy's SuperLU: where there is no compiled code, and no narrow band either."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import SuperLU, splu

from fabricsim.arrays import Floats, largest
from fabricsim.mechanics.factors.kinds import MOST_ITERATIONS, Kind

HALFWAY = 60.0
"""An iteration costs a fortieth of a factorisation where columns of the factors are long, and more where they are
short: half of that where they have ``HALFWAY`` entries (measured on nets and fabrics of 150 to 10,000 stitches)."""


@dataclass(frozen=True)
class Sparse:
    """Sparse LU factors with symmetric pivots."""

    lu: SuperLU

    @cached_property
    def patience(self) -> int:
        length_f = np.diff(self.lu.L.indptr).astype(np.float64)
        mean = float((length_f**2).sum() / length_f.sum())
        return max(2, round(MOST_ITERATIONS * mean / (mean + HALFWAY)))

    def solve(self, force_f: Floats) -> Floats:
        size = largest(force_f)
        if size == 0.0:
            return np.zeros_like(force_f)
        return size * np.asarray(self.lu.solve((force_f / size).astype(self.lu.L.dtype)), dtype=np.float64)

    def solve_all(self, force_fm: Floats) -> Floats:
        return np.asarray(self.lu.solve(force_fm.astype(self.lu.L.dtype)), dtype=np.float64)


@dataclass(frozen=True)
class Unplanned:
    """No plan: SuperLU looks for its own order at every matrix."""

    whole = True

    def factorised(self, matrix: sparse.csc_array, kind: Kind) -> Sparse | None:
        """Return the sparse factors of a symmetric matrix; None if it isn't positive definite as far as its precision
        tells: with pivots on the diagonal their signs count negative eigenvalues (Sylvester's law of inertia)."""
        matrix = matrix.astype(kind, copy=True)
        matrix.eliminate_zeros()  # in flat fabric in-plane and out-of-plane have nothing to do with each other
        try:
            lu = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
        except RuntimeError:  # exactly singular
            return None
        definite = np.array_equal(lu.perm_r, lu.perm_c) and bool((lu.U.diagonal() > 0.0).all())
        return Sparse(lu) if definite else None
