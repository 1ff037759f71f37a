"""What may be asked of ``stretch``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fabricsim.cli.shell.outputs import said_of, suffix_of
from fabricsim.errors import InputError

LEAST_LOAD, MOST_LOAD = 0.1, 50.0
"""N/m that can be asked for: half a gram to half a pound on a strip of 5 cm (chosen)."""
SUFFIXES = (".png", ".svg", ".pdf")


@dataclass(frozen=True)
class StretchOptions:
    """At which ``loads`` (N/m; none for the usual ones) and ``slack`` (None: the scene's), whether with the likely
    ``band``, and where its curves are drawn. Raises ``InputError`` for what is out of range."""

    loads: tuple[float, ...] = ()
    slack: float | None = None
    band: bool = True
    plots: Path | None = None

    def __post_init__(self) -> None:
        for one in self.loads:
            if not LEAST_LOAD <= one <= MOST_LOAD:
                allowed = f"{LEAST_LOAD:g} to {MOST_LOAD:g} newtons per metre of width"
                raise InputError("--load", f"{one:g}", allowed, "20 is a firm pull")
        if self.plots is not None:
            with said_of("--plots"):
                suffix_of(self.plots, SUFFIXES)
