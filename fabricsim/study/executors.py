"""Many jobs on whatever there is: this process, several, or the machines of a cluster; the same answers from all.

A job is an importable function of one argument that can be pickled; what it returns must not depend on where or when it
runs. Each process works on one thread.

Processes of this machine are begun afresh (spawned), which every system can do, or forked of one that has loaded
everything and runs nothing (``fork_server``), never of this one: threads and open files don't survive a fork. They hear
of their work through pipes that nobody else can open. A script of one's own that asks for several must be importable
without running (``if __name__ == "__main__":``), as Python's multiprocessing wants it.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing.process import BaseProcess
from typing import Any, TypeAlias, TypeVar

from fabricsim.errors import KilledError
from fabricsim.interrupts import kept_from_children
from fabricsim.study.cluster import workers_at
from fabricsim.study.fork_server import ONE_THREAD, context

Arg = TypeVar("Arg")
Result = TypeVar("Result")
Chain: TypeAlias = Generator[Arg, Result, None]
"""Jobs one after the other: yields the argument of each and is sent its result."""

WAITING = 2
"""Jobs handed out ahead of each that is worked on (chosen: nobody idles, and memory does not grow with the study)."""
TRIES = 3
"""Times that a job is given out whose process was killed (chosen: what kills three of them kills the fourth)."""
KILLED = "the process at work was killed again and again: it may need more memory than there is; try fewer --processes"
DIED = (
    "the process at work ended by itself again and again before its work was done; what it says above tells why: a "
    "script that asks for several must be importable without running, by if __name__ == '__main__'"
)


def each_done(
    job: Callable[[Arg], Result], args: Iterable[Arg], *, processes: int = 1, cluster: str | None = None
) -> Iterator[tuple[int, Result]]:
    """Yield (number of the argument, result) of each job as it is done, in no order.

    ``processes``: how many work on it on this machine. ``cluster``: the address of the scheduler of a dask cluster to
    work on instead; "local" is this machine. Jobs of a process that was killed are run again. ``args`` are
    asked for only as they are needed. Raises what a job raises, KilledError where one keeps killing its process, and
    InputError for a cluster out of reach; when that or Ctrl-C ends it, what has not begun never does.
    """
    return each_in_chains(job, map(_alone, args), processes=processes, cluster=cluster)


def each_in_chains(
    job: Callable[[Arg], Result],
    chains: Iterable[Chain[Arg, Result]],
    *,
    processes: int = 1,
    cluster: str | None = None,
) -> Generator[tuple[int, Result], None, None]:
    """Yield (number of the chain, result) of each job as it is done: in order along a chain, in none between them.

    A chain is a generator that yields the argument of a job and is sent its result before it yields the next: so what
    one job finds is where the next begins. Chains run side by side; all else is as in ``each_done``.
    """
    elsewhere = cluster is not None and cluster != "local"
    if processes <= 1 and not elsewhere:
        for number, chain in enumerate(chains):
            result: Result | None = None
            while (asked := _next(chain, result)) is not None:
                result = job(*asked)
                yield number, result
        return
    pools = _cluster(cluster) if cluster is not None and elsewhere else _processes(processes)
    with pools as pool:
        yield from _fed(job, chains, pool)


def _alone(arg: Arg) -> Chain[Arg, Any]:
    """Return the chain of one job."""
    yield arg


def _next(chain: Chain[Arg, Result], result: Result | None) -> tuple[Arg] | None:
    """Return what a chain asks for after ``result`` (None: at its beginning), alone in a tuple; None at its end."""
    try:
        return (next(chain) if result is None else chain.send(result),)
    except StopIteration:
        return None


@dataclass(frozen=True)
class _Pool:
    """How to ``make`` an executor of so many ``workers``; what it raises for jobs that are ``lost``, to be run again,
    and for those that have ``killed`` too many; ``why`` a broken one lost them."""

    workers: int
    make: Callable[[], Executor]
    lost: tuple[type[Exception], ...] = ()
    killed: tuple[type[Exception], ...] = ()
    why: Callable[[Executor], str] = lambda _: KILLED


def _fed(
    job: Callable[[Arg], Result], chains: Iterable[Chain[Arg, Result]], pool: _Pool
) -> Iterator[tuple[int, Result]]:
    """Keep an executor busy with a few jobs a worker, and make a new one where it breaks."""
    coming = enumerate(chains)
    chain_of: dict[int, Chain[Arg, Result]] = {}
    known: dict[int, Arg] = {}
    tries: dict[int, int] = {}
    out: dict[Future[Result], int] = {}
    executor = pool.make()

    def ask(number: int, result: Result | None) -> None:
        """Ask a chain for its next job and give that out."""
        known.pop(number, None)
        tries.pop(number, None)
        asked = _next(chain_of[number], result)
        if asked is None:
            del chain_of[number]
            return
        (known[number],) = asked
        give(number)

    def give(number: int) -> None:
        # a job that is lost is given out again with all others, once those are found to be lost
        with suppress(*pool.lost):
            out[executor.submit(job, known[number])] = number

    try:
        while True:
            while len(known) < WAITING * pool.workers and (following := next(coming, None)) is not None:
                chain_of[following[0]] = following[1]
                ask(following[0], None)
            if not known:
                return
            done, _ = wait(out, return_when=FIRST_COMPLETED)
            broken = not done
            results: list[tuple[int, Result]] = []
            for future in done:
                number = out.pop(future)
                try:
                    results.append((number, future.result()))
                except pool.killed:
                    raise KilledError(KILLED) from None
                except pool.lost:
                    broken, tries[number] = True, tries.get(number, 0) + 1
                    if tries[number] >= TRIES:
                        executor.shutdown()  # of a broken pool nothing is left to wait for, but how its processes ended
                        raise KilledError(pool.why(executor)) from None
            for number, result in results:
                ask(number, result)  # first, so that nobody waits while the result is looked at
            if broken:
                # every job of a broken pool is lost with it
                out.clear()
                executor.shutdown(wait=False)
                executor = pool.make()
                for number in known:
                    give(number)
            yield from results
    finally:
        # a pool gives back by itself what has not begun: it would stumble over what others have cancelled
        executor.shutdown(wait=not out, cancel_futures=True)


@contextmanager
def _processes(count: int) -> Iterator[_Pool]:
    """Give processes of this machine; those still at work when nobody waits any more are ended."""
    before = set(multiprocessing.active_children())

    def make() -> Executor:
        return _Deaf(count, mp_context=context(), initializer=_begin, initargs=(dict(os.environ),))

    try:
        yield _Pool(count, make, (BrokenProcessPool,), why=_how_ended)
    except BaseException:
        for child in set(multiprocessing.active_children()) - before:
            child.terminate()
        raise


class _Deaf(ProcessPoolExecutor):
    """Starts its processes deaf to Ctrl-C from the first: they load for a second before ``_begin``; and knows all that
    it ``begun``."""

    begun: frozenset[BaseProcess] = frozenset()

    def submit(self, fn: Callable[..., Result], /, *args: Any, **named: Any) -> Future[Result]:
        with kept_from_children():
            future = super().submit(fn, *args, **named)
        self.begun |= frozenset((self._processes or {}).values())
        return future


def _how_ended(executor: Executor) -> str:
    """Return why a pool lost its jobs: a process that failed ends with a number of its own, one that was killed, or
    ended with the others of a broken pool, with that of a signal, below 0."""
    ended = [one.exitcode or 0 for one in executor.begun] if isinstance(executor, _Deaf) else []
    return DIED if max(ended, default=0) > 0 else KILLED


def _begin(surroundings: dict[str, str]) -> None:
    """Leave Ctrl-C to the process that gives out the work, keep to one thread, and end with that process, whose
    ``surroundings`` are those of all."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.environ.clear()
    os.environ.update(surroundings)
    for name in ONE_THREAD:
        os.environ[name] = "1"
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """Wait for the parent to end, by whatever, and follow it: it may have been killed and say nothing."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


@contextmanager
def _cluster(address: str) -> Iterator[_Pool]:
    """Give the workers of the dask cluster whose scheduler is at ``address``."""
    with workers_at(address) as workers:
        yield _Pool(workers.count, lambda: workers.executor, killed=(workers.killed,))
