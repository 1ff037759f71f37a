"""The Newton direction, at the price of as few factorisations as possible.

The safe part S of the Hessian alone always gives a descent, but what it leaves out (compression, the turning of the
normals) decides a buckle, so it crawls. The exact Hessian H is quick but may point uphill. Here the Newton equation of
the exact H is solved by conjugate gradients, preconditioned by factors of a blend H + share (S - H): the factors of an
earlier step as long as they serve, else new ones with as little of S as makes the blend positive definite. Negative
curvature of H ends the iteration with the descent found so far (Steihaug 1983, SIAM J. Numer. Anal. 20, 626, memory).
Whether a blend is positive definite is read off its factors: with symmetric pivots the diagonal of U has as many
negative entries as the matrix has negative eigenvalues (Sylvester's law of inertia).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.linalg import SuperLU, splu

from fabricsim.mechanics.assemble import Pattern
from fabricsim.mechanics.stopping import largest

Floats = NDArray[np.float64]

# Chosen on eight fabrics of 576 to 1248 stitches, flat and puckered, that took 75 factorisations in all. Halving or
# doubling any one of these, or MOST_ITERATIONS, made that 68 to 90 and led to the same minima, but for one puckered
# fabric that came to rest in another shape, its energy 5 % higher.
FIRST_SHARE = 0.05
RAISE = 4.0
LOWER = 0.2
DROP_BELOW = 0.02
SHIFT = 1e-9
"""Added to the safe part, as a share of its largest entry: it may be singular, a floating fabric has soft modes
(chosen)."""

MOST_ITERATIONS = 20
"""Conjugate gradients with earlier factors before new ones are made: about half the time of new ones, as an iteration
costs a fortieth of a factorisation (measured on 3,500 stitches, swatch and tube)."""
LOOSEST = 0.1
"""Largest relative residual of the Newton equation far from rest; near it the square root of the force left, which
keeps the convergence superlinear (Dembo, Eisenstat, Steihaug 1982, SIAM J. Numer. Anal. 19, 400, memory)."""


@dataclass
class Direction:
    """Holds the factors and the share of the safe part from step to step, and counts what they cost."""

    pattern: Pattern
    share: float = 0.0
    factorisations: int = 0
    _factors: SuperLU | None = None
    _first_force: float = 0.0

    def step(self, gradient_f: Floats, exact_e: Floats, safe_e: Floats) -> Floats | None:
        """Return the Newton step (f,) m from the gradient and the stored entries of both Hessians; None if none
        descends."""
        hessian = self.pattern.fill(exact_e)
        force = largest(gradient_f)
        self._first_force = self._first_force or force
        accuracy = min(LOOSEST, (force / self._first_force) ** 0.5)
        if self._factors is not None:
            solved = conjugate_gradients(hessian, self._factors, gradient_f, accuracy)
            if solved.finished:
                return solved.step_f
            self._factors = None
            self.share = self.share * LOWER if self.share > DROP_BELOW else 0.0
        if not self._factorise(exact_e, safe_e):
            return None
        assert self._factors is not None
        if self.share == 0.0:
            step_f = self._factors.solve(-gradient_f)
        else:
            step_f = conjugate_gradients(hessian, self._factors, gradient_f, accuracy).step_f
        return step_f if np.isfinite(step_f).all() and gradient_f @ step_f < 0.0 else None

    def downhill(self, exact_e: Floats, safe_e: Floats) -> Floats | None:
        """Return a direction of negative curvature (f,), largest component 1; None where H is positive definite.

        Conjugate gradients from a fixed random force look for it: on an indefinite H they must meet one.
        """
        self._factors, self.share = None, 0.0
        if not self._factorise(exact_e, safe_e) or self._factors is None or self.share == 0.0:
            return None
        push_f = np.random.default_rng(0).normal(size=len(self.pattern.free_f))
        found = conjugate_gradients(self.pattern.fill(exact_e), self._factors, push_f, 0.0, len(push_f))
        return None if found.negative_f is None else found.negative_f / largest(found.negative_f)

    def judge(self, good: bool) -> None:
        """Keep the factors after a full step along which the energy fell as foreseen, drop them after any other."""
        if not good:
            self._factors = None

    def _factorise(self, exact_e: Floats, safe_e: Floats) -> bool:
        """Factorise the blend, raising the share until it is positive definite; False if even the safe part is not."""
        while True:
            self._factors = self._try(exact_e, safe_e)
            if self._factors is not None:
                return True
            if self.share >= 1.0:
                return False
            self.share = min(1.0, max(RAISE * self.share, FIRST_SHARE))

    def _try(self, exact_e: Floats, safe_e: Floats) -> SuperLU | None:
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
        return factors if is_positive_definite(factors) else None


@dataclass(frozen=True)
class Solved:
    """What conjugate gradients came to: a descent ``step_f`` (f,); whether it is ``finished``, that is accurate enough
    or ended by negative curvature; and then the direction ``negative_f`` (f,) of that curvature.
    """

    step_f: Floats
    finished: bool
    negative_f: Floats | None = None


def conjugate_gradients(
    hessian: sparse.csc_array,
    factors: SuperLU,
    gradient_f: Floats,
    accuracy: float,
    iterations: int = MOST_ITERATIONS,
) -> Solved:
    """Return the solution of hessian x step = -gradient to a relative ``accuracy``, preconditioned by ``factors``."""
    step_f = np.zeros_like(gradient_f)
    residual_f = -gradient_f
    along_f = toward_f = factors.solve(residual_f)
    size = first = float(residual_f @ toward_f)
    for iteration in range(iterations):
        bent_f = hessian @ along_f
        curvature = float(along_f @ bent_f)
        if curvature <= 0.0:
            return Solved(step_f if iteration else toward_f, True, along_f)
        step_f = step_f + size / curvature * along_f
        residual_f = residual_f - size / curvature * bent_f
        toward_f = factors.solve(residual_f)
        before, size = size, float(residual_f @ toward_f)
        if size <= accuracy**2 * first:
            return Solved(step_f, True)
        along_f = toward_f + size / before * along_f
    return Solved(step_f, False)


def factorise(matrix: sparse.csc_array) -> SuperLU:
    """Return the sparse LU factors of a symmetric matrix, pivots kept on the diagonal."""
    return splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})


def is_positive_definite(factors: SuperLU) -> bool:
    """Return whether the symmetric matrix behind ``factors`` is positive definite."""
    symmetric = np.array_equal(factors.perm_r, factors.perm_c)
    return symmetric and bool((factors.U.diagonal() > 0.0).all())
