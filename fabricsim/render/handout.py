"""A handout: one sheet of A4 with the same fabric in several columns, at one scale, with numbers and words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from fabricsim import units
from fabricsim.render.camera import Scale
from fabricsim.render.kinds import Side
from fabricsim.render.letters import TITLE, shortened, wrapped
from fabricsim.render.model import YarnModel
from fabricsim.render.plots import GREY, HAIR, INK
from fabricsim.render.sheet import scale_length
from fabricsim.render.views import Picture, camera_for

SHEET = (210.0, 297.0)
"""Width and height of the sheet, mm: A4, ISO 216."""
MARGIN, GUTTER = 14.0, 5.0
"""Paper at the sides, and between columns, mm (chosen: printers need 5)."""
ROOM = SHEET[0] - 2.0 * MARGIN
"""Width between the margins, mm (derived)."""
HEAD, LABEL, LINE, SMALL_LINE = 24.0, 7.0, 4.1, 3.3
"""Heights of the title with the columns' headings, of a row's label, of a line of text and of a small one, mm
(chosen)."""
LEAST = 40.0
"""Height that pictures get at least, mm, were the words ever so long (chosen)."""
BESIDE = 14.0
"""Width of a label beside its value, mm (chosen)."""
FINE = 10.0
"""Letters are measured so many times as large, as their width is counted in whole pixels (chosen)."""
WHITE = (255, 255, 255)
"""Colour of the sheet: paper has its own (derived)."""
DPI = 300.0
"""Dots per inch of the pictures (common practice in print)."""
TITLE_PT, HEAD_PT, TEXT_PT, SMALL_PT = 19.0, 12.0, 8.4, 7.0
"""Sizes of letters, points (chosen: legible at arm's length)."""
POINT = 25.4 / 72.0
"""One point, mm (derived)."""
SCALE_WIDE = 40.0
"""Greatest length of the scale bar, mm (chosen)."""


@dataclass(frozen=True)
class Column:
    """One fabric: its ``heading``, its ``figures`` (label, value) and a ``verdict``."""

    heading: str
    figures: tuple[tuple[str, str], ...]
    verdict: str


@dataclass(frozen=True)
class Handout:
    """All words on the sheet. ``ways``: paragraphs on how to do it; ``foot``: what to know of the numbers."""

    title: str
    about: str
    columns: tuple[Column, ...]
    ways_title: str
    ways: tuple[str, ...]
    foot: tuple[str, ...]


def column_width(columns: int) -> float:
    """Return the width of each column, mm."""
    return (ROOM - (columns - 1) * GUTTER) / columns


def common_scale(handout: Handout, models: Sequence[YarnModel], sides: Sequence[Side]) -> float:
    """Return the m a pixel at which all ``sides`` of all ``models`` fit beside the words, at most at life size."""
    cameras = [[camera_for(model, side, Scale(metres_per_px=1e-4)) for model in models] for side in sides]
    wide = max(c.frame_a[1] - c.frame_a[0] for row in cameras for c in row)
    tall = sum(max(c.frame_a[3] - c.frame_a[2] for c in row) for row in cameras)
    room = SHEET[1] - 2.0 * MARGIN - HEAD - len(sides) * LABEL - _words_below(_Sheet(None), handout, 0.0, None)
    reduced = max(wide / (column_width(len(models)) * units.MM), tall / (max(room, LEAST) * units.MM), 1.0)
    return 1.001 * float(reduced) * units.INCH / DPI  # rounded to whole pixels no picture becomes too large


def handout_figure(handout: Handout, pictures: Sequence[Sequence[Picture]]) -> Figure:
    """Return the sheet, with a row of ``pictures`` of all columns for every side, all at one scale."""
    figure = Figure(figsize=(SHEET[0] / 25.4, SHEET[1] / 25.4), dpi=DPI, facecolor=_rgb(WHITE))
    sheet, top = _Sheet(figure), MARGIN
    title = shortened(handout.title, TITLE_PT * POINT * FINE, TITLE, ROOM * FINE)
    sheet.write(MARGIN, top + 7.0, title, TITLE_PT, title=True)
    sheet.write(MARGIN, top + 13.0, handout.about, TEXT_PT, GREY)
    top += HEAD
    wide = column_width(len(handout.columns))
    lefts = _lefts(handout)
    for left, column in zip(lefts, handout.columns, strict=True):
        sheet.write(left, top - 1.0, column.heading, HEAD_PT, title=True)
    for row in pictures:
        tall = max(_height(picture) for picture in row)
        for left, picture in zip(lefts, row, strict=True):
            sheet.paste(picture, left + 0.5 * wide, top + 0.5 * tall)
        sheet.write(lefts[0], top + tall + 3.4, row[0].name, SMALL_PT, GREY)
        top += tall + LABEL
    _words_below(sheet, handout, top, pictures[0][0])
    return figure


def _words_below(sheet: _Sheet, handout: Handout, top: float, picture: Picture | None) -> float:
    """Write all that stands below the pictures, from ``top`` down; return where it ends."""
    wide = column_width(len(handout.columns))
    top += 3.0
    top = max(
        _figures(sheet, column, left, top, wide) for left, column in zip(_lefts(handout), handout.columns, strict=True)
    )
    top += 2.0
    if picture is not None:
        _scale(sheet, picture, MARGIN, top)
    top += 9.0
    sheet.write(MARGIN, top, handout.ways_title, HEAD_PT, title=True)
    top += 5.5
    for number, way in enumerate(handout.ways, start=1):
        sheet.write(MARGIN, top, f"{number}.", TEXT_PT)
        top = sheet.lines(MARGIN + 5.0, top, way, TEXT_PT, ROOM - 5.0) + 0.9
    top += 2.0
    for line in handout.foot:
        top = sheet.lines(MARGIN, top, line, SMALL_PT, ROOM, GREY, SMALL_LINE) + 0.5
    return top


def _lefts(handout: Handout) -> list[float]:
    """Return where columns begin, mm."""
    return [MARGIN + k * (column_width(len(handout.columns)) + GUTTER) for k in range(len(handout.columns))]


def _height(picture: Picture) -> float:
    """Return the height of a picture, mm."""
    return picture.image.height * 25.4 / DPI


class _Sheet:
    """A figure on which places are mm from its top left; without one, everything is measured and nothing written."""

    def __init__(self, figure: Figure | None) -> None:
        self.figure = figure

    def write(
        self, left: float, base: float, text: str, size: float, colour: str = INK, *, title: bool = False
    ) -> None:
        """Write one line with its base line at ``base``."""
        if self.figure is None:
            return
        family = "STIXGeneral" if title else "DejaVu Sans"
        self.figure.text(
            left / SHEET[0],
            1.0 - base / SHEET[1],
            text,
            fontsize=size,
            color=colour,
            fontfamily=[family, "DejaVu Sans"],
            va="baseline",
            parse_math=False,
        )

    def lines(
        self, left: float, base: float, text: str, size: float, room: float, colour: str = INK, step: float = LINE
    ) -> float:
        """Write ``text`` in lines no wider than ``room``; return the base of what comes below."""
        for line in wrapped(text, size * POINT * FINE, room * FINE):
            self.write(left, base, line, size, colour)
            base += step
        return base

    def paste(self, picture: Picture, middle: float, centre: float) -> None:
        """Put a picture with its middle at a place, a dot of it on a dot of the paper."""
        if self.figure is None:
            return
        wide, tall = picture.image.width * 25.4 / DPI, _height(picture)
        low, left = 1.0 - (centre + 0.5 * tall) / SHEET[1], (middle - 0.5 * wide) / SHEET[0]
        axes = self.figure.add_axes((left, low, wide / SHEET[0], tall / SHEET[1]))
        axes.imshow(np.asarray(picture.image), interpolation="none", aspect="auto")
        axes.set_axis_off()

    def line(
        self, begin: tuple[float, float], end: tuple[float, float], colour: str = HAIR, thick: float = 0.5
    ) -> None:
        """Draw a line between two places, ``thick`` points."""
        if self.figure is not None:
            x, y = [begin[0] / SHEET[0], end[0] / SHEET[0]], [1.0 - begin[1] / SHEET[1], 1.0 - end[1] / SHEET[1]]
            self.figure.add_artist(Line2D(x, y, color=colour, lw=thick, transform=self.figure.transFigure))


def _figures(sheet: _Sheet, column: Column, left: float, top: float, wide: float) -> float:
    """Write the numbers of a column, then its verdict; return where they end."""
    base = top
    for label, value in column.figures:
        sheet.line((left, base - 3.2), (left + wide, base - 3.2))
        sheet.write(left, base, label, SMALL_PT, GREY)
        base = sheet.lines(left + BESIDE, base, value, TEXT_PT, wide - BESIDE) + 1.0
    sheet.line((left, base - 3.2), (left + wide, base - 3.2))
    return sheet.lines(left, base + 0.6, column.verdict, TEXT_PT, wide)


def _scale(sheet: _Sheet, picture: Picture, left: float, middle: float) -> None:
    per_mm = picture.metres_per_px * DPI / 25.4
    length = scale_length(SCALE_WIDE * per_mm)
    right = left + length / per_mm
    sheet.line((left, middle), (right, middle), INK, 1.2)
    for x in (left, right):
        sheet.line((x, middle - 1.4), (x, middle + 1.4), INK, 1.2)
    share = units.MM / per_mm
    said = "life size" if share > 0.998 else f"{100.0 * share:.0f} % of life size"
    text = f"{length / units.CM:g} cm, the same in all pictures (printed at 100 %: {said})"
    sheet.write(right + 3.0, middle + 1.0, text, SMALL_PT)


def _rgb(colour: tuple[int, int, int]) -> tuple[float, float, float]:
    red, green, blue = (part / 255.0 for part in colour)
    return red, green, blue
