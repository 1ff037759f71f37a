"""The letters on pages: a serif for titles, a sans for the rest, each with a fallback that knows more alphabets."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

import matplotlib as mpl
from matplotlib.ft2font import FT2Font
from PIL import ImageFont

TITLE, TEXT = ("STIXGeneral.ttf", "DejaVuSerif.ttf"), ("DejaVuSans.ttf",)
"""Fonts that come with matplotlib, the preferred one first."""
PLOTTED, PLOT_FAMILIES = (TITLE[0], *TEXT), ("STIXGeneral", "DejaVu Sans")
"""Fonts of the titles of plots, and their names for matplotlib, which takes each letter from the first that has it."""

FONTS = 8
"""Fonts whose letters are kept in mind (chosen: more than are ever asked for)."""

SPACES = re.compile(r"[^\S\u00a0]+")
"""Spaces and new lines, but for those that hold two words together."""
UNITS = re.compile(r"(\d) (%|cm|mm|cN)")
"""A number and its unit."""


@lru_cache(maxsize=FONTS)
def letters_of(name: str) -> frozenset[int]:
    """Return the letters that a font has, by number."""
    return frozenset(FT2Font(str(font_file(name))).get_charmap())


def font_file(name: str) -> Path:
    """Return where the file of a font lies."""
    return Path(mpl.get_data_path()) / "fonts" / "ttf" / name


def font(text: str, size: float, names: tuple[str, ...] = TEXT) -> ImageFont.FreeTypeFont:
    """Return the first of the fonts ``names`` that has every letter of ``text``, else the last, ``size`` px high."""
    for name in names:
        if all(ord(letter) in letters_of(name) for letter in text):
            break
    return ImageFont.truetype(str(font_file(name)), max(1, round(size)))


def printable(text: str, names: tuple[str, ...] = TEXT) -> str:
    """Return ``text`` in one line, with a question mark for every letter that none of the fonts ``names`` has."""
    known = frozenset[int]().union(*map(letters_of, names))
    return "".join(letter if ord(letter) in known else "?" for letter in SPACES.sub(" ", text))


def labelled(text: str) -> str:
    """Return ``text`` for a label of a plot, whose dollars matplotlib would otherwise take for the ends of formulas."""
    return printable(text).replace("$", r"\$")


def shortened(text: str, size: float, names: tuple[str, ...], room: float) -> str:
    """Return ``text``, cut with an ellipsis if it is wider than ``room`` px."""
    face = font(text + "…", size, names)
    if face.getlength(text) <= room:
        return text
    while text and face.getlength(text + "…") > room:
        text = text[:-1]
    return text.rstrip() + "…"


def wrapped(text: str, size: float, room: float, names: tuple[str, ...] = TEXT) -> list[str]:
    """Return ``text`` in lines no wider than ``room`` px where its words allow, in letters ``size`` px high.

    A number stays with its unit.
    """
    face = font(text, size, names)
    lines: list[str] = []
    for word in UNITS.sub("\\1\u00a0\\2", text).split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and face.getlength(longer) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
