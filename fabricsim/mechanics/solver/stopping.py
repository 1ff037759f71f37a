"""When to stop, and what each way of stopping means."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from fabricsim.arrays import Floats, largest


class Status(Enum):
    """How a minimisation ended; ``text`` says it in a sentence."""

    AT_REST = "the fabric is at rest: no stitch is pulled by more than the tolerance, and small pushes die out"
    STEP_LIMIT = "the solver used up its steps before the fabric came to rest"
    NO_LOWER_ENERGY = "the solver found no lower energy along its direction, yet the fabric is not at rest"
    ON_THE_WAY = "the fabric is on its way to rest"
    NOT_FINITE = "a force or an energy became infinite or undefined"

    @property
    def text(self) -> str:
        return self.value

    @property
    def at_rest(self) -> bool:
        return self is Status.AT_REST


@dataclass(frozen=True)
class Stopping:
    """At rest when the largest component of the gradient is at most ``tolerance`` (N); never more than ``steps``.

    Two hundred steps is an order of magnitude above what any scene has needed (chosen).
    """

    tolerance: float
    steps: int = 200

    def judge(self, step: int, energy: float, gradient_f: Floats) -> Status | None:
        """Return the status to end with, or None to go on."""
        if not (np.isfinite(energy) and np.isfinite(gradient_f).all()):
            return Status.NOT_FINITE
        if largest(gradient_f) <= self.tolerance:
            return Status.AT_REST
        return Status.STEP_LIMIT if step >= self.steps else None
