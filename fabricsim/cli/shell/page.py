"""Where a command speaks to a person: a terminal, or a file or pipe.

A terminal has its width and its colours, and rich knows them. A file or pipe has none: there, lines are printed as they
are laid out, as long as tables take, without waiting for rich to load.
"""

from __future__ import annotations

import os
import sys
from functools import cached_property
from typing import TYPE_CHECKING

from fabricsim.cli.shell.tables import Table, laid_out, printable, wrapped

if TYPE_CHECKING:
    from rich.console import Console

PIPED_WIDTH = 120
"""Columns of a sentence that goes into a file or a pipe (chosen)."""
NARROWEST = 20
"""Columns of the narrowest terminal that is laid out for (chosen): a narrower one breaks lines itself."""


class Page:
    """Prints for people, on standard output. Whatever is told goes through here, so nothing that a scene says can do
    more to a terminal than be shown on it."""

    def __init__(self) -> None:
        self._plain = not sys.stdout.isatty() and not _asked_for_colours()
        self._ends_empty = True

    @property
    def width(self) -> int:
        """How many letters a line takes."""
        return PIPED_WIDTH if self._plain else max(NARROWEST, self._console.width)

    def say(self, text: str, *, bold: bool = False, wrap: bool = False) -> None:
        """Print a sentence, ``bold`` where there is bold; a file or pipe has it in lines only if it may ``wrap``."""
        text = printable(text)
        for line in wrapped(text, self.width, chop=False) if wrap or not self._plain else [text]:
            self._print(line, bold)

    def table(self, table: Table) -> None:
        """Print a table, with an empty line before and after it."""
        if not self._ends_empty:
            self._print("", bold=False)
        for line in laid_out(table, None if self._plain else self.width):
            self._print(line.text, line.bold)

    def _print(self, line: str, bold: bool) -> None:
        self._ends_empty = not line
        if self._plain:
            print(line, flush=True)
        else:
            self._console.print(line, style="bold" if bold else None, soft_wrap=True)

    @cached_property
    def _console(self) -> Console:
        from rich.console import Console

        width = None if sys.stdout.isatty() else PIPED_WIDTH
        return Console(width=width, markup=False, highlight=False, emoji=False)


def _asked_for_colours() -> bool:
    """Return whether the environment asks for colours even in a file or pipe."""
    return "FORCE_COLOR" in os.environ or "TTY_COMPATIBLE" in os.environ
