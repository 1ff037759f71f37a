"""A slack strand between two points hangs as a parabola of exactly its length."""

from __future__ import annotations

import numpy as np

from fabricsim.fabric.mesh import Floats

STEPS = 10
"""Newton steps (derived: the start is good to a few per cent and every step doubles the digits)."""


def end_slope(excess: Floats) -> Floats:
    """Return the slope q at the ends of a parabola whose arc is 1 + ``excess`` times its chord.

    Solves sqrt(1 + q^2)/2 + asinh(q)/(2 q) = 1 + excess by Newton's rule, from the shallow answer
    q = 4 sqrt(3 excess/8). The sag at mid-span is q/4 of the chord.
    """
    wanted = np.maximum(np.asarray(excess, dtype=np.float64), 0.0)
    bowed = wanted > 1e-9
    q = np.where(bowed, 4.0 * np.sqrt(3.0 * wanted / 8.0), 1.0)
    for _ in range(STEPS):
        root = np.sqrt(1.0 + q * q)
        ratio = np.arcsinh(q) / q
        slope = (root - ratio) / (2.0 * q)  # derivative of the arc (derived)
        q = np.maximum(q - (0.5 * (root + ratio) - 1.0 - wanted) / slope, 1e-6)
    return np.where(bowed, q, 0.0)


def bow(place: Floats, slope: Floats) -> Floats:
    """Return how far the parabola stands off its chord at ``place`` (0 to 1), as a share of the chord."""
    off: Floats = slope * place * (1.0 - place)
    return off
