"""Which of several ways a changed copy of the scene is written of: the one picked, or the first that does."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import typer

from fabricsim.errors import InputError

Way = TypeVar("Way")


def pick_option(ways: int, does: str) -> Any:
    """Return the option that names one of so many ways; by default the first that ``does``."""
    return typer.Option("--pick", help=f"Which way to write, 1 to {ways}; by default the first that {does}.")


def check_pick(pick: int | None, write: Path | None, ways: int) -> None:
    """Raise InputError for the number of no way, and for one that is not to be written."""
    if pick is not None and write is None:
        raise InputError("--pick", "without --write", "with --write NEW.toml", "name the file to write")
    if pick is not None and not 1 <= pick <= ways:
        raise InputError("--pick", str(pick), f"1 to {ways}, the number of a way", "look at the ways first")


def picked_of(
    ways: Sequence[Way], pick: int | None, found: Callable[[Way], bool], does: Callable[[Way], bool]
) -> Way | None:
    """Return the way to write: the one picked, else the first of those ``found`` that ``does``; None if there is none,
    which is told beside what was found. Raises ``InputError`` for the number of one that wasn't."""
    if pick is None:
        return next((way for way in ways if found(way) and does(way)), None)
    if pick <= len(ways) and found(ways[pick - 1]):
        return ways[pick - 1]
    numbers = ", ".join(str(number) for number, way in enumerate(ways, start=1) if found(way))
    raise InputError("--pick", str(pick), numbers or "none, as none was found", "pick a way that was found")
