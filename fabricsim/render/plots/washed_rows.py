"""Plot of a washed piece row by row: how wide off the needles, after the wash, how far it can follow, and its pins."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from fabricsim.arrays import Floats
from fabricsim.lengths import long_per_unit, long_unit
from fabricsim.render.basics.palette import BAND, GREY, HAIR, INK, LINE, PAPER, paper_figure, shares
from fabricsim.render.plots.shape import LEAST_SPARE, PROFILE_SIZE, SPARE, dress

MADDER = "#b8563b"
"""Of what holds it back (the colour of long floats on the pages)."""


def washed_rows(
    before_r: Floats,
    washed_r: Floats,
    plain_r: Floats,
    follows_r: Floats,
    *,
    pinned_r: Floats | None = None,
    row_word: str = "row",
    first_row: int = 1,
    title: str = "",
) -> Figure:
    """Return the width of every row, in cm: ``before_r`` and ``washed_r`` off its pins, ``plain_r`` of plain fabric
    washed, ``follows_r`` how far its floats let it follow that, each (rows,) float, m.

    ``pinned_r`` (rows,) m: on its pins, if it is pinned: once they are out each row lies between that and its own.
    ``row_word``, ``first_row``: what a row is called, and the number of the first.
    """
    figure = paper_figure(PROFILE_SIZE, constrained=True)
    axes = figure.add_subplot(facecolor=shares(PAPER))
    dress(axes, title)
    row_r = np.clip(np.arange(len(washed_r) + 2.0), 0.5, len(washed_r) + 0.5) + (first_row - 1)

    def reaching(value_r: Floats) -> Floats:
        return np.pad(np.asarray(value_r) / long_per_unit(), 1, mode="edge")

    if pinned_r is not None:
        low_r, high_r = np.minimum(washed_r, pinned_r), np.maximum(washed_r, pinned_r)
        axes.fill_betweenx(row_r, reaching(low_r), reaching(high_r), color=BAND, label="once the pins are out", lw=0)
    axes.plot(reaching(plain_r), row_r, color=GREY, lw=1.2, ls=(0, (4, 3)), label="plain fabric, washed")
    axes.plot(reaching(before_r), row_r, color=GREY, lw=1.4, label="off the needles")
    axes.plot(reaching(washed_r), row_r, color=LINE, lw=2.0, label="washed")
    axes.plot(reaching(follows_r), row_r, color=MADDER, lw=1.2, ls=(0, (1, 1.5)), label="as far as floats let it")
    shown = [one for one in (before_r, washed_r, plain_r, follows_r, pinned_r) if one is not None]
    lowest, highest = (
        end / long_per_unit() for end in (min(float(a.min()) for a in shown), max(float(a.max()) for a in shown))
    )
    spare = max(SPARE * (highest - lowest), LEAST_SPARE * highest)
    axes.set_xlim(lowest - spare, highest + spare)
    axes.set_ylim(row_r[0], row_r[-1])
    axes.yaxis.set_major_locator(MaxNLocator(integer=True))
    axes.set_xlabel(f"width, {long_unit()}")
    axes.set_ylabel(row_word)
    axes.grid(axis="x", color=HAIR, lw=0.6, alpha=0.6)
    figure.legend(loc="outside lower center", ncols=3, frameon=False, fontsize=9, labelcolor=INK)
    return figure
