"""What processes a process has started, where the system tells."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path


def children(pid: int) -> list[int]:
    """Return the processes that a process started itself and that are still there; none of one that has ended."""
    with suppress(OSError):
        tasks = Path(f"/proc/{pid}/task").glob("*/children")
        return [int(child) for task in tasks for child in task.read_text().split()]
    return []


def started_by(pid: int) -> list[int]:
    """Return all processes that a process started, and that these did."""
    found = [pid]
    for one in found:
        found += children(one)
    return found[1:]
