"""Many scenes together."""

from __future__ import annotations

from collections.abc import Sequence

from tests.likely.coverage import Coverage, coverage


def task(asked: tuple[int, int]) -> Coverage:
    """Return the coverage of a seed and so many draws, in whatever process."""
    return coverage(*asked)


def shares(found: Sequence[Coverage]) -> tuple[float, float]:
    """Return the share of all fresh pieces within the likely range of draw-in and of pucker."""
    draws = sum(one.draws for one in found)
    return sum(one.draw_in for one in found) / draws, sum(one.pucker for one in found) / draws


def told(found: Sequence[Coverage]) -> str:
    """Return both shares in a line."""
    draw_in, pucker = shares(found)
    lost = sum(one.lost for one in found)
    within = f"draw-in {100 * draw_in:.1f} %, pucker {100 * pucker:.1f} %"
    return f"within the likely range: {within}; {lost} came to no rest"
