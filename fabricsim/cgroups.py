"""What a container, or the group of processes that this one was put into, may use of the machine.

Linux keeps both as *control groups*, of version 1 or 2 (its Documentation/admin-guide/cgroup-v1 and cgroup-v2.rst). A
limit holds for a group and for all groups inside it, so the least of those from the process' own up to the outermost
that it can see counts. On other systems nothing is limited.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from pathlib import Path, PurePosixPath

SYSTEM = Path("/")
"""Where the system's own files lie."""


def processors_allowed(system: Path = SYSTEM) -> float:
    """Return how many processors' time the groups may use, such as 1.5; infinite where that is not limited."""
    return min((_processors(folder) for folder in _folders("cpu", system)), default=inf)


def memory_left(system: Path = SYSTEM) -> float:
    """Return how many bytes the groups may still take; infinite where that is not limited.

    What files left in the cache and nobody has asked for since counts as free: the system takes it back first.
    """
    return min((_left(folder) for folder in _folders("memory", system)), default=inf)


def _processors(folder: Path) -> float:
    quota, period = _numbers(folder / "cpu.max", 2) or (
        *(_numbers(folder / "cpu.cfs_quota_us", 1) or (inf,)),
        *(_numbers(folder / "cpu.cfs_period_us", 1) or (1.0,)),
    )
    return quota / period if quota > 0 and period > 0 else inf  # version 1 writes -1 for no limit


def _left(folder: Path) -> float:
    for most, used, cached in (
        ("memory.max", "memory.current", "inactive_file"),
        ("memory.limit_in_bytes", "memory.usage_in_bytes", "total_inactive_file"),
    ):
        limit, taken = _numbers(folder / most, 1), _numbers(folder / used, 1)
        if limit and taken:
            given_back = [line.split()[1] for line in _lines(folder / "memory.stat") if line.split()[0] == cached]
            return max(0.0, limit[0] - taken[0] + sum(map(float, given_back)))
    return inf


def _folders(controller: str, system: Path) -> Iterator[Path]:
    """Yield the folders of the process' own group and of those around it, of each version that there is."""
    group_of: dict[str, str] = {}
    for line in _lines(system / "proc/self/cgroup"):
        _, controllers, group = line.split(":", 2)
        group_of.update(dict.fromkeys(controllers.split(","), group))  # version 2 names no controllers
    for line in _lines(system / "proc/self/mountinfo"):
        mounted, _, what = line.partition(" - ")
        outermost, place = mounted.split()[3:5]
        kind, *_, options = what.split()
        if kind not in ("cgroup", "cgroup2") or (kind == "cgroup" and controller not in options.split(",")):
            continue
        own = PurePosixPath(group_of.get(controller if kind == "cgroup" else "", outermost))
        top = system / place.lstrip("/")
        inner = top / own.relative_to(outermost) if own.is_relative_to(outermost) else top
        yield from (folder for folder in (inner, *inner.parents) if folder.is_relative_to(top))


def _numbers(path: Path, count: int) -> tuple[float, ...]:
    """Return the numbers of a file, "max" as infinite; none if there aren't as many."""
    words = " ".join(_lines(path)).split()
    try:
        return tuple(inf if word == "max" else float(word) for word in words) if len(words) == count else ()
    except ValueError:
        return ()


def _lines(path: Path) -> list[str]:
    """Return the lines that say something; none where the file can't be read."""
    try:
        return [line for line in path.read_text(encoding="utf-8", errors="replace").splitlines() if line.strip()]
    except OSError:
        return []
