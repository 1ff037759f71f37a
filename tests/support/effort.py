"""What work takes, apart from what else the machine does."""

from __future__ import annotations

import resource


def processor_seconds() -> float:
    """Return the seconds of processor that this process has used, and those it started and waited for."""
    used = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(one.ru_utime + one.ru_stime for one in used)
