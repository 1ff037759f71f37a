"""Jobs for the tests of executors, importable by other processes."""

from __future__ import annotations

import gc
import os
import signal
from importlib import import_module
from pathlib import Path


def squared(number: int) -> int:
    return number * number


def itself(given: object) -> object:
    return given


def named(number: int) -> tuple[int, int]:
    """Return the number and the process that worked on it."""
    return number, os.getpid()


def killed_once(arg: tuple[str, int]) -> int:
    """Kill the process that works on number 3, the first time."""
    folder, number = arg
    mark = Path(folder) / "was here"
    if number == 3 and not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def always_killed(number: int) -> int:
    os.kill(os.getpid(), signal.SIGKILL)
    return number


class Unreadable:
    """What no process can take in that is handed it: it dies of what it can't import."""

    def __reduce__(self) -> tuple[object, tuple[str]]:
        return import_module, ("tests.study.nowhere",)


def failing(number: int) -> int:
    if number == 2:
        raise ArithmeticError("two")
    return number


def born(number: int) -> tuple[str, bool]:
    """Return how many threads a process may use, and whether it was started deaf to Ctrl-C."""
    deaf = signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, [])
    return os.environ.get("OMP_NUM_THREADS", "any"), deaf


def collects(number: int) -> tuple[bool, bool]:
    """Return whether a process looks for garbage, and whether it leaves out what it shares with others."""
    return gc.isenabled(), gc.get_freeze_count() > 0


def loaded_by(number: int) -> int:
    """Return which process loaded what is slow to load."""
    from tests.study.slow_to_load import LOADED_BY

    return LOADED_BY


def surroundings(name: str) -> str:
    """Return what a variable of the surroundings says."""
    return os.environ.get(name, "nothing")
