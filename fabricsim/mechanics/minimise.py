"""Newton's method in three parts: a direction, a step length, a stopping rule. It ends in minima, not in saddles."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabricsim.mechanics.assemble import Energy
from fabricsim.mechanics.direction import Direction
from fabricsim.mechanics.line_search import backtrack, slide
from fabricsim.mechanics.stopping import Status, Stopping, largest

Floats = NDArray[np.float64]

Watcher = Callable[[int, float], None]
"""Told the number of each step and the largest force (N) before it."""

REACH = 0.1
"""First move away from a saddle, as a share of the distance between neighbouring nodes (chosen)."""
GOOD = 0.5
"""A step is good if it was a full one and the energy fell by at least this share of what was foreseen (chosen)."""


@dataclass(frozen=True)
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


def minimise(energy: Energy, q_f: Floats, stopping: Stopping, watch: Watcher | None = None) -> Minimum:
    """Return the minimum of ``energy`` that Newton's method reaches from ``q_f``; never raises for want of one."""
    with np.errstate(all="ignore"):  # what is not finite is judged by the stopping rule, and named
        return _minimise(energy, q_f, stopping, watch)


def _minimise(energy: Energy, q_f: Floats, stopping: Stopping, watch: Watcher | None) -> Minimum:
    direction = Direction(energy.pattern)
    step = evaluations = 0
    while True:
        u, gradient_f, exact_e, safe_e = energy.hessian(q_f)
        evaluations += 1
        residual = largest(gradient_f)
        if watch is not None:
            watch(step, residual)
        status = stopping.judge(step, u, gradient_f)
        taken = None
        if status is None:
            step_f = direction.step(gradient_f, exact_e, safe_e)
            taken = None if step_f is None else backtrack(energy, q_f, u, gradient_f, step_f)
        elif status.at_rest and step < stopping.steps:
            # No force is left, but a ball on a hilltop rests too: go on where the energy falls to both sides.
            away_f = direction.downhill(exact_e, safe_e)
            taken = None if away_f is None else slide(energy, q_f, u, REACH * energy.spacing * away_f)
        if taken is None:
            ended = status or Status.NO_LOWER_ENERGY
            return Minimum(q_f, ended, u, residual, step, direction.factorisations, evaluations)
        evaluations += taken.trials
        direction.judge(taken.length == 1.0 and taken.trust > GOOD)
        q_f = taken.q_f
        step += 1
