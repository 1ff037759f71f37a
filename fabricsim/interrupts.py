"""Ctrl-C where it must not come between: put off for a moment, or kept from processes that are about to start."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


@contextmanager
def put_off() -> Iterator[None]:
    """Let Ctrl-C wait until what is inside is done; for moments only."""
    if threading.current_thread() is not threading.main_thread():  # Ctrl-C is told to the main thread alone
        yield
        return
    came: list[int] = []

    def note(number: int, frame: FrameType | None) -> None:
        came.append(number)

    before = signal.signal(signal.SIGINT, note)
    try:
        yield
    finally:
        # None: a handler that Python can't put back, as it was not set by it
        signal.signal(signal.SIGINT, signal.SIG_DFL if before is None else before)
    if came:
        signal.raise_signal(signal.SIGINT)


@contextmanager
def kept_from_children() -> Iterator[None]:
    """Let processes started inside never hear of Ctrl-C, not even while they load; this one hears it a moment later."""
    if not hasattr(signal, "pthread_sigmask"):  # there are systems without
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
