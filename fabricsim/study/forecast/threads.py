"""Do like things at the same time: factors and compiled sums, half of a solve, leave Python's lock to other threads."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from importlib import import_module
from threading import Thread
from typing import TypeVar

from fabricsim.threads import one_thread

Result = TypeVar("Result")


def side_by_side(todo: Sequence[Callable[[], Result]], threads: int) -> list[Result]:
    """Return the results of ``todo`` in order, worked on by up to ``threads`` threads.

    The first exception is raised; what has not begun by then never does.
    """
    if threads < 2 or len(todo) < 2:
        return [one() for one in todo]
    pool = ThreadPoolExecutor(min(threads, len(todo)))
    try:
        with one_thread():
            return [each.result() for each in [pool.submit(one) for one in todo]]
    finally:
        pool.shutdown(wait=False, cancel_futures=True)


def load_meanwhile(module: str) -> None:
    """Begin to load a module that will be needed, in a thread; whoever imports it then waits for that to end."""
    Thread(target=import_module, args=(module,), daemon=True).start()
