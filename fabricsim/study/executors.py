"""Many jobs on whatever there is: this process, several, or the machines of a cluster; the same answers from all.

A job is an importable function of one argument that can be pickled; what it returns must not depend on where or when it
runs. Each process works on one thread.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from importlib import import_module
from typing import Any, TypeVar

from fabricsim.errors import InputError

Arg = TypeVar("Arg")
Result = TypeVar("Result")

WAITING = 2
"""Jobs handed out ahead of each that is worked on (chosen: nobody idles, and memory does not grow with the study)."""
TRIES = 3
"""Times that a job is given out whose process was killed (chosen: what kills three of them kills the fourth)."""
ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
PATIENCE = "10s"
"""How long a cluster may take to answer (chosen)."""


def each_done(
    job: Callable[[Arg], Result], args: Iterable[Arg], *, processes: int = 1, cluster: str | None = None
) -> Iterator[tuple[int, Result]]:
    """Yield (number of the argument, result) of each job as it is done, in no order.

    ``processes``: how many work on it on this machine, or with ``cluster`` "local" as workers of a cluster on it; any
    other ``cluster`` is the address of a running one. Jobs of a process that was killed are run again. ``args`` are
    asked for only as they are needed. Raises what a job raises, and InputError for a cluster out of reach; when
    that or Ctrl-C ends it, what has not begun never does.
    """
    if cluster is None and processes <= 1:
        for number, arg in enumerate(args):
            yield number, job(arg)
        return
    pools = _clusters(cluster, processes) if cluster is not None else _processes(processes)
    with pools as (workers, make):
        yield from _fed(job, args, make, WAITING * workers)


def _fed(
    job: Callable[[Arg], Result], args: Iterable[Arg], make: Callable[[], Executor], most: int
) -> Iterator[tuple[int, Result]]:
    """Keep an executor busy with at most ``most`` jobs, and make a new one where it breaks."""
    coming = enumerate(args)
    known: dict[int, Arg] = {}
    tries: dict[int, int] = {}
    out: dict[Future[Result], int] = {}
    pool = make()
    try:
        while True:
            while len(out) < most and (following := next(coming, None)) is not None:
                number, arg = following
                known[number] = arg
                out[pool.submit(job, arg)] = number
            if not out:
                return
            done, _ = wait(out, return_when=FIRST_COMPLETED)
            broken = False
            for future in done:
                number = out.pop(future)
                try:
                    result = future.result()
                except BrokenProcessPool:
                    broken, tries[number] = True, tries.get(number, 0) + 1
                    if tries[number] >= TRIES:
                        raise
                    continue
                del known[number]
                yield number, result
            if broken:
                # every job of a broken pool is lost with it
                out.clear()
                pool.shutdown(wait=False)
                pool = make()
                out = {pool.submit(job, arg): number for number, arg in known.items()}
    finally:
        for future in out:
            future.cancel()
        pool.shutdown(wait=False)


@contextmanager
def _processes(count: int) -> Iterator[tuple[int, Callable[[], Executor]]]:
    """Give processes of this machine."""
    context = multiprocessing.get_context("spawn")  # threads and open files don't survive a fork
    yield count, lambda: ProcessPoolExecutor(count, mp_context=context, initializer=_begin)


def _begin() -> None:
    """Leave Ctrl-C to the process that gives out the work, and keep to one thread."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for name in ONE_THREAD:
        os.environ[name] = "1"


@contextmanager
def _clusters(address: str, count: int) -> Iterator[tuple[int, Callable[[], Executor]]]:
    """Give the workers of a dask cluster: one of our own on this machine, or that at ``address``."""
    try:
        distributed: Any = import_module("distributed")
    except ImportError:
        raise InputError(
            "--cluster", f"'{address}'", "where dask.distributed is installed", "pip install 'fabricsim[cluster]'"
        ) from None
    own: Any = None
    if address == "local":
        # while its workers start Ctrl-C is deaf, so that they inherit that and only this process is stopped by it
        before = signal.signal(signal.SIGINT, signal.SIG_IGN)
        try:
            own = distributed.LocalCluster(n_workers=count, threads_per_worker=1, dashboard_address=None)
        finally:
            signal.signal(signal.SIGINT, before)
    try:
        try:
            client: Any = distributed.Client(own if own is not None else address, timeout=PATIENCE)
        except (OSError, ValueError) as problem:
            raise InputError(
                "--cluster",
                f"'{address}', which does not answer ({problem})",
                "'local' or the address of a scheduler",
                "such as tcp://192.168.1.5:8786",
            ) from None
        try:
            workers = max(1, len(client.scheduler_info()["workers"]))
            # not pure: two jobs of the same argument are two jobs
            yield workers, lambda: client.get_executor(pure=False)
        finally:
            client.close()
    finally:
        if own is not None:
            own.close()
