"""Where to catch floats that would be too long: an even plan that keeps catches from stacking.

A catch is a square of the chart; every float that passes behind it is held there.
"""

from __future__ import annotations

from math import ceil, floor

import numpy as np

from fabricsim.design.chart import Grid, Marks, rows_of
from fabricsim.design.counting import Stretch, round_stretches

# Common practice, weighed (the weights are chosen, the order is the trade's): never in the same column as a catch in
# the row before, better not in that of two rows before; not next to a colour change; else as even as it can be.
TOO_LONG, STACKED, STACKED_BEFORE, BESIDE_CHANGE, UNEVEN = 1000.0, 100.0, 10.0, 5.0, 1.0
SHIFTS = (0, 1, -1, 2, -2)
"""Stitches by which the catches of a float may move off their even places together."""


def longest_open(longest_gap: int, longest: float, stitch_width: float) -> int:
    """Return how many stitches a float may pass behind: the stricter of both limits (``longest`` in m)."""
    return min(longest_gap, floor(longest / stitch_width * (1.0 + 1e-9)))


def plan_catches(grid_ij: Grid, most: int, listed: Marks) -> Marks:
    """Return the squares of a chart, ``(rows, stitches) bool``, where floats are caught, those ``listed`` among them.

    Of a gap of n stitches at most ``most`` stay open in one piece: ceil(n / most) - 1 catches, as even as they can be
    (derived). Rows close on themselves, as the chart repeats.
    """
    caught_ij = listed.copy()
    stitches = grid_ij.shape[1]
    for one in round_stretches(rows_of(grid_ij), spiral=False):
        column_s = (one.start + one.direction * np.arange(1, one.gap + 1)) % stitches
        if _longest_piece(caught_ij[one.row, column_s]) <= most:
            continue
        catches = one.gap if most == 0 else ceil(one.gap / most) - 1
        even_k = [round(k * (one.gap + 1) / (catches + 1)) for k in range(1, catches + 1)]
        shift = min(SHIFTS, key=lambda by: _cost(one, even_k, by, most, column_s, caught_ij))
        caught_ij[one.row, column_s[np.array(_shifted(one, even_k, shift)) - 1]] = True
    return caught_ij


def _shifted(one: Stretch, even_k: list[int], by: int) -> list[int]:
    """Return the catches moved together, none off the float."""
    return sorted({min(max(step + by, 1), one.gap) for step in even_k})


def _longest_piece(caught_s: Marks) -> int:
    """Return the longest run of stitches that is not caught."""
    edges = np.flatnonzero(np.concatenate([[True], caught_s, [True]]))
    return int(np.diff(edges).max()) - 1


def _cost(one: Stretch, even_k: list[int], by: int, most: int, column_s: Grid, caught_ij: Marks) -> float:
    """Return how far this shift of a float's catches is from what the trade would do."""
    step_k = _shifted(one, even_k, by)
    open_s = np.zeros(one.gap, dtype=bool)
    open_s[np.array(step_k) - 1] = True
    column_k = column_s[np.array(step_k) - 1]
    rows = len(caught_ij)
    stacked = int(caught_ij[(one.row - 1) % rows, column_k].sum()) if rows > 1 else 0
    before = int(caught_ij[(one.row - 2) % rows, column_k].sum()) if rows > 2 else 0
    beside = sum(step in (1, one.gap) for step in step_k) if one.gap > 2 else 0
    too_long = max(0, _longest_piece(open_s) - most)
    return TOO_LONG * too_long + STACKED * stacked + STACKED_BEFORE * before + BESIDE_CHANGE * beside + UNEVEN * abs(by)
