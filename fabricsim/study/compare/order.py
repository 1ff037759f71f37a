"""Which of many fabrics are the best and which the worst."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

One = TypeVar("One")


def goodness(row: Mapping[str, Any]) -> tuple[bool, int, float, float]:
    """Return the key by which the best fabric comes first: one that rests, whose floats are within the limits, that
    loses least width, and that puckers least."""
    over = row.get("floats_over_limit", 0)
    if not row["at_rest"]:
        return True, over, 0.0, 0.0
    return False, over, round(row["draw_in_percent"], 6), round(row["pucker_mm"], 6)


def ends_of(best_first: Sequence[One], most: int) -> tuple[Sequence[One], Sequence[One]]:
    """Return the best and the worst, at ``most`` so many of each, never one twice."""
    best = best_first[: min(most, (len(best_first) + 1) // 2)]
    return best, best_first[max(len(best), len(best_first) - most) :]
