"""The letters on pages: a serif for titles, a sans for the rest, each with a fallback that knows more alphabets."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import matplotlib as mpl
from matplotlib.ft2font import FT2Font
from PIL import ImageFont

TITLE, TEXT = ("STIXGeneral.ttf", "DejaVuSerif.ttf"), ("DejaVuSans.ttf",)
"""Fonts that come with matplotlib, the preferred one first."""


@cache
def _letters(name: str) -> frozenset[int]:
    return frozenset(FT2Font(str(_path(name))).get_charmap())


def _path(name: str) -> Path:
    return Path(mpl.get_data_path()) / "fonts" / "ttf" / name


def font(text: str, size: float, names: tuple[str, ...] = TEXT) -> ImageFont.FreeTypeFont:
    """Return the first of the fonts ``names`` that has every letter of ``text``, else the last, ``size`` px high."""
    for name in names:
        if all(ord(letter) in _letters(name) for letter in text):
            break
    return ImageFont.truetype(str(_path(name)), max(1, round(size)))


def shortened(text: str, size: float, names: tuple[str, ...], room: float) -> str:
    """Return ``text``, cut with an ellipsis if it is wider than ``room`` px."""
    face = font(text + "…", size, names)
    if face.getlength(text) <= room:
        return text
    while text and face.getlength(text + "…") > room:
        text = text[:-1]
    return text.rstrip() + "…"
