"""Ask about many scenes side by side, and add up what came of them."""

from __future__ import annotations

import multiprocessing
import resource
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

from tests.fuzz.outcome import Outcome, outcome
from tests.support.effort import processor_seconds

PROCESSES = 2
AT_ONCE = 50
"""Scenes that are handed to a process together."""
TOGETHER = 1000
"""Scenes after which both processes are replaced, because commands keep what they load. (An executor that replaces its
own after so many tasks waits for ever, once in a while: a fault of CPython, gh-115634.)
"""
MOST_MEMORY = 4 << 30
"""Bytes of a process (chosen: a hundred times what counting takes): what grows without end stops at that."""
KEPT = Path("fuzz-faults")


def main(scenes: int, first: int = 0, keep: bool = False) -> int:
    """Ask about ``scenes`` from the seed ``first``; return how many faults were found.

    ``keep``: whether the files of a scene that shows one are left in a folder.
    """
    begun = time.monotonic()
    found = []
    for one in _outcomes(range(first, first + scenes), keep):
        found.append(one)
        for fault in one.faults:
            print(f"seed {one.seed}: {fault}", flush=True)
    seconds, used = time.monotonic() - begun, processor_seconds()
    print(f"{scenes / seconds:.1f} scenes a second, {scenes / used:.1f} a second of processor ({used:.0f} s)")
    return tell(found)


def tell(found: list[Outcome]) -> int:
    """Print the sums; return how many faults there are."""
    answered = Counter(command for one in found for command in one.answered)
    refused = Counter(command for one in found for command in one.refused)
    faults = sum(len(one.faults) for one in found)
    for command in sorted(answered | refused):
        print(f"{command}: {answered[command]} answered, {refused[command]} refused")
    print(f"{len(found)} scenes: {answered.total()} answers, {refused.total()} refusals, at", end=" ")
    print(f"{len(set().union(*(one.where for one in found)))} places; faults: {faults or 'none'}")
    return faults


def _outcomes(seeds: range, keep: bool) -> Iterator[Outcome]:
    ask = partial(outcome, keep=KEPT.absolute() if keep else None)
    if len(seeds) < AT_ONCE:
        yield from map(ask, seeds)
        return
    afresh = multiprocessing.get_context("spawn")  # children of ours, whose processor time is counted
    for first in range(0, len(seeds), TOGETHER):
        with ProcessPoolExecutor(PROCESSES, afresh, _limit_memory) as pool:
            yield from pool.map(ask, seeds[first : first + TOGETHER], chunksize=AT_ONCE)


def _limit_memory() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
