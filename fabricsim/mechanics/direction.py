"""The Newton direction: of the exact Hessian where that is positive definite, else blended with its safe part.

The safe part alone always gives a descent, but what it leaves out (compression, the turning of the normals) decides a
buckle, so it crawls. The exact Hessian is quick but may point uphill. The blend H + share (S - H) takes as little of
the safe part S as makes it positive definite; the share falls after every good step, and near the answer it is zero.
Whether a matrix is positive definite is read off its factors: with symmetric pivots the diagonal of U has as many
negative entries as the matrix has negative eigenvalues (Sylvester's law of inertia).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.linalg import SuperLU, splu

from fabricsim.mechanics.assemble import Pattern

Floats = NDArray[np.float64]

# The constants of the blend, chosen on eight fabrics of 576 to 1248 stitches, flat and puckered. Halving or doubling
# any of them led to the same minima and to at most half as many factorisations again.
FIRST_SHARE = 0.05
RAISE = 4.0
LOWER = 0.2
DROP_BELOW = 0.02
SHIFT = 1e-9
"""Added to the safe part, as a share of its largest entry: it may be singular, a floating fabric has soft modes."""


@dataclass
class Blend:
    """Holds the share of the safe part from step to step and counts factorisations."""

    pattern: Pattern
    share: float = 0.0
    factorisations: int = 0

    def direction(self, gradient_f: Floats, exact_e: Floats, safe_e: Floats) -> Floats | None:
        """Return the Newton step (f,) m, raising the share until it descends; None if even the safe part won't."""
        while True:
            step_f = self._try(gradient_f, exact_e, safe_e)
            if step_f is not None:
                return step_f
            if self.share >= 1.0:
                return None
            self.share = min(1.0, max(RAISE * self.share, FIRST_SHARE))

    def reward(self, good: bool) -> None:
        """Lower the share after a full step along which the energy fell as foreseen."""
        if good:
            self.share = self.share * LOWER if self.share > DROP_BELOW else 0.0

    def _try(self, gradient_f: Floats, exact_e: Floats, safe_e: Floats) -> Floats | None:
        if self.share < 1.0:
            matrix = self.pattern.fill(exact_e + self.share * (safe_e - exact_e))
        else:
            matrix = self.pattern.fill(safe_e)
            matrix = matrix + SHIFT * np.abs(safe_e).max() * sparse.eye_array(matrix.shape[0], format="csc")
        self.factorisations += 1
        try:
            factors = factorise(matrix)
        except RuntimeError:  # exactly singular
            return None
        if not is_positive_definite(factors):
            return None
        step_f = factors.solve(-gradient_f)
        return step_f if np.isfinite(step_f).all() and gradient_f @ step_f < 0.0 else None


def factorise(matrix: sparse.csc_array) -> SuperLU:
    """Return the sparse LU factors of a symmetric matrix, pivots kept on the diagonal."""
    return splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})


def is_positive_definite(factors: SuperLU) -> bool:
    """Return whether the symmetric matrix behind ``factors`` is positive definite."""
    symmetric = np.array_equal(factors.perm_r, factors.perm_c)
    return symmetric and bool((factors.U.diagonal() > 0.0).all())
