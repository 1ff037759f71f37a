"""Kinks taken out of yarn that was pushed aside."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask, dot, unit

SHARP = np.radians(35.0)
"""Turns from point to point that are evened out (chosen: loops drawn coarsely turn less)."""
PASSES = 12
"""Times that it is done (chosen: a kink of half a turn is gone)."""


def faired(x_pc: Floats, first_s: Ints, may_p: Mask) -> Floats:
    """Return the points (p, 3) with those that ``may_p`` (p,) moved to where their neighbours lie, where the line turns
    sharply at them or beside."""
    x_pc = x_pc.copy()
    inner_p = may_p.copy()
    inner_p[first_s[:-1]] = inner_p[first_s[1:] - 1] = False
    for _ in range(PASSES):
        way_qc = unit(np.diff(x_pc, axis=0))
        sharp_p = np.zeros(len(x_pc), dtype=bool)
        sharp_p[1:-1] = dot(way_qc[1:], way_qc[:-1]) < np.cos(SHARP)
        beside_p = sharp_p.copy()
        beside_p[1:] |= sharp_p[:-1]
        beside_p[:-1] |= sharp_p[1:]
        moved = np.flatnonzero(beside_p & inner_p)
        if len(moved) == 0:
            break
        x_pc[moved] = 0.5 * x_pc[moved] + 0.25 * (x_pc[moved - 1] + x_pc[moved + 1])
    return x_pc
