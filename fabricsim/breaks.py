"""Long work that may be broken off: on its way it asks, every few milliseconds, whether it is still wanted.

Whoever wants it says when it no longer is; the work itself only calls ``asked`` between two pieces. Nobody in between
has to hand anything on, and what nobody wants to break off costs next to nothing more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from fabricsim.errors import StoppedError

_unwanted: ContextVar[Callable[[], bool] | None] = ContextVar("unwanted", default=None)


@contextmanager
def broken_off_when(unwanted: Callable[[], bool] | None) -> Iterator[None]:
    """Let the work inside, in this thread, raise StoppedError at the next place where it asks and ``unwanted`` says
    yes; with None it goes on to its end."""
    token = _unwanted.set(unwanted)
    try:
        yield
    finally:
        _unwanted.reset(token)


def asked() -> None:
    """Ask whether to go on. Raises StoppedError if not."""
    unwanted = _unwanted.get()
    if unwanted is not None and unwanted():
        raise StoppedError("stopped before it was done, as was asked")
