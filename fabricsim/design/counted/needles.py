"""Which needles: usual ones for a gauge, and how many sizes make good what floats draw in."""

from __future__ import annotations

from fabricsim import units
from fabricsim.design.counted.yarn_weights import FOUR_INCHES, YARN_WEIGHTS

TRADE_SIZES_MM = (
    *(2.0, 2.25, 2.5, 2.75, 3.0, 3.25, 3.5, 3.75, 4.0, 4.5),
    *(5.0, 5.5, 6.0, 6.5, 7.0, 8.0, 9.0, 10.0),
)
"""Needles as they are sold, mm (common practice; no standard holds them)."""
LEAST_MOVED, MOST_MOVED = 0.05, 0.08
"""Share by which one size more widens a stitch, though anything from 0 to 25 % is reported (common practice)."""
ONE_SIZE = 0.5 * (LEAST_MOVED + MOST_MOVED)
"""What is reckoned with: the middle of these (derived)."""


def times_as_wide(sizes: int) -> float:
    """Return how many times as wide stitches are on needles so many ``sizes`` larger, below 0 smaller (derived)."""
    return float((1.0 + ONE_SIZE) ** sizes)


def sizes_larger(lost: float) -> int:
    """Return how many sizes larger make good a share ``lost`` of the width; 0 where it is less than half a size.

    What remains, 1 - lost, must become wider by 1 / (1 - lost) - 1 (derived).
    """
    return round((1.0 / (1.0 - lost) - 1.0) / ONE_SIZE)


def moved(needle_mm: float, sizes: int) -> float | None:
    """Return the needle so many ``sizes`` larger, mm; None where none is sold. One between two sizes counts as the
    smaller."""
    at = sum(one <= needle_mm + 1e-9 for one in TRADE_SIZES_MM) - 1 + sizes
    return TRADE_SIZES_MM[at] if 0 <= at < len(TRADE_SIZES_MM) else None


def usual_needles(stitches: float) -> tuple[float, float]:
    """Return the least and the largest needle that is usual for a gauge of so many ``stitches`` to 10 cm, mm."""
    to_4_in = round(stitches * FOUR_INCHES / units.PER_10_CM)
    fitting = [one for one in YARN_WEIGHTS if one.stitches[0] <= to_4_in <= one.stitches[1]]
    fitting = fitting or [YARN_WEIGHTS[0] if to_4_in > YARN_WEIGHTS[0].stitches[1] else YARN_WEIGHTS[-1]]
    return min(one.needles_mm[0] for one in fitting), max(one.needles_mm[1] for one in fitting)
