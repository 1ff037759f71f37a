"""What may be asked of ``why``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from fabricsim.cli.shell.advice_options import AdviceOptions


@dataclass(frozen=True, kw_only=True)
class WhyOptions(AdviceOptions):
    """How the fabric is looked at, and where its map goes, if anywhere."""

    drawn_by: ClassVar[str] = "--map"
    kinds: ClassVar[tuple[str, ...]] = (".png", ".svg", ".pdf")
