"""What may stand in a title, a name or a symbol: anything that can be seen, in any script."""

from __future__ import annotations

import json
import unicodedata
from typing import Annotated

from pydantic import AfterValidator, Field

from fabricsim.design.scene.part import refusal

UNSEEN = {
    "Cc": "a control character",  # moves a terminal's cursor, breaks SVG and splits rows of CSV
    "Cf": "an invisible sign",  # such as those that turn the direction of what follows, which then reads as it isn't
    "Cn": "no character",
    "Co": "a private character",  # looks different, or like nothing, in each font
    "Cs": "half a character",  # can't be written to a file
    "Zl": "a line separator",
    "Zp": "a paragraph separator",
}
"""Kinds of characters (Unicode general categories) that no text may hold, and what each is called. Accents that are
written after their letter are seen and may stand."""
JOINERS = "\u200c\u200d"
"""Invisible, but part of how Persian, the scripts of India and many emoji are written: they may stand in between."""


def unseen(text: str, also: str = "") -> str | None:
    """Return what can't be seen in ``text`` and isn't in ``also``: "U+202E, an invisible sign"; None for nothing."""
    for place, sign in enumerate(text):
        kind = UNSEEN.get(unicodedata.category(sign))
        joins = sign in JOINERS and 0 < place < len(text) - 1
        if kind is not None and not joins and sign not in also:
            return f"U+{ord(sign):04X}, {kind}"
    return None


def quoted(text: str) -> str:
    """Return ``text`` as a basic string of TOML, which escapes as JSON does, and DEL besides."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _one_line(text: str) -> str:
    return _seen(text, "", "letters, digits and signs that can be seen, in one line")


def _line_or_nothing(text: str) -> str:
    return _one_line(text) if text else text


def _lines(text: str) -> str:
    return _seen(text, "\n\r\t", "letters, digits and signs that can be seen") if text else text


def _seen(text: str, also: str, allowed: str) -> str:
    found = unseen(text, also)
    if found is not None:
        raise refusal(found, allowed, "take it out")
    if not text.strip():
        raise refusal("nothing but spaces", allowed, "write something here")
    return text


def _stands_alone(symbol: str) -> str:
    found = unseen(symbol)
    if found is None and unicodedata.category(symbol).startswith("M"):
        found = f"U+{ord(symbol):04X}, an accent that belongs to the letter before it"
    if found is not None:
        raise refusal(found, "one character that can be seen by itself", "choose a letter or a sign")
    return symbol


# Greatest lengths are chosen: what still fits on a page, many times over.
Name = Annotated[str, Field(min_length=1, max_length=100), AfterValidator(_one_line)]
"""What a yarn or a body is called."""
Title = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(_one_line)]
"""What a piece is called."""
Label = Annotated[str, Field(max_length=200), AfterValidator(_line_or_nothing)]
"""A title, or none."""
Story = Annotated[str, Field(max_length=20_000), AfterValidator(_lines)]
"""Text of several lines, or none."""
FileName = Annotated[str, Field(min_length=1, max_length=4096), AfterValidator(_one_line)]
"""The name of a file beside the one that it stands in."""
Symbol = Annotated[str, Field(min_length=1, max_length=1, pattern=r"^\S$"), AfterValidator(_stands_alone)]
"""The one character that stands for a yarn in a chart."""
