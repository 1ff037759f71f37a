"""What a command would print, kept for a page instead."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table

ANY_WIDTH = 100_000
"""Columns of a page that is not printed: its reader breaks the lines."""


@dataclass(frozen=True)
class Sentence:
    """A sentence, or an empty line."""

    text: str
    bold: bool = False


class Recorded(Page):
    """Takes what is said, in its order, instead of printing it."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: list[Sentence | Table] = []

    @property
    def width(self) -> int:
        return ANY_WIDTH

    def say(self, text: str, *, bold: bool = False, wrap: bool = False) -> None:
        self.parts.append(Sentence(text, bold))

    def table(self, table: Table) -> None:
        self.parts.append(table)


def recorded(tell: Callable[[Page], None]) -> list[Sentence | Table]:
    """Return what ``tell`` would print."""
    page = Recorded()
    tell(page)
    return page.parts
