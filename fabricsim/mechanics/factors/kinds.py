"""What factors promise, whatever way they are had."""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np
from scipy import sparse

from fabricsim.arrays import Floats

Kind = type[np.floating[Any]]
"""The precision of factors: float32 or float64."""
FEWEST_ITERATIONS, MOST_ITERATIONS = 4, 28
"""Conjugate gradients that are tried with kept factors, at the least and at the most (chosen)."""


class Factors(Protocol):
    """Factors of a positive definite matrix, or of one near it."""

    @property
    def patience(self) -> int:
        """How many conjugate gradients with these factors are cheaper than new ones."""
        ...

    def solve(self, force_f: Floats) -> Floats:
        """Return what the factors make of a force (f,)."""
        ...

    def solve_all(self, force_fm: Floats) -> Floats:
        """Return what the factors make of several forces (f, m), none of them near what their precision can't hold."""
        ...


class FactorPlan(Protocol):
    """How matrices of one pattern are factorised. ``whole``: whether no entry is left out."""

    @property
    def whole(self) -> bool: ...

    def factorised(self, matrix: sparse.csc_array, kind: Kind) -> Factors | None:
        """Return the factors of a symmetric matrix in a precision; None if it isn't positive definite as far as that
        tells."""
        ...
