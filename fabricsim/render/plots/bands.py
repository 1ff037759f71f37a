"""A plot of how wide a piece lies row by row, before and after its bands are evened out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from fabricsim.arrays import ArrayRecord, Floats
from fabricsim.lengths import long_per_unit, long_unit
from fabricsim.render.basics.palette import BAND, GREY, HAIR, INK, LINE, PAPER, paper_figure, shares
from fabricsim.render.plots.shape import dress

SIZE = (7.2, 5.6)
"""Width and height, inches (chosen: as tall as a piece of fifty rows needs)."""
AFTER = ("#b8563b", "#5f8a4c", "#8a6a9e", "#a8862f")
"""Colours of the lines after, apart from one another and from the line before (chosen), each with its own dashes."""
DASHES = ("-", (0, (6, 2)), (0, (2, 1.5)), (0, (6, 2, 1.5, 2)))
"""Dashes of those lines, so that they are told apart without colour too (chosen)."""


@dataclass(frozen=True, eq=False)
class WidthLine(ArrayRecord):
    """A ``name`` and the width of every row, (rows,) m, row 1 first."""

    name: str
    width_i: Floats


@dataclass(frozen=True)
class BandShown:
    """A band's ``name`` and its ``rows`` in the piece, from 0, of all repeats up."""

    name: str
    rows: Sequence[int]


def bands_figure(
    lines: Sequence[WidthLine],
    bands: Sequence[BandShown],
    plain: float,
    *,
    likely: Sequence[tuple[float, float]] | None = None,
    row_word: str = "row",
    title: str = "",
) -> Figure:
    """Return the plot; the first of the ``lines`` is the piece as it is. ``plain``: the width without floats, m;
    ``likely``: between what the width of each row is likely to lie as it is, m."""
    figure = paper_figure(SIZE, constrained=True)
    axes = figure.add_subplot(facecolor=shares(PAPER))
    dress(axes, title)
    rows = np.arange(1, len(lines[0].width_i) + 1)
    for band in bands:
        for _, run in groupby(enumerate(band.rows), key=lambda one: one[1] - one[0]):
            there = [row for _, row in run]
            axes.axhspan(there[0] + 0.5, there[-1] + 1.5, color=HAIR, alpha=0.25, lw=0)
            middle = 0.5 * (there[0] + there[-1]) + 1.0
            axes.annotate(
                band.name,
                (0.0, middle),
                xycoords=("axes fraction", "data"),
                xytext=(6, 0),
                textcoords="offset points",
                va="center",
                color=GREY,
                fontsize=8.5,
            )
    if likely is not None:
        low, high = (np.array(ends) / long_per_unit() for ends in zip(*likely, strict=True))
        axes.fill_betweenx(rows, low, high, color=BAND, lw=0, label="likely by hand, as it is")
    axes.axvline(plain / long_per_unit(), color=GREY, lw=1.2, ls=(0, (4, 3)), label="without floats")
    for number, line in enumerate(lines):
        colour = LINE if number == 0 else AFTER[(number - 1) % len(AFTER)]
        dashes = "-" if number == 0 else DASHES[(number - 1) % len(DASHES)]
        width = 2.4 if number == 0 else 1.8
        axes.plot(line.width_i / long_per_unit(), rows, color=colour, ls=dashes, lw=width, label=line.name)
    left, right = axes.get_xlim()
    axes.set_xlim(left - 0.22 * (right - left), right)  # room for the names of the bands
    axes.set_ylim(0.5, len(rows) + 0.5)
    axes.yaxis.set_major_locator(MaxNLocator(integer=True))
    axes.set_xlabel(f"width, {long_unit()}")
    axes.set_ylabel(row_word)
    axes.grid(axis="x", color=HAIR, lw=0.6, alpha=0.6)
    figure.legend(loc="outside lower center", ncols=2, frameon=False, fontsize=9, labelcolor=INK)
    return figure
