"""What can go wrong, in words a knitter can act on."""

from __future__ import annotations

from pathlib import Path


class FabricsimError(Exception):
    """Base of every error that fabricsim raises on purpose. ``exit_status`` is what a command ends with."""

    exit_status = 2


class InputError(FabricsimError):
    """Something the user wrote can't be used: says where, what was given, what is allowed and what to do.

    ``where`` names the file and, where there is one, the key inside it (``hat.toml: gauge.stitches``).
    The message is always one line.

    >>> raise InputError("hat.toml: gauge.stitches", "0", "1 to 200", "count the stitches over 10 cm")
    Traceback (most recent call last):
    fabricsim.errors.InputError: hat.toml: gauge.stitches: given 0; allowed: 1 to 200; count the stitches over 10 cm
    """

    def __init__(self, where: str | Path, given: str, allowed: str, todo: str) -> None:
        self.where, self.given, self.allowed, self.todo = str(where), given, allowed, todo
        line = f"{where}: given {given}; allowed: {allowed}; {todo}"
        super().__init__(" ".join(line.split()))

    def __reduce__(self) -> tuple[type[InputError], tuple[str, str, str, str]]:
        """How to hand it from one process to another: by what it was made of."""
        return type(self), (self.where, self.given, self.allowed, self.todo)


class NoEquilibriumError(FabricsimError):
    """The solver stopped before the fabric came to rest; the message says why and what to try."""

    exit_status = 3


class KilledError(FabricsimError):
    """The processes that worked on something were killed so often that it was given up."""

    exit_status = 3
