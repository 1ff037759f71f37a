"""What a command prints, and what it tells programs, to be held against the very words."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from fabricsim.cli.shell.page import Page
from fabricsim.cli.words.cautions import CAUTION

WIDTH = 110
"""Columns of the page, so that its lines fit between quotes."""


class Printed(Page):
    """A page of ``WIDTH`` columns that keeps its lines: bold ones between stars, the usual caution by its name."""

    def __init__(self) -> None:
        self._plain = True
        self._ends_empty = True
        self.lines: list[str] = []

    @property
    def width(self) -> int:
        return WIDTH

    def say(self, text: str, *, bold: bool = False, wrap: bool = False) -> None:
        super().say(text.replace(CAUTION, "[caution]") if wrap else text, bold=bold, wrap=wrap)

    def _print(self, line: str, bold: bool) -> None:
        self._ends_empty = not line
        self.lines.append(f"**{line}**" if bold else line)


def printed(tell: Callable[[Page], None]) -> str:
    """Return all that ``tell`` prints."""
    page = Printed()
    tell(page)
    return "\n".join(page.lines)


def rounded(said: Any) -> Any:
    """Return what programs are told, every number to six digits: more than anyone reads, none that is spoilt."""
    if isinstance(said, Mapping):
        return {key: rounded(value) for key, value in said.items()}
    if isinstance(said, Sequence) and not isinstance(said, str):
        return [rounded(one) for one in said]
    return float(f"{said:.6g}") if isinstance(said, float) else said
