"""Tables for spreadsheets: all CSV is written here, so that no name in a scene is ever taken for a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence

BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\n")
"""How cells begin that spreadsheets work out instead of showing (OWASP, "CSV Injection")."""
DECIMALS, DIGITS = 9, 10
"""Decimals and digits of a number in a table (chosen: finer than anything is known, coarser than what adding up in
binary leaves behind, such as 4.999999999999982)."""
NUMBER = re.compile(r"[+-]?\d+(\.\d+)?([eE][+-]?\d+)?")


def csv_text(lines: Sequence[Mapping[str, object]], columns: Sequence[str]) -> str:
    """Return ``lines`` as CSV below a line of the ``columns``, which are their keys."""
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\n")
    table.writerow([_cell(one) for one in columns])
    for line in lines:
        if set(line) != set(columns):
            raise ValueError(f"a line of {sorted(line)} under the columns {sorted(columns)}")
        table.writerow([_cell(line[one]) for one in columns])
    return text.getvalue()


def _cell(value: object) -> object:
    """Return a cell: numbers without the digits that say nothing; what would be taken for a formula, and is no number,
    behind an apostrophe, which says text."""
    if isinstance(value, float):
        return float(f"{round(value, DECIMALS):.{DIGITS}g}") + 0.0  # no -0
    if not isinstance(value, str):
        return value
    text = value.replace("\r\n", "\n").replace("\r", "\n")  # a bare one would end the line
    return f"'{text}" if text.startswith(BEGINS_A_FORMULA) and not NUMBER.fullmatch(text) else text
