"""Tables and sentences as lines of text: aligned, never cut, and without a letter that could upset a terminal.

A table stands in columns as wide as its cells. Where that is too wide, cells are broken between words; where even their
longest words don't fit side by side, every line of the table is a block of its own, a cell a line.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Literal

from rich.cells import cell_len, chop_cells

Alignment = Literal["left", "right"]

BETWEEN = "  "
"""What stands between two columns."""
LEAD = re.compile(r"\S+( \S+)? {2,}|( *- )| *")
"""How a sentence may begin that is set in: with a label, a bullet or spaces."""
SET_IN = "  "
"""What stands before the further lines of a cell in a block."""


@dataclass(frozen=True)
class Table:
    """A table: ``side_of`` each heading says how its column is aligned, ``bold`` which of the ``lines`` stand out."""

    title: str
    side_of: Mapping[str, Alignment]
    lines: Sequence[Sequence[str]]
    bold: Collection[int] = ()


@dataclass(frozen=True)
class TextLine:
    """A line of text, without spaces at its end."""

    text: str
    bold: bool = False


def printable(text: str) -> str:
    """Return ``text`` with white space as spaces, and whatever else does not print spelt out: ``\\x1b``."""
    if text.isprintable():
        return text
    return "".join(_printable(sign) for sign in text)


def _printable(sign: str) -> str:
    if sign.isprintable():
        return sign
    return " " if sign.isspace() else sign.encode("unicode_escape").decode("ascii")


def wrapped(text: str, width: int, *, chop: bool = True) -> list[str]:
    """Return ``text`` in lines of at most ``width`` columns, broken between words.

    Further lines are set in as the first is: below its label (``Pucker     3 mm``), its bullet or its indent. A word
    that is too long for a line is broken, or else left whole: never to ``chop`` keeps the names of files in one piece.
    """
    if cell_len(text) <= width:
        return [text.rstrip()]
    begins = LEAD.match(text)
    lead = begins[0] if begins is not None and cell_len(begins[0]) <= width // 2 else ""
    inner = " " * cell_len(lead)
    lines, line, begun = [], lead, False
    for word in text[len(lead) :].split():
        joined = f"{line} {word}" if begun else f"{line}{word}"
        if cell_len(joined) > width:
            if line.strip():
                lines.append(line)
            *whole, rest = chop_cells(word, width - len(inner)) if chop else [word]
            lines += [inner + part for part in whole]
            joined = inner + rest
        line, begun = joined, True
    return [one.rstrip() for one in (*lines, line)]


def laid_out(table: Table, width: int | None = None) -> list[TextLine]:
    """Return a table as lines of at most ``width`` columns, None for as many as it takes; an empty line ends it."""
    table = Table(
        printable(table.title),
        {printable(heading): side for heading, side in table.side_of.items()},
        [[printable(cell).strip() for cell in line] for line in table.lines],
        table.bold,
    )
    title = [table.title] if width is None else wrapped(table.title, width)
    widths = _widths(table, width)
    body = _blocks(table, width or 1) if widths is None else _columns(table, widths)
    return [*(TextLine(line, bold=True) for line in title), *body, TextLine("")]


def _widths(table: Table, width: int | None) -> list[int] | None:
    """Return how wide each column is; None where not even the longest words fit side by side."""
    columns = list(zip(table.side_of, *table.lines, strict=True))
    wide = [max(map(cell_len, column)) for column in columns]
    if width is None:
        return wide
    least = [max(cell_len(word) for cell in column for word in cell.split(" ")) for column in columns]
    room = width - len(BETWEEN) * (len(columns) - 1)
    if sum(least) > room:
        return None
    cells = [max(map(cell_len, column[1:]), default=0) for column in columns]
    while sum(wide) > room:  # headings wider than all below them give way first, then the widest of all
        *_, widest = max((size > cells[at], size, at) for at, size in enumerate(wide) if size > least[at])
        wide[widest] -= 1
    return wide


def _columns(table: Table, widths: Sequence[int]) -> list[TextLine]:
    sides = list(table.side_of.values())

    def row(cells: Sequence[str], bold: bool) -> list[TextLine]:
        broken = [wrapped(cell, width) if width else [""] for cell, width in zip(cells, widths, strict=True)]
        return [
            TextLine(BETWEEN.join(map(_padded, parts, widths, sides)).rstrip(), bold)
            for parts in zip_longest(*broken, fillvalue="")
        ]

    rule = BETWEEN.join("-" * width for width in widths).rstrip()
    made = [*row(list(table.side_of), bold=False), TextLine(rule)]
    for number, line in enumerate(table.lines):
        made += row(line, bold=number in table.bold)
    return made


def _blocks(table: Table, width: int) -> list[TextLine]:
    """Return every line as a block: a cell a line, each after its heading, and an empty line between two blocks."""
    made: list[TextLine] = []
    for number, line in enumerate(table.lines):
        if number:
            made.append(TextLine(""))
        for heading, cell in zip(table.side_of, line, strict=True):
            if not cell:
                continue
            said = f"{heading}: {cell}" if heading else cell
            first, *more = wrapped(said, width)
            more = wrapped(" ".join(more), width - len(SET_IN)) if more else []
            made += [TextLine(text, number in table.bold) for text in (first, *(SET_IN + part for part in more))]
    return made


def _padded(text: str, width: int, side: Alignment) -> str:
    """Return ``text`` with spaces up to ``width``."""
    spaces = " " * (width - cell_len(text))
    return text + spaces if side == "left" else spaces + text
