"""How many processors this process may use."""

from __future__ import annotations

import os


def usable_cores() -> int:
    """Return the number of processors that the system lets this process use, at least 1."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1
