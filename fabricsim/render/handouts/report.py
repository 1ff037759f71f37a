"""A report: one HTML file with everything about a piece, to be read, printed and written on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from markupsafe import Markup
from PIL import Image, ImageChops, ImageOps

from fabricsim.render.handouts.lesson import page_part, policy, templates
from fabricsim.units import MM_PER_INCH

BROADEST_PX = 1400
"""Greatest width of a picture (chosen: sharp on a wide screen and on A4)."""
CSS_DPI = 96.0
"""CSS pixels to an inch (W3C, CSS Values and Units 4)."""
SQUARE_PX = 20.0
"""Least side of a square of a chart on a screen, CSS pixels (chosen: its symbol is as high as the words around it)."""
RIM_PX = 12
"""Paper left round a sheet that is cut down to what is on it (chosen)."""


@dataclass(frozen=True)
class Text:
    """A paragraph."""

    text: str
    strong: bool = False


@dataclass(frozen=True)
class Items:
    """A list: of remarks, or with boxes to ``tick`` off."""

    items: tuple[str, ...]
    tick: bool = False


@dataclass(frozen=True)
class TableBlock:
    """A table: ``headings`` with the side that each column is aligned to, ``bold`` which lines stand out."""

    title: str
    headings: tuple[tuple[str, Literal["left", "right"]], ...]
    lines: tuple[tuple[str, ...], ...]
    bold: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Figure:
    """A picture with its ``caption`` and, for who can't see it, ``alt``.

    ``least_px``: how wide it is shown at least, CSS pixels, where it is to be followed square by square: a screen that
    is narrower moves it sideways, beginning at its right where it is read ``from_right``. None: as wide as there is
    room.
    """

    image: Image.Image
    caption: str
    alt: str
    least_px: int | None = None
    from_right: bool = False

    @property
    def shown(self) -> tuple[int, int]:
        """Its width and height on the page, CSS pixels."""
        wide = self.least_px or self.image.width
        return wide, round(self.image.height * wide / self.image.width)


@dataclass(frozen=True)
class Figures:
    """Pictures side by side, where there is room for them."""

    figures: tuple[Figure, ...]


@dataclass(frozen=True)
class Fields:
    """Lines to write on: (what, as forecast, unit)."""

    lines: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Notes:
    """Room to write, under what is asked."""

    asked: str


Block = Text | Items | TableBlock | Figures | Fields | Notes


@dataclass(frozen=True)
class Chapter:
    """A part of the report. ``key``: its name as an address within the page."""

    key: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Report:
    """The whole page. ``about``: what it is of; ``cautions``: what to beware of, said first."""

    title: str
    about: tuple[str, ...]
    cautions: tuple[str, ...]
    chapters: tuple[Chapter, ...]
    foot: tuple[str, ...]


def report_page(report: Report) -> str:
    """Return the ``report`` as HTML. Names are escaped, whatever they hold; nothing is loaded from anywhere."""
    style = page_part("report.css")
    made = templates()
    made.filters["kind"] = lambda block: type(block).__name__
    return made.get_template("report.html.j2").render(report=report, style=Markup(style), policy=policy(style, ""))


def readable(image: Image.Image, square: float, dpi: float) -> tuple[Image.Image, int]:
    """Return a chart in print, cut down to what is on its white paper, and how wide it is to be shown, CSS pixels.

    As large as in print, so that words can be read; larger if its squares, ``square`` mm, are too small for a screen.
    """
    box = ImageChops.difference(image, Image.new("RGB", image.size, "white")).getbbox()
    if box is not None:
        image = ImageOps.expand(image.crop(box), RIM_PX, "white")
    per_dot = max(CSS_DPI, SQUARE_PX / square * MM_PER_INCH) / dpi
    wide = round(image.width * per_dot)
    image = image.copy()
    image.thumbnail((2 * wide, 100 * wide))
    return image, wide


def fitted(image: Image.Image) -> Image.Image:
    """Return a picture no broader than ``BROADEST_PX``."""
    image = image.copy()
    image.thumbnail((BROADEST_PX, 4 * BROADEST_PX))
    return image
