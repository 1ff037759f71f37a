"""A handout: one sheet of A4 with the same fabric in several columns, at one scale, with numbers and words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.figure import Figure

from fabricsim import units
from fabricsim.lengths import long_plain
from fabricsim.render.basics.letters import TITLE, shortened
from fabricsim.render.basics.options import Side
from fabricsim.render.basics.palette import GREY, INK
from fabricsim.render.layout.paper import A4, DPI, FINE, POINT, Paper, blank
from fabricsim.render.layout.sheet import scale_length
from fabricsim.render.trace.camera import Scale
from fabricsim.render.trace.model import YarnModel
from fabricsim.render.trace.views import Picture, camera_for
from fabricsim.units import MM_PER_INCH

SHEET = A4
"""Width and height of the sheet, mm."""
MARGIN, GUTTER = 14.0, 5.0
"""Paper at the sides, and between columns, mm (chosen: printers need 5)."""
ROOM = SHEET[0] - 2.0 * MARGIN
"""Width between the margins, mm (derived)."""
HEAD, LABEL, SMALL_LINE = 24.0, 7.0, 3.3
"""Heights of the title with the columns' headings, of a row's label, and of a small line of text, mm (chosen)."""
LEAST = 40.0
"""Height that pictures get at least, mm, were the words ever so long (chosen)."""
BESIDE = 14.0
"""Width of a label beside its value, mm (chosen)."""
TITLE_PT, HEAD_PT, TEXT_PT, SMALL_PT = 19.0, 12.0, 8.4, 7.0
"""Sizes of letters, points (chosen: legible at arm's length)."""
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
    room = SHEET[1] - 2.0 * MARGIN - HEAD - len(sides) * LABEL - _words_below(Paper(None, SHEET), handout, 0.0, None)
    reduced = max(wide / (column_width(len(models)) * units.MM), tall / (max(room, LEAST) * units.MM), 1.0)
    return 1.001 * float(reduced) * units.INCH / DPI  # rounded to whole pixels no picture becomes too large


def handout_figure(handout: Handout, pictures: Sequence[Sequence[Picture]]) -> Figure:
    """Return the sheet, with a row of ``pictures`` of all columns for every side, all at one scale."""
    figure = blank(SHEET)
    sheet, top = Paper(figure, SHEET), MARGIN
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
            sheet.paste(picture.image, left + 0.5 * wide, top + 0.5 * tall)
        sheet.write(lefts[0], top + tall + 3.4, row[0].name, SMALL_PT, GREY)
        top += tall + LABEL
    _words_below(sheet, handout, top, pictures[0][0])
    return figure


def _words_below(sheet: Paper, handout: Handout, top: float, picture: Picture | None) -> float:
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
    return picture.image.height * MM_PER_INCH / DPI


def _figures(sheet: Paper, column: Column, left: float, top: float, wide: float) -> float:
    """Write the numbers of a column, then its verdict; return where they end."""
    base = top
    for label, value in column.figures:
        sheet.line((left, base - 3.2), (left + wide, base - 3.2))
        sheet.write(left, base, label, SMALL_PT, GREY)
        base = sheet.lines(left + BESIDE, base, value, TEXT_PT, wide - BESIDE) + 1.0
    sheet.line((left, base - 3.2), (left + wide, base - 3.2))
    return sheet.lines(left, base + 0.6, column.verdict, TEXT_PT, wide)


def _scale(sheet: Paper, picture: Picture, left: float, middle: float) -> None:
    per_mm = picture.metres_per_px * DPI / MM_PER_INCH
    length = scale_length(SCALE_WIDE * per_mm)
    right = left + length / per_mm
    sheet.line((left, middle), (right, middle), INK, 1.2)
    for x in (left, right):
        sheet.line((x, middle - 1.4), (x, middle + 1.4), INK, 1.2)
    share = units.MM / per_mm
    said = "life size" if share > 0.998 else f"{100.0 * share:.0f} % of life size"
    text = f"{long_plain(length)}, the same in all pictures (printed at 100 %: {said})"
    sheet.write(right + 3.0, middle + 1.0, text, SMALL_PT)
