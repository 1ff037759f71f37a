"""What may be asked of ``catches``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fabricsim.cli.shell.outputs import said_of, suffix_of
from fabricsim.design.catches.plan import SECONDS
from fabricsim.errors import InputError

MOST_SECONDS = 86_400.0
"""A day (chosen)."""
SUFFIXES = (".png", ".svg", ".pdf")


@dataclass(frozen=True)
class CatchesOptions:
    """Where the ``map`` of the back goes, and where a copy of the scene is written, if anywhere; how many ``seconds``
    the best places may be looked for. Raises ``InputError`` for what can't be."""

    map: Path | None = None
    write: Path | None = None
    seconds: float = SECONDS

    def __post_init__(self) -> None:
        if not 0.0 < self.seconds <= MOST_SECONDS:
            ends = f"above 0, at most {MOST_SECONDS:g}"
            raise InputError("--seconds", f"{self.seconds:g}", ends, f"{SECONDS:g} is usual")
        if self.map is not None:
            with said_of("--map"):
                suffix_of(self.map, SUFFIXES)
