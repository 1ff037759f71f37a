"""Derivatives the slow way: central differences, and the slope of a Taylor remainder."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from fabricsim.arrays import Floats

STEP = 2e-4
"""Relative step of the five-point rule: its truncation, about STEP^4 = 2e-15, and its round-off, about
2.2e-16 / STEP = 1e-12, both lie far below what is asked of it."""


def jacobian(function: Callable[[Floats], Floats | float], q_f: Floats, scale: float) -> Floats:
    """Return d function / d q (.., f) by the five-point rule; ``scale`` is the size of a change of q."""
    h = STEP * scale
    columns = []
    for k in range(len(q_f)):
        e = np.zeros_like(q_f)
        e[k] = h
        near = np.asarray(function(q_f + e)) - np.asarray(function(q_f - e))
        far = np.asarray(function(q_f + 2 * e)) - np.asarray(function(q_f - 2 * e))
        columns.append((8.0 * near - far) / (12.0 * h))
    return np.stack(columns, axis=-1)


def relative(got: Floats, want: Floats) -> float:
    """Return the largest difference over the largest size of what is wanted."""
    return float(np.abs(np.asarray(got) - want).max(initial=0.0) / max(np.abs(want).max(initial=0.0), 1e-300))


def remainder_slopes(remainder: Callable[[float], float], steps: Floats) -> Floats:
    """Return the slopes of log |remainder| against log step between neighbouring steps."""
    size = np.array([abs(remainder(t)) for t in steps])
    return np.diff(np.log(size)) / np.diff(np.log(steps))
