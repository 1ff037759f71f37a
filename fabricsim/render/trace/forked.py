"""Work split into bands over forked processes, where that is possible; otherwise done in this one."""

from __future__ import annotations

import mmap
import multiprocessing
import platform
import signal
import warnings
from collections.abc import Callable

import numpy as np

from fabricsim.arrays import Singles
from fabricsim.cores import usable_cores
from fabricsim.interrupts import kept_from_children

WORTHWHILE = 0.2
"""Seconds of work below which forking costs more than it saves (memory: a fork of a big process takes 10 to 50 ms)."""
MOST = 8
"""Most processes used (chosen)."""


def processes_for(seconds: float) -> int:
    """Return how many processes to use for an estimated ``seconds`` of work."""
    # elsewhere system libraries may not survive a fork; a worker of somebody's pool must not start others
    able = platform.system() == "Linux" and not multiprocessing.current_process().daemon
    if not able or seconds < WORTHWHILE:
        return 1
    return min(usable_cores(), MOST)


def fill(shape: tuple[int, ...], work: Callable[[int, int, Singles], None], processes: int) -> Singles:
    """Return an array of ``shape`` whose rows ``work(first, end, rows)`` has filled, band by band.

    Bands are interleaved blocks, so that every process gets an equal share; the answer doesn't depend on their
    number. A process that dies leaves its share to this one.
    """
    count = shape[0]
    if processes <= 1 or count < 2 * processes:
        alone = np.zeros(shape, dtype=np.float32)
        work(0, count, alone)
        return alone
    shared = mmap.mmap(-1, max(4, 4 * int(np.prod(shape))))
    array = np.frombuffer(shared, dtype=np.float32, count=int(np.prod(shape))).reshape(shape)
    edges = np.linspace(0, count, 6 * processes + 1).astype(int)

    def share(mine: int) -> None:
        for band in range(mine, len(edges) - 1, processes):
            if edges[band + 1] > edges[band]:
                work(int(edges[band]), int(edges[band + 1]), array[edges[band] : edges[band + 1]])

    def work_beside(mine: int) -> None:
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the one who started this
        share(mine)

    context = multiprocessing.get_context("fork")
    others = [context.Process(target=work_beside, args=(mine,), daemon=True) for mine in range(1, processes)]
    with warnings.catch_warnings(), kept_from_children():
        # later Pythons warn of forking beside threads; ours hold no lock that the children need
        warnings.simplefilter("ignore", DeprecationWarning)
        for other in others:
            other.start()
    share(0)
    for mine, other in enumerate(others, start=1):
        other.join()
        if other.exitcode != 0:
            share(mine)
    return array
