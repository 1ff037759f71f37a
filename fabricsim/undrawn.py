"""Which letters a run could not draw, as no font at hand has them: it says so at its end."""

from __future__ import annotations

from collections.abc import Iterable
from contextvars import ContextVar

_missed: ContextVar[dict[str, None] | None] = ContextVar("letters not drawn", default=None)


def begin_pictures() -> None:
    """Note from now on what can't be drawn, in this context; before that nothing is noted."""
    _missed.set({})


def note_undrawn(letters: Iterable[str]) -> None:
    """Say that no font has these ``letters``."""
    noted = _missed.get()
    if noted is not None:
        noted.update(dict.fromkeys(letters))


def letters_undrawn() -> tuple[str, ...]:
    """Return what could not be drawn since ``begin_pictures``, each letter once, in the order of the first."""
    return tuple(_missed.get() or ())
