"""Which files a run has read: nothing that it writes may go over one of them."""

from __future__ import annotations

from contextvars import ContextVar
from pathlib import Path

_read: ContextVar[list[Path] | None] = ContextVar("files read", default=None)


def begin_run() -> None:
    """Note from now on what is read, in this context; before that nothing is noted, so that nothing piles up."""
    _read.set([])


def note_read(path: Path) -> None:
    """Say that the run reads ``path``, or is made of it and may read it later."""
    noted = _read.get()
    if noted is not None:
        noted.append(path)


def files_read() -> tuple[Path, ...]:
    """Return what was read since ``begin_run``."""
    return tuple(_read.get() or ())
