"""What may be asked of ``sheet``."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.cli.shell.options import Load
from fabricsim.errors import InputError

TIGHT, RIGHT, LOOSE = -0.08, 0.10, 0.30
"""Slacks of the three fabrics (chosen: clearly too short; the middle of the usual aim; clearly baggy)."""


@dataclass(frozen=True)
class SheetOptions:
    """The slacks of the three fabrics of a handout, in its ``load`` case; a ``draft`` is drawn in coarse yarn.

    Raises ``InputError`` for slacks that don't rise.
    """

    load: Load
    tight: float = TIGHT
    right: float = RIGHT
    loose: float = LOOSE
    draft: bool = False

    def __post_init__(self) -> None:
        if not self.tight < self.right < self.loose:
            raise InputError(
                "--tight, --right, --loose",
                f"{self.tight:g}, {self.right:g}, {self.loose:g}",
                "three slacks that rise",
                f"such as {TIGHT:g}, {RIGHT:g} and {LOOSE:g}",
            )

    @property
    def slacks(self) -> tuple[float, float, float]:
        """The three of them, rising."""
        return self.tight, self.right, self.loose
