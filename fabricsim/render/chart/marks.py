"""Symbols of a chart: the scene's own where small print keeps them apart, else plain marks."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations

import numpy as np
from matplotlib.font_manager import FontProperties
from matplotlib.path import Path as Outline
from matplotlib.textpath import TextPath
from matplotlib.transforms import Affine2D
from PIL import Image, ImageDraw

from fabricsim.render.basics.letters import font, font_file, letters_of

PLAIN = "•×○▲+■△|◆−◇/"
"""Our own marks, for the first yarns (chosen: shapes anybody can draw with a pen, none like another)."""
LETTERS = "ABCDEFGHJKLMNPQRTUVWYZ2345679"
"""Marks of further yarns (chosen: without those that look like others)."""
FONT = "DejaVuSans.ttf"
HIGH = 0.50
"""Height of a capital, share of the smaller side of a square (chosen: leaves its colour to be seen round it)."""
REACH = 0.31
"""How far a symbol reaches from the middle of its square at most, share of the smaller side (chosen: within the ring of
a catch)."""
CAPITAL = 0.729
"""Height of a capital of the font, share of its size (measured on its H)."""
CONFUSED = ("Il|1!", "Oo0○", "-–—−_", ".,:;'`·", "xX×")
"""Signs that small print does not keep apart (common practice)."""
ALIKE = 0.10
"""Two signs are the same to the eye if less than this share of their ink differs (chosen: of 'n' and 'h' 0.12 does, of
Latin and Cyrillic 'A' nothing)."""
LOOK_PX = 40
"""Size of letters when they are held against each other, px (chosen)."""

KEPT = 128
"""Signs whose looks are kept in mind (chosen: more than a chart has yarns; 25 kB)."""


def plain_marks(yarns: int) -> tuple[str, ...]:
    """Return a plain mark for each of so many ``yarns``; beyond the last they come again."""
    every = PLAIN + LETTERS
    return tuple(every[yarn % len(every)] for yarn in range(yarns))


def too_alike(symbols: Sequence[str]) -> tuple[str, ...]:
    """Return the first symbol that can't be printed, or the first two that small print can't keep apart; or nothing."""
    for symbol in symbols:
        lone = unicodedata.category(symbol)[0] in "LNPS"  # no accent without its letter, nothing unseen
        if not lone or ord(symbol) not in letters_of(FONT) or not _ink(symbol).any():
            return (symbol,)
    return next((two for two in combinations(symbols, 2) if _same_to_the_eye(*two)), ())


def _same_to_the_eye(one: str, other: str) -> bool:
    if one.casefold() == other.casefold() or any(one in group and other in group for group in CONFUSED):
        return True
    ink, other_ink = _ink(one), _ink(other)
    return bool((ink ^ other_ink).sum() < ALIKE * (ink | other_ink).sum())


@lru_cache(maxsize=KEPT)
def _ink(symbol: str) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """Return where a symbol has ink, on its line, in the middle."""
    picture = Image.new("L", (2 * LOOK_PX, 2 * LOOK_PX))
    ImageDraw.Draw(picture).text((LOOK_PX, LOOK_PX), symbol, 255, font(symbol, LOOK_PX, (FONT,)), anchor="ms")
    return np.asarray(picture) > 127


@lru_cache(maxsize=KEPT)
def outline(symbol: str) -> Outline:
    """Return the outline of a symbol about the middle of a square of side 1."""
    drawn = TextPath((0.0, 0.0), symbol, size=HIGH / CAPITAL, prop=FontProperties(fname=str(font_file(FONT))))
    box = drawn.get_extents()
    middle = 0.5 * (box.x0 + box.x1), 0.5 * (box.y0 + box.y1)
    reach = float(np.hypot(*(drawn.vertices - middle).T).max())
    to_middle = Affine2D().translate(-middle[0], -middle[1]).scale(min(1.0, REACH / reach) if reach else 1.0)
    return Outline(drawn.vertices, drawn.codes).transformed(to_middle)
