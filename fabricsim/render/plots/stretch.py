"""Load against stretch, across beside up, at one scale: how far the fabric gives, and where its floats stop it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.figure import Figure

from fabricsim import units
from fabricsim.arrays import Floats
from fabricsim.lengths import long_plain
from fabricsim.render.basics.palette import BAND, GREY, HAIR, INK, LINE, PAPER, paper_figure, shares
from fabricsim.render.plots.shape import dress, head

SIZE = (9.0, 4.6)
"""Width and height, inches (chosen)."""
ROOM = 1.06
"""Room beyond the ends of the curves, times their range (chosen)."""


@dataclass(frozen=True, eq=False)
class Pulled:
    """One direction: ``stretch_p`` (p,), shares, under ``load_p`` (p,), N/m.

    ``plain_p`` (p,): that of plain fabric, None where there are no floats to tell it from; ``low_p``, ``high_p`` (p,):
    the likely range, or None; ``first_taut``: the stretch and load at which the first float goes taut, or None.
    """

    title: str
    load_p: Floats
    stretch_p: Floats
    plain_p: Floats | None = None
    low_p: Floats | None = None
    high_p: Floats | None = None
    first_taut: tuple[float, float] | None = None


def stretch_curves(ways: Sequence[Pulled], strip: float, title: str = "") -> Figure:
    """Return the curves of several directions side by side; ``strip``: its width (m), for loads in grams."""
    figure = paper_figure(SIZE, constrained=True)
    if title:
        head(figure, title, 0.01)
    every = figure.subplots(1, len(ways), sharex=True, sharey=True, squeeze=False)[0]
    grams = strip / units.GRAVITY / units.GRAM
    for axes, way in zip(every, ways, strict=True):
        axes.set_facecolor(shares(PAPER))
        dress(axes)
        axes.tick_params(labelleft=True)
        axes.set_title(way.title, loc="left", color=INK, fontsize=10.5)
        if way.low_p is not None and way.high_p is not None:
            axes.fill_betweenx(
                way.load_p, 100.0 * way.low_p, 100.0 * way.high_p, color=BAND, label="likely range", lw=0
            )
        if way.plain_p is not None:
            plain = "plain fabric, without floats"
            axes.plot(100.0 * way.plain_p, way.load_p, color=GREY, lw=1.2, ls=(0, (4, 3)), label=plain)
        what = "forecast" if way.plain_p is None else "with its floats"
        axes.plot(100.0 * way.stretch_p, way.load_p, color=LINE, lw=2.0, label=what)
        if way.first_taut is not None:
            stretch, load = way.first_taut
            axes.plot([100.0 * stretch], [load], "o", color=LINE, ms=6, label="first floats go taut", zorder=3)
        axes.set_xlabel("longer than at rest, %")
        axes.grid(color=HAIR, lw=0.6, alpha=0.6)
        hung = axes.secondary_yaxis("right", functions=(lambda y: y * grams, lambda y: y / grams))
        hung.tick_params(colors=GREY, labelsize=9)
        hung.spines["right"].set_color(HAIR)
    every[0].set_ylabel("pull, N per m of width")
    hung.set_ylabel(f"grams hung from a strip {long_plain(strip)} wide", color=GREY, fontsize=9)
    most = [
        100.0 * float(np.nanmax(part))
        for way in ways
        for part in (way.stretch_p, way.plain_p, way.high_p)
        if part is not None
    ]
    every[0].set_xlim(0.0, ROOM * max(most))
    every[0].set_ylim(0.0, ROOM * max(float(way.load_p[-1]) for way in ways))
    labelled = {
        label: handle for axes in every for handle, label in zip(*axes.get_legend_handles_labels(), strict=True)
    }
    figure.legend(
        labelled.values(),
        labelled.keys(),
        loc="outside lower center",
        ncols=4,
        frameon=False,
        fontsize=9,
        labelcolor=INK,
    )
    return figure
