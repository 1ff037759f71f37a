"""A scene's own text with another chart in it, everything else left as the designer wrote it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence

from fabricsim.design.catches.in_text import table_of, value_end
from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.wording import quoted

_KEY = re.compile(r"^([ \t]*(?:chart[ \t]*\.[ \t]*)?)(?:rows|file|image)[ \t]*=[ \t]*", re.MULTILINE)


def printed_rows(chart_ij: Rows, symbols: Sequence[str]) -> list[str]:
    """Return a chart as it is printed, the top row first, a symbol of ``symbols`` a stitch."""
    return ["".join(symbols[yarn] for yarn in row) for row in reversed(chart_ij)]


def text_with_chart(text: str, rows: Sequence[str]) -> str | None:
    """Return the ``text`` of a scene with these ``rows``, as printed, in place of its chart, whether that was drawn, in
    a file or a picture; None where that isn't sure to work.

    Each way of changing the text is read again, and counts only if it says what was meant and nothing else.
    """
    end = "\r\n" if "\r\n" in text else "\n"
    wanted = tomllib.loads(text)
    chart = wanted.get("chart")
    if not isinstance(chart, dict):
        return None
    for key in ("rows", "file", "image"):
        chart.pop(key, None)
    chart["rows"] = list(rows)
    lines = end.join(["rows = [", *(f"    {quoted(row)}," for row in rows), "]"])
    for found in _KEY.finditer(text):
        stop = value_end(text, found.end())
        if stop is not None and table_of(changed := text[: found.start()] + found[1] + lines + text[stop:]) == wanted:
            return changed
    return None
