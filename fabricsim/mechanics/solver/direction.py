"""The Newton direction, at the price of as few factorisations as possible.

The material part M of the Hessian (every spring as stiff as it is, no force in it) is positive semi-definite wherever
the fabric lies, but what it leaves out (the pull of taut floats, compression, the turning of the normals) decides a
buckle. The exact Hessian H has all that but may point uphill. Here the Newton equation of the exact H is solved by
conjugate gradients, preconditioned by factors: at first those of M, then the same ones as long as they serve, else
new ones of a blend H + share (M - H) with as little of M as makes it positive definite. Where the iteration meets
negative curvature it ends there (Steihaug 1983, SIAM J. Numer. Anal. 20, 626, memory) and the step goes boldly along
it. A preconditioner need not be exact, so factors are in single precision, at half the memory and two thirds the time;
in double only near rest, where a matrix that is positive definite by a hair may not look so in single.

Whether a blend is positive definite is found by factorising it (``factors``).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from fabricsim.arrays import Floats, largest
from fabricsim.breaks import asked
from fabricsim.mechanics.factors.kinds import MOST_ITERATIONS, FactorPlan, Factors
from fabricsim.mechanics.factors.plans import plan
from fabricsim.mechanics.pattern import Pattern

# Chosen: with a first share of 0.2 raised by 5 ten fabrics, flat and puckered, took as long, to the same minima.
FIRST_SHARE = 0.05
RAISE = 4.0
LOWER = 0.2
DROP_BELOW = 0.02
CLOSE = 0.03
"""Accuracy below which factors that no longer serve make room for those of the exact Hessian, if it is positive
definite: so close to rest those serve to the end, and prove it (chosen: from 0.02 to 0.1 a quarter less time where a
fabric rests after a few steps, as long as before where it folds)."""
SHIFT = 1e-6
"""Added to the material part, as a share of its largest entry: it may be singular, a floating fabric has soft modes
(chosen, well above what single precision loses)."""

FLAT = 1e-13
"""Curvature over the largest stiffness up to which there is none, as of a fabric that falls: a thousand times round-off
(chosen)."""
LOOSEST = 0.1
"""Largest relative residual of the Newton equation far from rest; near it the square root of the force left, which
keeps the convergence superlinear (Dembo, Eisenstat, Steihaug 1982, SIAM J. Numer. Anal. 19, 400, memory)."""
PROVEN = 1e-8
"""Share of a random force below which no part of it can be left along a direction of negative curvature (chosen: of
30,000 unknowns each has about 6e-3 of the whole)."""

Material = Callable[[], Floats]
"""Makes the stored blocks of the material part of the Hessian when they are needed."""


@dataclass
class Direction:
    """Holds the factors and the share of the material part from step to step, and counts what they cost.

    ``reach`` m: how far the node that moves most goes along negative curvature.
    """

    pattern: Pattern
    reach: float
    share: float = 1.0
    factorisations: int = 0
    _factors: Factors | None = None
    _plan: FactorPlan | None = None
    _planned: bool = False
    _first_force: float = 0.0
    _near: bool = False
    _bold: bool = False
    _further: float = 1.0

    def step(self, gradient_f: Floats, exact_eb: Floats, material: Material) -> Floats | None:
        """Return the Newton step (f,) m from the gradient and the stored blocks of the exact Hessian; None if none
        descends."""
        hessian = self.pattern.fill(exact_eb)
        force = largest(gradient_f)
        self._first_force = self._first_force or force
        accuracy = min(LOOSEST, (force / self._first_force) ** 0.5)
        self._near = accuracy < LOOSEST
        if self._factors is not None:
            solved = conjugate_gradients(hessian, self._factors, gradient_f, accuracy, self._factors.patience)
            step_f = self._boldly(solved, gradient_f)
            if solved.finished and descends(step_f, gradient_f):
                return step_f
            self._factors = None
            self.share = 0.0 if accuracy < CLOSE or self.share <= DROP_BELOW else self.share * LOWER
        if not self._factorise(exact_eb, material):
            return None
        assert self._factors is not None
        if self.share == self.factorisations == 1:  # far off, where forces mislead: draw in as springs without them
            step_f = self._factors.solve(-gradient_f)
        else:
            step_f = self._boldly(conjugate_gradients(hessian, self._factors, gradient_f, accuracy), gradient_f)
        return step_f if descends(step_f, gradient_f) else None

    def downhill(self, exact_eb: Floats, material: Material) -> Floats | None:
        """Return a direction of negative curvature (f,), at most ``reach`` long; None where H is positive definite.

        Conjugate gradients from a fixed random force look for it. While all curvatures that they meet are positive,
        what is left of the force along a direction of negative curvature can't shrink (their residual polynomial is 1
        at nought and grows below it); so once the whole residual is a ``PROVEN`` part of the force there is no such
        direction, unless the random force has less than that part of itself along it.
        """
        hessian = self.pattern.fill(exact_eb)
        push_f = np.random.default_rng(0).normal(size=len(self.pattern.free_f))
        found = None
        if self._factors is not None:
            found = conjugate_gradients(hessian, self._factors, push_f, PROVEN, self._factors.patience)
        if found is None or not found.finished:
            self._factors, self.share = None, 0.0
            if not self._factorise(exact_eb, material) or self._factors is None:
                return None
            found = conjugate_gradients(hessian, self._factors, push_f, PROVEN, max(MOST_ITERATIONS, len(push_f)))
        if found.negative_f is None:
            return None
        return self.reach / largest(found.negative_f) * found.negative_f

    def renew(self, pattern: Pattern) -> None:
        """Go on with elements added: on another pattern, with new factors."""
        self.pattern, self._factors, self._planned = pattern, None, False

    def judge(self, full: bool, good: bool, free: bool = True) -> None:
        """Keep the factors after a full step along which the energy fell as foreseen, drop them after any other.

        Bold moves go twice as far each time that one could be taken in full: a tube that turns over has far to go. One
        that was not ``free``, as something was in its way, was not taken in full.
        """
        if not (full and good):
            self._factors = None
            self.share = LOWER if self.share == 1.0 else self.share
        if self._bold:
            self._further = 2.0 * self._further if full and free else 1.0
        self._bold = False

    def _boldly(self, solved: Solved, gradient_f: Floats) -> Floats:
        """Return the step; where it met negative curvature, with a bold move along that, to the side that goes down.

        Without it, leaving a saddle takes dozens of steps that grow by a fifth each.
        """
        if solved.negative_f is None:
            return solved.step_f
        self._bold = True
        far = self._further * self.reach / largest(solved.negative_f)
        side = -1.0 if gradient_f @ solved.negative_f > 0.0 else 1.0
        return solved.step_f + side * far * solved.negative_f

    def _factorise(self, exact_eb: Floats, material: Material) -> bool:
        """Factorise the blend, raising the share until it is positive definite; False if even the material part is
        not."""
        material_eb = None
        while True:
            if self.share > 0.0 and material_eb is None:
                material_eb = material()
            self._factors = self._try(exact_eb, material_eb)
            if self._factors is not None:
                return True
            if self.share >= 1.0:
                if self._plan is None or self._plan.whole:
                    return False
                self._plan = plan(self.pattern, left_out=0.0)  # what was left out was needed
                continue
            self.share = min(1.0, max(RAISE * self.share, FIRST_SHARE))

    def _try(self, exact_eb: Floats, material_eb: Floats | None) -> Factors | None:
        self.factorisations += 1
        if material_eb is None or self.share == 0.0:
            matrix = self.pattern.fill(exact_eb)
        else:
            matrix = self.pattern.fill(exact_eb + self.share * (material_eb - exact_eb))
            if self.share == 1.0:
                matrix.setdiag(matrix.diagonal() + SHIFT * np.abs(material_eb).max())
        if self._plan is None or not self._planned:
            asked()
            self._plan, self._planned = plan(self.pattern, former=self._plan), True
        asked()
        factors = self._plan.factorised(matrix, np.float32)
        if factors is None and self._near:
            asked()
            self.factorisations += 1
            factors = self._plan.factorised(matrix, np.float64)
        asked()
        return factors


def descends(step_f: Floats, gradient_f: Floats) -> bool:
    """Return whether a step (f,) is finite and goes down."""
    return bool(np.isfinite(step_f).all() and gradient_f @ step_f < 0.0)


@dataclass(frozen=True, eq=False)
class Solved:
    """What conjugate gradients came to: a descent ``step_f`` (f,); whether it is ``finished``, that is accurate enough
    or ended by negative curvature; and then the direction ``negative_f`` (f,) of that curvature.
    """

    step_f: Floats
    finished: bool
    negative_f: Floats | None = None


def conjugate_gradients(
    hessian: sparse.csc_array,
    factors: Factors,
    gradient_f: Floats,
    accuracy: float,
    iterations: int = MOST_ITERATIONS,
) -> Solved:
    """Return the solution of hessian x step = -gradient to a relative ``accuracy``, preconditioned by ``factors``."""
    step_f = np.zeros_like(gradient_f)
    residual_f = -gradient_f
    along_f = toward_f = factors.solve(residual_f)
    size = first = float(residual_f @ toward_f)
    flat = FLAT * float(np.abs(hessian.data).max(initial=0.0))
    for _ in range(iterations):
        asked()
        bent_f = hessian @ along_f
        curvature = float(along_f @ bent_f)
        if curvature <= flat * float(along_f @ along_f):
            return Solved(step_f, True, along_f)
        before_f, before = residual_f, size
        step_f = step_f + before / curvature * along_f
        residual_f = before_f - before / curvature * bent_f
        toward_f = factors.solve(residual_f)
        size = float(residual_f @ toward_f)
        if size <= accuracy**2 * first:
            return Solved(step_f, True)
        # Polak and Ribiere's ratio forgives factors that are not quite symmetric, as in single precision (memory).
        along_f = toward_f + (size - float(before_f @ toward_f)) / before * along_f
    return Solved(step_f, False)
