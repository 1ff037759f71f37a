"""A figure on which a pixel is a pixel: lines, letters, dimensions and scales beside a drawing true to scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from matplotlib.figure import Figure

from fabricsim.arrays import Floats
from fabricsim.lengths import long_plain
from fabricsim.render.basics.letters import PLOT_FAMILIES, TEXT, TITLE, font, printable, shortened
from fabricsim.render.basics.palette import GREY, HAIR, INK, Colour, paper_figure
from fabricsim.render.basics.scale import ColourScale
from fabricsim.render.layout.sheet import EDGE, SCALE_SHARE, UNIT_WIDTH, scale_length

TITLE_SIZE, TEXT_SIZE, SMALL_SIZE = 40.0, 25.0, 22.0
"""Sizes of letters on a figure 1200 px wide, px (chosen: legible on a phone, and 10 point on paper as wide as A4)."""
TITLE_DOWN, NEXT_DOWN = 62.0, 38.0
"""How far the title stands below the top, and the line under it below that, likewise (chosen)."""
FOOT, FOOT_MIDDLE = 132.0, 62.0
"""Height of the foot and of the scales in it, likewise (chosen)."""
PART_WIDE, BAR_HIGH, OVERHANG = 300.0, 22.0, 40.0
"""Size of a part of the scale of colours, and room for the end of its last tick's text, likewise (chosen)."""
STROKE, TICK = 2.2, 8.0
"""Thickness of a dimension and half the length of its ticks, likewise (chosen)."""


@dataclass(frozen=True)
class Canvas:
    """A figure whose data are px: ``per_px`` m of fabric in each, ``unit`` of them to one of a figure 1200 px wide."""

    figure: Figure
    per_px: float
    unit: float
    wide: int
    tall: int

    def points(self, px: float) -> float:
        """Return px as the points that matplotlib counts in."""
        return px * 72.0 / float(self.figure.dpi)

    def line(
        self,
        path_kc: Sequence[Sequence[float]] | Floats,
        width: float,
        colour: Colour = INK,
        *,
        dashed: bool = False,
        order: float = 2.0,
        ends: Literal["butt", "round"] = "butt",
    ) -> None:
        """Draw a line, of units of ``width``, over whatever is of a lower ``order``."""
        x, y = np.asarray(path_kc, dtype=np.float64).T
        style: Any = (0, (4, 3)) if dashed else "-"
        self.figure.axes[0].plot(
            x, y, color=colour, lw=self.points(width * self.unit), ls=style, zorder=order, solid_capstyle=ends
        )

    def text(self, x: float, y: float, text: str, size: float = TEXT_SIZE, colour: Colour = INK, **how: Any) -> None:
        """Write ``text`` of so many units; ``how`` is matplotlib's."""
        points = self.points(size * self.unit)
        self.figure.axes[0].text(
            x, y, printable(text, (*TITLE, *TEXT)), color=colour, fontsize=points, parse_math=False, **how
        )

    def beside(self, x: float, y: float, text: str, colour: Colour, weight: str = "normal") -> None:
        """Write ``text`` in the middle of a line, which makes room for it."""
        box = {"facecolor": self.figure.get_facecolor(), "edgecolor": "none", "pad": self.points(6.0 * self.unit)}
        how = {"ha": "center", "va": "center_baseline", "bbox": box, "fontweight": weight}
        self.text(x, y, text, TEXT_SIZE, colour, **how, zorder=6.0)

    def bracket(self, left: float, right: float, y: float, colour: Colour = INK, *, dashed: bool = False) -> None:
        """Draw a dimension from ``left`` to ``right`` with its ticks."""
        self.line([[left, y], [right, y]], STROKE, colour, dashed=dashed)
        for x in (left, right):
            self.line([[x, y - TICK * self.unit], [x, y + TICK * self.unit]], STROKE, colour)

    def title(self, title: str, under: str) -> None:
        """Write the title, as far as there is room, and a line under it."""
        edge, y = EDGE * self.wide, self.tall - TITLE_DOWN * self.unit
        text = shortened(title, TITLE_SIZE * self.unit, TITLE, self.wide - 2.0 * edge)
        family = font(text, TITLE_SIZE * self.unit, TITLE).getname()[0]
        self.text(edge, y, text, TITLE_SIZE, fontfamily=[family, *PLOT_FAMILIES])
        self.text(edge, y - NEXT_DOWN * self.unit, under, SMALL_SIZE, GREY)

    def foot(self, scale: ColourScale) -> None:
        """Draw the foot of the figure: how long a centimetre is, and what the colours mean."""
        edge, unit, y = EDGE * self.wide, self.unit, FOOT_MIDDLE * self.unit
        self.line([[edge, FOOT * unit], [self.wide - edge, FOOT * unit]], 1.2, HAIR)
        length = scale_length(SCALE_SHARE * self.wide * self.per_px)
        end = edge + length / self.per_px
        self.bracket(edge, end, y)
        self.text(end + 14.0 * unit, y, f"{long_plain(length)}", va="center_baseline")
        wide, half = PART_WIDE * (2 if all(scale.ends) else 1) * unit, 0.5 * BAR_HIGH * unit
        left = self.wide - edge - OVERHANG * unit - wide
        self.figure.axes[0].imshow(
            np.asarray(scale.colours_k3)[None] / 255.0,
            extent=(left, left + wide, y - half, y + half),
            aspect="auto",
            interpolation="nearest",
        )
        for place, text in scale.ticks:
            x = left + place * wide
            self.line([[x, y - half], [x, y - half - 6.0 * unit]], 1.5, GREY)
            self.text(x, y - half - 10.0 * unit, text, SMALL_SIZE, GREY, ha="center", va="top")
        for place, align, text in ((0.0, "left", scale.ends[0]), (1.0, "right", scale.ends[1])):
            self.text(left + place * wide, y + half + 12.0 * unit, text, SMALL_SIZE, ha=align)
        self.text(left + 0.5 * wide, y + half + 12.0 * unit, scale.label, SMALL_SIZE, ha="center")


def canvas(wide: int, tall: int, dpi: float, per_px: float) -> Canvas:
    """Return an empty figure of exactly so many px on the pages' paper."""
    figure = paper_figure((wide / dpi, tall / dpi), dpi=dpi)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0), xlim=(0.0, wide), ylim=(0.0, tall), autoscale_on=False)
    axes.set_axis_off()
    return Canvas(figure, per_px, wide / UNIT_WIDTH, wide, tall)
