"""Plot of a washed piece row by row: how wide off the needles, after the wash, how far it can follow, and its pins."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from fabricsim.arrays import Floats
from fabricsim.lengths import long_per_unit
from fabricsim.render.basics.palette import BAND, GREY, LINE
from fabricsim.render.plots.shape import PROFILE_SIZE, by_row, plot_figure, reaching, row_edges

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
    figure, axes = plot_figure(PROFILE_SIZE, title)
    row_r = row_edges(len(washed_r), first_row)
    if pinned_r is not None:
        low_r, high_r = np.minimum(washed_r, pinned_r), np.maximum(washed_r, pinned_r)
        axes.fill_betweenx(row_r, reaching(low_r), reaching(high_r), color=BAND, label="once the pins are out", lw=0)
    axes.plot(reaching(plain_r), row_r, color=GREY, lw=1.2, ls=(0, (4, 3)), label="plain fabric, washed")
    axes.plot(reaching(before_r), row_r, color=GREY, lw=1.4, label="off the needles")
    axes.plot(reaching(washed_r), row_r, color=LINE, lw=2.0, label="washed")
    axes.plot(reaching(follows_r), row_r, color=MADDER, lw=1.2, ls=(0, (1, 1.5)), label="as far as floats let it")
    shown = [one for one in (before_r, washed_r, plain_r, follows_r, pinned_r) if one is not None]
    ends = min(float(a.min()) for a in shown), max(float(a.max()) for a in shown)
    by_row(figure, axes, row_r, (ends[0] / long_per_unit(), ends[1] / long_per_unit()), row_word)
    return figure
