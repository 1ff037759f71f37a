"""The letters on pages: a serif for titles, a sans for the rest, each with a fallback that knows more alphabets; beyond
those, whatever font of this machine has them."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import matplotlib as mpl
from matplotlib.font_manager import fontManager
from matplotlib.ft2font import FT2Font
from matplotlib.text import Text
from PIL import ImageFont

from fabricsim.undrawn import note_undrawn

if TYPE_CHECKING:
    from matplotlib.figure import Figure

TITLE, TEXT = ("STIXGeneral.ttf", "DejaVuSerif.ttf"), ("DejaVuSans.ttf",)
"""Fonts that come with matplotlib, the preferred one first."""
PLOTTED, PLOT_FAMILIES = (TITLE[0], *TEXT), ("STIXGeneral", "DejaVu Sans")
"""Fonts of the titles of plots, and their names for matplotlib, which takes each letter from the first that has it."""

FONTS, FONTS_HERE, LETTERS = 8, 1024, 4096
"""Fonts whose letters are kept in mind, of ours and of the machine's, and letters whose font is (chosen: more than are
ever asked for)."""

NO_LETTERS = frozenset(
    (
        "Last Resort High-Efficiency",
        "STIXNonUnicode",
        "cmb10",
        "cmex10",
        "cmmi10",
        "cmr10",
        "cmss10",
        "cmsy10",
        "cmtt10",
    )
)
"""Fonts that come with matplotlib in which a number does not stand for its letter: boxes, or signs of formulas."""

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


@lru_cache(maxsize=LETTERS)
def font_with(letter: str) -> tuple[str, Path] | None:
    """Return the first font of this machine that has a ``letter``, as its family and its file; None if none has.

    Fonts go by their names, so that the same machine always takes the same.
    """
    for family, file in sorted((one.name, one.fname) for one in fontManager.ttflist):
        if family not in NO_LETTERS and ord(letter) in _letters_of_file(file):
            return family, Path(file)
    return None


@lru_cache(maxsize=FONTS_HERE)
def _letters_of_file(file: str) -> frozenset[int]:
    try:
        face = FT2Font(file)
    except (OSError, RuntimeError):  # gone since the list was made, or no font
        return frozenset()
    return frozenset(face.get_charmap()) if face.scalable else frozenset()  # pictures of letters have one size


def font(text: str, size: float, names: tuple[str, ...] = TEXT) -> ImageFont.FreeTypeFont:
    """Return the first of the fonts ``names`` that has every letter of ``text``, ``size`` px high; else one of this
    machine that has those that the last of them lacks; else the last."""
    wide = max(1, round(size))
    for name in names:
        missed = [letter for letter in text if ord(letter) not in letters_of(name)]
        if not missed:
            return ImageFont.truetype(str(font_file(name)), wide)
    others = [font_with(letter) for letter in missed]
    for other in others:
        if other is not None and all(ord(letter) in _letters_of_file(str(other[1])) for letter in text):
            return ImageFont.truetype(str(other[1]), wide)
    note_undrawn(letter for letter, other in zip(missed, others, strict=True) if other is None)
    found = next((other for other in others if other is not None), None)
    return ImageFont.truetype(str(font_file(names[-1]) if found is None else found[1]), wide)


def printable(text: str, names: tuple[str, ...] = TEXT) -> str:
    """Return ``text`` in one line, with a question mark for every letter that neither the fonts ``names`` nor any of
    this machine has; which, is noted."""
    known = frozenset[int]().union(*map(letters_of, names))
    text = SPACES.sub(" ", text)
    others = {letter: font_with(letter) for letter in text if ord(letter) not in known}
    missed = {letter for letter, other in others.items() if other is None}
    note_undrawn(letter for letter in text if letter in missed)
    return "".join("?" if letter in missed else letter for letter in text)


def own(text: str) -> bool:
    """Return whether our own font has every letter of ``text``."""
    return all(ord(letter) in letters_of(TEXT[0]) for letter in text)


def find_letters(figure: Figure) -> None:
    """Let every text of a ``figure`` take letters that our own font lacks from fonts of this machine."""
    for text in figure.findobj(Text):
        assert isinstance(text, Text)
        said = text.get_text()
        if not own(said.replace("\n", " ")):
            others = [font_with(letter) for letter in said if ord(letter) not in letters_of(TEXT[0])]
            families = [*text.get_fontfamily(), *(other[0] for other in others if other is not None)]
            text.set_fontfamily(list(dict.fromkeys(families)))


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

    A number stays with its unit; a name may hold ends of lines, which are spaces here.
    """
    face = font(text, size, names)
    lines: list[str] = []
    for word in re.split(r"[ \t\r\n]", UNITS.sub("\\1\u00a0\\2", text)):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and face.getlength(longer) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
