"""What may be asked of ``why``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fabricsim.cli.shell.options import Load
from fabricsim.cli.shell.outputs import said_of, suffix_of

SUFFIXES = (".png", ".svg", ".pdf")


@dataclass(frozen=True)
class WhyOptions:
    """How the fabric is looked at, and where its ``map`` goes, if anywhere. Raises ``InputError`` for what can't be."""

    load: Load
    map: Path | None = None

    def __post_init__(self) -> None:
        if self.map is not None:
            with said_of("--map"):
                suffix_of(self.map, SUFFIXES)
