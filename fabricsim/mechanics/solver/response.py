"""What an energy at rest does under small forces: one factorisation of its exact Hessian, then a solve for each force.

By the adjoint the change of any measure M with any number of parameters p is had for one solve: at rest g(q, p) = 0, so
dM/dp = -(dg/dp) . y with H y = dM/dq (implicit function theorem; H is symmetric). Contacts and taut sets stay as they
are: where one is about to change, the derivative holds on this side of it only.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from fabricsim.arrays import Floats
from fabricsim.errors import NoEquilibriumError
from fabricsim.mechanics.assemble import Energy
from fabricsim.mechanics.factors.kinds import Factors
from fabricsim.mechanics.factors.plans import plan
from fabricsim.threads import one_thread

REFINED = 2
"""Rounds of refinement after a solve (chosen: each takes off as many digits again as the factors are good for)."""
AT_A_TIME = 256
"""Forces that are solved for together, for the sake of memory (chosen)."""


@dataclass(frozen=True, eq=False)
class Response:
    """The exact ``hessian`` (f, f) N/m of an energy at rest, and its ``factors``."""

    hessian: sparse.csc_array
    factors: Factors

    @classmethod
    def of(cls, energy: Energy, q_f: Floats) -> Response:
        """Return that of an ``energy`` at rest in ``q_f``. Raises NoEquilibriumError where that is no minimum."""
        with one_thread(), np.errstate(all="ignore"):
            hessian = energy.pattern.fill(energy.hessian(q_f)[2])
            factors = plan(energy.pattern, left_out=0.0).factorised(hessian, np.float64)
        if factors is None:
            raise NoEquilibriumError("the fabric rests on the verge of another shape: nothing small can be said of it")
        return cls(hessian, factors)

    def moves(self, force_fm: Floats) -> Floats:
        """Return how far (f, m) the unknowns give way to each of several forces (f, m), in m for N."""
        moved_fm = np.empty_like(force_fm)
        with one_thread():
            for begin in range(0, force_fm.shape[1], AT_A_TIME):
                here = slice(begin, begin + AT_A_TIME)
                wanted_fm = force_fm[:, here]
                found_fm = self.factors.solve_all(wanted_fm)
                for _ in range(REFINED):
                    found_fm = found_fm + self.factors.solve_all(wanted_fm - self.hessian @ found_fm)
                moved_fm[:, here] = found_fm
        return moved_fm
