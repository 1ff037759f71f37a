"""How many processors this process may use."""

from __future__ import annotations

import os

from fabricsim.cgroups import processors_allowed


def usable_cores() -> int:
    """Return the number of whole processors that the system, or the container, lets this process use; at least 1."""
    there = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(1, int(min(there, processors_allowed())))
