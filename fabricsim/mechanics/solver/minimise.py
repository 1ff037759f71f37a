"""Newton's method in three parts: a direction, a step length, a stopping rule. It ends in minima, not in saddles."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Protocol

import numpy as np

from fabricsim.arrays import Floats, largest
from fabricsim.mechanics.assemble import Energy
from fabricsim.mechanics.solver.direction import Direction
from fabricsim.mechanics.solver.line_search import Allowed, anywhere, backtrack, slide
from fabricsim.mechanics.solver.stopping import Status, Stopping
from fabricsim.threads import one_thread


class Living(Protocol):
    """Elements that come about on the way, such as contacts."""

    def renewed(self, energy: Energy, q_f: Floats, /) -> Energy | None:
        """Return the energy with what has come about at ``q_f``, on the same unknowns; None if nothing has."""
        ...

    def longest(self, energy: Energy, q_f: Floats, step_f: Floats, /) -> float:
        """Return the share of a step, above 0 and at most 1, that may be taken before looking again."""
        ...

    def allowed(self, energy: Energy, q_f: Floats, new_f: Floats, /) -> bool:
        """Return whether ``new_f`` may be gone to from ``q_f``."""
        ...


Watcher = Callable[[int, float, Floats], None]
"""Told the number of each step, the largest force (N) before it and the unknowns (f,) m there."""

REACH = 0.5
"""First move along negative curvature, as a share of the distance between neighbouring nodes (chosen)."""
GOOD = 0.5
"""A step is good if the energy fell by at least this share of what was foreseen (chosen)."""


@dataclass(frozen=True, eq=False)
class Minimum:
    """Where a minimisation ended and what it took.

    ``q_f`` (f,) float, m; ``energy`` J; ``residual`` N, the largest component of the gradient.
    """

    q_f: Floats
    status: Status
    energy: float
    residual: float
    steps: int
    factorisations: int
    evaluations: int


def minimise(
    energy: Energy, q_f: Floats, stopping: Stopping, watch: Watcher | None = None, living: Living | None = None
) -> Minimum:
    """Return the minimum of ``energy`` that Newton's method reaches from ``q_f``; never raises for want of one.

    With ``living`` elements, the minimum is that of the energy with all that has come about on the way.
    """
    with one_thread(), np.errstate(all="ignore"):  # what is not finite is judged by the stopping rule, and named
        direction = Direction(energy.pattern, REACH * energy.spacing)
        step = evaluations = 0
        while True:
            allowed: Allowed = anywhere  # that of the last step may hold an energy, and so a pattern, that is left
            if living is not None and (renewed := living.renewed(energy, q_f)) is not None:
                energy = renewed
                direction.renew(energy.pattern)
            u, gradient_f, exact_eb = energy.hessian(q_f)
            evaluations += 1
            residual = largest(gradient_f)
            if watch is not None:
                watch(step, residual, q_f)
            status = stopping.judge(step, u, gradient_f)
            move_f = None
            if status is None:
                move_f = direction.step(gradient_f, exact_eb, partial(energy.material, q_f))
            elif status.at_rest and step < stopping.steps:
                # No force is left, but a ball on a hilltop rests too: go on where the energy falls to both sides.
                move_f = direction.downhill(exact_eb, partial(energy.material, q_f))
            taken, within = None, 1.0
            if move_f is not None:
                if living is not None:
                    allowed = partial(living.allowed, energy, q_f)
                    ways = (move_f, -move_f) if status else (move_f,)  # out of a saddle to either side
                    within = min(living.longest(energy, q_f, way_f) for way_f in ways)
                    move_f = within * move_f
                if status:
                    taken = slide(energy, q_f, u, move_f, allowed)
                else:
                    taken = backtrack(energy, q_f, u, gradient_f, move_f, allowed)
            if taken is None:
                ended = status or Status.NO_LOWER_ENERGY
                return Minimum(q_f, ended, u, residual, step, direction.factorisations, evaluations)
            evaluations += taken.trials
            direction.judge(taken.length == 1.0, taken.trust > GOOD, within == 1.0)
            q_f = taken.q_f
            step += 1
