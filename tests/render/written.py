"""What is written where on a sheet: measured on the figure itself, in mm from its top left."""

from __future__ import annotations

from itertools import combinations
from typing import NamedTuple

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from fabricsim.units import MM_PER_INCH


class Word(NamedTuple):
    """A text and the box that it fills, mm."""

    text: str
    left: float
    right: float
    top: float
    bottom: float


def words_on(figure: Figure) -> list[Word]:
    """Return every text of a figure that is not empty, in the order in which it was written."""
    figure.draw_without_rendering()
    per_mm = figure.dpi / MM_PER_INCH
    tall = figure.get_size_inches()[1] * MM_PER_INCH
    found = []
    for text in [*figure.texts, *(one for axes in figure.axes for one in axes.texts)]:
        if text.get_text().strip():
            box = text.get_window_extent()
            found.append(
                Word(text.get_text(), box.x0 / per_mm, box.x1 / per_mm, tall - box.y1 / per_mm, tall - box.y0 / per_mm)
            )
    return found


def lines_on(figure: Figure) -> list[tuple[float, float, float, float]]:
    """Return every line drawn on the sheet itself: (left, right, top, bottom) mm."""
    wide, tall = (inches * MM_PER_INCH for inches in figure.get_size_inches())
    found = []
    for one in figure.get_children():
        if isinstance(one, Line2D):
            x, y = ([float(value) for value in data] for data in (one.get_xdata(), one.get_ydata()))  # type: ignore[union-attr]
            found.append((min(x) * wide, max(x) * wide, tall * (1.0 - max(y)), tall * (1.0 - min(y))))
    return found


def assert_tidy(figure: Figure, margin: float) -> list[Word]:
    """Fail unless all words stand within the margins (mm) and none on another; return them."""
    wide, tall = (inches * MM_PER_INCH for inches in figure.get_size_inches())
    words = words_on(figure)
    for one in words:
        assert margin - 0.3 <= one.left, one
        assert one.right <= wide - margin + 0.3, one
        assert margin - 0.3 <= one.top, one
        assert one.bottom <= tall - margin + 0.3, one
    for one, other in combinations(words, 2):
        apart = (
            one.right <= other.left + 0.05
            or other.right <= one.left + 0.05
            or one.bottom <= other.top + 0.4  # boxes of letters reach below those that have no tails
            or other.bottom <= one.top + 0.4
        )
        assert apart, (one, other)
    return words


def word(words: list[Word], text: str) -> Word:
    """Return the one word that begins with a text."""
    (found,) = (one for one in words if one.text.startswith(text))
    return found
