"""What can go wrong, in words a knitter can act on."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

LONGEST = 300
"""Letters of one part of a message (chosen: three lines of a terminal)."""

ALIKE = 0.7
"""How like a word must be to be the one that was meant, of 1 (chosen: two letters of six may be off)."""


class FabricsimError(Exception):
    """Base of every error that fabricsim raises on purpose. ``exit_status`` is what a command ends with."""

    exit_status = 2


class InputError(FabricsimError):
    """Something the user wrote can't be used: says where, what was given, what is allowed and what to do.

    ``where`` names the file and, where there is one, the key inside it (``hat.toml: gauge.stitches``).
    The message is always one line that can't upset a terminal, however long and strange what was given.

    >>> raise InputError("hat.toml: gauge.stitches", "0", "1 to 200", "count the stitches over 10 cm")
    Traceback (most recent call last):
    fabricsim.errors.InputError: hat.toml: gauge.stitches: given 0; allowed: 1 to 200; count the stitches over 10 cm
    """

    def __init__(self, where: str | Path, given: str, allowed: str, todo: str) -> None:
        self.where, self.given, self.allowed, self.todo = str(where), given, allowed, todo
        where, given, todo = map(shortened, (self.where, given, todo))
        allowed = shortened(allowed, 2 * LONGEST)  # it may list all that there is to choose from
        super().__init__(one_line(f"{where}: given {given}; allowed: {allowed}; {todo}"))

    def __reduce__(self) -> tuple[type[InputError], tuple[str, str, str, str]]:
        """How to hand it from one process to another: by what it was made of."""
        return type(self), (self.where, self.given, self.allowed, self.todo)


class NoEquilibriumError(FabricsimError):
    """The solver stopped before the fabric came to rest; the message says why and what to try."""

    exit_status = 3


class StoppedError(FabricsimError):
    """The work was no longer wanted and was broken off; nothing came of it."""

    exit_status = 3


class KilledError(FabricsimError):
    """The processes that worked on something were killed so often that it was given up."""

    exit_status = 3


def one_line(text: str) -> str:
    """Return ``text`` as one line, signs that don't print as their codes: ``\\x1b``."""
    return "".join(_shown(sign) for sign in " ".join(text.split()))


def shortened(text: str, most: int = LONGEST) -> str:
    """Return ``text``, its middle left out where it has more than ``most`` letters."""
    kept = (most - 5) // 2
    return text if len(text) <= most else f"{text[:kept]} ... {text[-kept:]}"


def meant(word: str, known: Iterable[str]) -> str | None:
    """Return which of the ``known`` words was meant by ``word``; None if none is like it."""
    from difflib import get_close_matches

    found = get_close_matches(word.lower(), known, n=1, cutoff=ALIKE)
    return found[0] if found else None


def _shown(sign: str) -> str:
    return sign if sign.isprintable() else sign.encode("unicode_escape").decode("ascii")
