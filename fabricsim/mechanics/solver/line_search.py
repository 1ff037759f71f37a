"""How far to go along a direction: the full step where the energy falls, else ever shorter ones."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, largest
from fabricsim.mechanics.assemble import Energy

SUFFICIENT = 1e-4
"""Least share of the foreseen fall (Armijo's condition; Nocedal & Wright, Numerical Optimization, 2006, ch. 3,
memory)."""
HALVE = 0.5
SHORTEST = 1e-8
"""Usual factor, and length at which to give up (chosen)."""
ROUND_OFF = 1e-12
"""Energy differences below this share of the energy are noise: then the gradient decides."""

Allowed = Callable[[Floats], bool]
"""Whether a point (f,) may be gone to at all; asked of points only that are low enough."""


def anywhere(_q_f: Floats) -> bool:
    """Return that a point may be gone to."""
    return True


@dataclass(frozen=True, eq=False)
class Descent:
    """Where the search ended: ``q_f`` (f,) m, the share of the full step, the fall over that foreseen, trials made."""

    q_f: Floats
    length: float
    trust: float
    trials: int


def backtrack(
    energy: Energy, q_f: Floats, u: float, gradient_f: Floats, step_f: Floats, allowed: Allowed = anywhere
) -> Descent | None:
    """Return the first of 1, 1/2, 1/4 .. of ``step_f`` that is allowed and lowers the energy enough, or None.

    Close to rest, where the energy no longer tells points apart, a step counts if it lowers the largest force.
    """
    slope = float(gradient_f @ step_f)
    length, trials = 1.0, 0
    while length >= SHORTEST:
        trial_f = q_f + length * step_f
        trials += 1
        u_trial = energy.value(trial_f)
        foreseen = length * slope * (1.0 - 0.5 * length)
        if np.isfinite(u_trial):
            if u_trial <= u + SUFFICIENT * length * slope and allowed(trial_f):
                return Descent(trial_f, length, (u_trial - u) / foreseen, trials)
            noise = ROUND_OFF * max(abs(u), abs(u_trial))
            lessened = abs(u_trial - u) <= noise and largest(energy.gradient(trial_f)[1]) < largest(gradient_f)
            if lessened and allowed(trial_f):
                return Descent(trial_f, length, 1.0, trials)
        length *= HALVE
    return None


def slide(energy: Energy, q_f: Floats, u: float, move_f: Floats, allowed: Allowed = anywhere) -> Descent | None:
    """Return the lower of a ``move_f`` (f,) m and its opposite, halved until the energy falls by more than round-off
    to where it is allowed to.

    For leaving a saddle, where the gradient tells no side from the other. None if it falls on neither side.
    """
    length, trials = 1.0, 0
    while length >= SHORTEST:
        trials += 2
        sides = [(energy.value(q_f + side * move_f), side) for side in (length, -length)]
        for lower, side in sorted(sides):
            if lower < u - ROUND_OFF * abs(u) and allowed(q_f + side * move_f):
                return Descent(q_f + side * move_f, length, 0.0, trials)
        length *= HALVE
    return None
