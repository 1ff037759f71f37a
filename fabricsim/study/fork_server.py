"""A process in which everything is loaded while this one does other things, and of which those at work are forked: so
none of them loads it for itself.

Only where that is sound: on Linux, where libraries survive a fork of a process that runs nothing, and in a command,
which ends soon. Elsewhere processes begin afresh, and load for themselves.
"""

from __future__ import annotations

import multiprocessing
import os
import platform
import signal
import sys
from contextlib import suppress
from multiprocessing import forkserver, resource_tracker
from multiprocessing.context import BaseContext

from fabricsim.interrupts import kept_from_children

ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
SOUND = (3, 11, 1)
"""The first Python whose fork server nobody else can reach (CVE-2022-42919)."""

FIRST, LAST = "fabricsim.study.loading_begins", "fabricsim.study.loading_ends"
"""Modules that are loaded before and after all others."""

_begun: list[str] = []
"""What is loaded, once that was begun."""


def begin_loading(*modules: str) -> None:
    """Begin to load ``modules`` in a process of its own, for those that will be at work; once only.

    Without it, or where it can't be, they load for themselves.
    """
    if _begun or not _able():
        return
    multiprocessing.set_forkserver_preload([FIRST, "__main__", *modules, LAST])
    before = {name: os.environ.get(name) for name in ONE_THREAD}
    resource_tracker.ensure_running()  # first: it lets Ctrl-C be heard again
    try:
        os.environ.update(dict.fromkeys(ONE_THREAD, "1"))
        with kept_from_children():
            forkserver.ensure_running()
        _begun.extend(modules)
    except OSError:  # no folder for its socket: they load for themselves
        pass
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


def end_loading() -> None:
    """End that process at once, even while it loads: left to itself it ends when this one has, but loads to the end
    first. Of those that were forked of it none may be at work any more, and none can be begun."""
    pid = getattr(getattr(forkserver, "_forkserver", None), "_forkserver_pid", None)
    if _begun and isinstance(pid, int):
        with suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)


def context() -> BaseContext:
    """Return how processes begin: forked of the one that has loaded what they need, else afresh."""
    return multiprocessing.get_context("forkserver" if _begun else "spawn")


def _able() -> bool:
    """Return whether a fork server may be begun here: a worker of somebody's pool must not."""
    if platform.system() != "Linux" or sys.version_info < SOUND or multiprocessing.current_process().daemon:
        return False
    return multiprocessing.parent_process() is None
