"""Where a command speaks to a person: a terminal, or a file or pipe.

A terminal has its width, its colours and its whims, and rich knows them. A file or pipe has none: there, what fits is
laid out here just as rich would, without waiting for rich to load. What doesn't fit is rich's there too.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from rich.cells import cell_len

if TYPE_CHECKING:
    from rich.console import Console

PIPED_WIDTH = 120
"""Columns of a table that goes into a file or a pipe. Chosen: wide enough never to cut a cell."""
_BETWEEN = "   "
"""What stands between two columns: rich's padding of one, on both sides of an empty line."""

Side = Literal["left", "right"]


@dataclass(frozen=True)
class Table:
    """A table: ``side_of`` each heading says how its column is aligned, ``bold`` which of the ``lines`` stand out."""

    title: str
    side_of: Mapping[str, Side]
    lines: Sequence[Sequence[str]]
    bold: Collection[int] = ()


class Page:
    """Prints for people, on standard output; a yarn's name is printed as it is."""

    def __init__(self) -> None:
        self._plain = _is_plain()

    @property
    def width(self) -> int:
        """How many letters a line takes."""
        return PIPED_WIDTH if self._plain else self._console.width

    def say(self, text: str, *, bold: bool = False, wrap: bool = False) -> None:
        """Print a sentence, broken into lines only if it may ``wrap``; ``bold`` where there is bold."""
        if self._plain and _is_simple(text) and not (wrap and cell_len(text) > PIPED_WIDTH):
            print(text, flush=True)
        else:
            self._console.print(text, style="bold" if bold else None, soft_wrap=not wrap)

    def table(self, table: Table) -> None:
        """Print a table."""
        lines = laid_out(table) if self._plain else None
        if lines is not None:
            print("\n".join(lines), flush=True)
            return
        from rich import box
        from rich.table import Table as RichTable

        made = RichTable(title=table.title, title_justify="left", title_style="bold", box=box.SIMPLE, pad_edge=False)
        for heading, side in table.side_of.items():
            made.add_column(heading, justify=side)
        for number, line in enumerate(table.lines):
            made.add_row(*line, style="bold" if number in table.bold else None)
        self._console.print(made)

    @cached_property
    def _console(self) -> Console:
        from rich.console import Console

        width = None if sys.stdout.isatty() else PIPED_WIDTH
        return Console(width=width, markup=False, highlight=False, emoji=False)


def laid_out(table: Table) -> list[str] | None:
    """Return a table as lines of text, as rich lays it out in its simple box; None if it takes rich to make it fit."""
    cells = [table.title, *table.side_of, *(cell for line in table.lines for cell in line)]
    if not all(map(_is_simple, cells)):
        return None
    columns = zip(table.side_of, *table.lines, strict=True)
    width_of = [max(map(cell_len, column)) for column in columns]
    wide = sum(width_of) + len(_BETWEEN) * (len(width_of) - 1)  # and an empty column at both edges
    if not cell_len(table.title) <= wide + 2 <= PIPED_WIDTH:
        return None

    def row(line: Sequence[str]) -> str:
        placed = (_padded(*cell) for cell in zip(line, width_of, table.side_of.values(), strict=True))
        return f" {_BETWEEN.join(placed)} "

    empty = " " * (wide + 2)
    head = [_padded(table.title, wide + 2, "left"), empty, row(list(table.side_of)), f" {'─' * wide} "]
    return [*head, *map(row, table.lines), empty]


def _padded(text: str, width: int, side: Side) -> str:
    """Return ``text`` with spaces up to ``width``."""
    spaces = " " * (width - cell_len(text))
    return text + spaces if side == "left" else spaces + text


def _is_simple(text: str) -> bool:
    """Return whether ``text`` prints as it stands: no control signs, no spaces that rich would take off its end."""
    return text.isprintable() and text == text.rstrip()


def _is_plain() -> bool:
    """Return whether standard output is a file or pipe that takes any letter, and nobody asks for colours in it."""
    out = sys.stdout
    forced = "FORCE_COLOR" in os.environ or "TTY_COMPATIBLE" in os.environ
    return (
        isinstance(out, io.TextIOWrapper)
        and not out.isatty()
        and (out.encoding or "").lower().startswith("utf")
        and not forced
    )
