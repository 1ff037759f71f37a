"""A sheet of paper: places in mm from its top left, whatever is written, drawn or pasted on it."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, PathPatch, Rectangle
from matplotlib.path import Path
from matplotlib.transforms import Affine2D
from PIL import Image

from fabricsim.render.basics.letters import PLOT_FAMILIES, PLOTTED, TEXT, printable, wrapped
from fabricsim.render.basics.palette import HAIR, INK, WHITE, Colour, shares
from fabricsim.units import MM_PER_INCH

A4 = (210.0, 297.0)
"""Width and height of an upright sheet, mm: ISO 216."""
DPI = 300.0
"""Dots per inch of the pictures (common practice in print)."""
POINT = MM_PER_INCH / 72.0
"""One point, mm (derived)."""
FINE = 10.0
"""Letters are measured so many times as large, as their width is counted in whole pixels (chosen)."""
LINE = 4.1
"""Height of a line of text, mm (chosen)."""
PaperPlace = tuple[float, float]
"""Right and down from the top left of a sheet, mm."""
SIDES = {"left": "left", "right": "right", "middle": "center"}
"""Where a text lies from its place, and what matplotlib calls it."""


def blank(size: tuple[float, float]) -> Figure:
    """Return an empty figure as large as a sheet of this width and height, mm."""
    return Figure(figsize=(size[0] / MM_PER_INCH, size[1] / MM_PER_INCH), dpi=DPI, facecolor=shares(WHITE))


class Paper:
    """A figure on which places are mm from its top left; without one, everything is measured and nothing written."""

    def __init__(self, figure: Figure | None, size: tuple[float, float]) -> None:
        self.figure = figure
        self.wide, self.tall = size

    def write(
        self,
        left: float,
        base: float,
        text: str,
        size: float,
        colour: str = INK,
        *,
        title: bool = False,
        side: str = "left",
    ) -> None:
        """Write one line with its base line at ``base``; ``left`` is its left, right or middle, as ``side`` says."""
        if self.figure is None:
            return
        self.figure.text(
            left / self.wide,
            1.0 - base / self.tall,
            printable(text, PLOTTED if title else TEXT),
            fontsize=size,
            color=colour,
            fontfamily=PLOT_FAMILIES if title else PLOT_FAMILIES[1:],
            ha=SIDES[side],
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

    def paste(self, image: Image.Image, middle: float, centre: float) -> None:
        """Put a picture with its middle at a place, a dot of it on a dot of the paper."""
        if self.figure is None:
            return
        wide, tall = image.width * MM_PER_INCH / DPI, image.height * MM_PER_INCH / DPI
        low, left = 1.0 - (centre + 0.5 * tall) / self.tall, (middle - 0.5 * wide) / self.wide
        axes = self.figure.add_axes((left, low, wide / self.wide, tall / self.tall))
        axes.imshow(np.asarray(image), interpolation="none", aspect="auto")
        axes.set_axis_off()

    def line(self, begin: PaperPlace, end: PaperPlace, colour: str = HAIR, thick: float = 0.5) -> None:
        """Draw a line between two places, ``thick`` points."""
        if self.figure is not None:
            x, y = [begin[0] / self.wide, end[0] / self.wide], [1.0 - begin[1] / self.tall, 1.0 - end[1] / self.tall]
            self.figure.add_artist(Line2D(x, y, color=colour, lw=thick, transform=self.figure.transFigure))

    def fill(
        self,
        left: float,
        top: float,
        wide: float,
        tall: float,
        colour: Colour,
        edge: Colour = "none",
        thick: float = 0.5,
    ) -> None:
        """Fill a rectangle, its top left corner at a place, with an edge ``thick`` points."""
        if self.figure is not None:
            corner = left / self.wide, 1.0 - (top + tall) / self.tall
            size = wide / self.wide, tall / self.tall
            self.figure.add_artist(
                Rectangle(corner, *size, facecolor=colour, edgecolor=edge, lw=thick, transform=self.figure.transFigure)
            )

    def shape(self, outline: Path, x: float, y: float, size: float, colour: Colour) -> None:
        """Fill an outline about its origin, ``size`` mm to one of its units, at a place."""
        if self.figure is not None:
            to_inches = Affine2D().scale(size / MM_PER_INCH).translate(x / MM_PER_INCH, (self.tall - y) / MM_PER_INCH)
            self.figure.add_artist(
                PathPatch(outline, facecolor=colour, lw=0, transform=to_inches + self.figure.dpi_scale_trans)
            )

    def ring(self, x: float, y: float, across: float, thick: float) -> None:
        """Draw a ring about a place, ``across`` and ``thick`` mm."""
        if self.figure is not None:
            to_inches = Affine2D().translate(x / MM_PER_INCH, (self.tall - y) / MM_PER_INCH)
            self.figure.add_artist(
                Circle(
                    (0.0, 0.0),
                    0.5 * across / MM_PER_INCH,
                    facecolor="none",
                    edgecolor=INK,
                    lw=thick / POINT,
                    transform=to_inches + self.figure.dpi_scale_trans,
                )
            )
