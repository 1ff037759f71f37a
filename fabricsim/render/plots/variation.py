"""Plots of how much a piece varies with the hands that knit it, and of what brings that in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure, FigureBase
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from fabricsim.arrays import Floats
from fabricsim.render.basics.letters import labelled
from fabricsim.render.basics.palette import BAND, GREY, HAIR, INK, LINE, PAPER, paper_figure, shares
from fabricsim.render.plots.shape import dress, head

if TYPE_CHECKING:
    from matplotlib.axes import Axes

WIDE, TALL, BARS, HEAD = 9.0, 3.9, (0.9, 0.75), 0.5
"""Width, height of the histograms, of the bars (of their edge and of each input) and of a title, inches (chosen)."""
SAME = 1e-6
"""Range below which all values are one, in the unit of the axis (chosen)."""
TONES = (LINE, "#7fa3a8", "#d08c4f")
"""Colours of bars side by side: dark, middle and warm, told apart in grey too (chosen)."""
BOX = ("whislo", "q1", "med", "q3", "whishi")
"""What matplotlib calls the five quantiles of a box with whiskers."""
FULL = 100.0
"""Per cent that all of it is."""


@dataclass(frozen=True, eq=False)
class Spreading:
    """Values to show: what they are, with their unit; as the scene is ``written``; and what 1 in 20, 1 in 4, half,
    3 in 4 and 19 in 20 lie below, ``quantile_5``."""

    label: str
    value_k: Floats
    written: float
    quantile_5: Sequence[float]


@dataclass(frozen=True, eq=False)
class VarianceShares:
    """Per cent of the spread of every output that each input brings in, (outputs, inputs), and the errors of that."""

    inputs: Sequence[str]
    outputs: Sequence[str]
    percent: Floats
    error: Floats


def variation_figure(spreadings: Sequence[Spreading], bars: VarianceShares | None, title: str) -> Figure:
    """Return histograms side by side, each with its box from 1 in 4 to 3 in 4 and whiskers from 1 in 20 to 19 in 20,
    and below them the ``bars``, if any."""
    below = BARS[0] + BARS[1] * len(bars.inputs) if bars is not None else 0.0
    figure = paper_figure((WIDE, TALL + HEAD + below), constrained=True)
    head(figure, title, 0.02)
    above: FigureBase = figure
    if bars is not None:
        grid = figure.add_gridspec(2, 1, height_ratios=[TALL + HEAD, below])
        above, under = figure.add_subfigure(grid[0]), figure.add_subfigure(grid[1])
        for part in (above, under):
            part.set_facecolor(shares(PAPER))
        _bars(under.add_subplot(), bars)
    axes_of = above.subplots(1, len(spreadings), squeeze=False)[0]
    for axes, one in zip(axes_of, spreadings, strict=True):
        _histogram(axes, one)
    axes_of[0].set_ylabel("pieces")
    handles, labels = axes_of[0].get_legend_handles_labels()
    handles += [Patch(facecolor=BAND, edgecolor=LINE, lw=2.0), Line2D([], [], color=LINE, marker="|")]
    labels += ["box: half of them", "line: nine in ten"]
    above.legend(handles, labels, loc="outside lower center", ncols=4, frameon=False, fontsize=9, labelcolor=INK)
    return figure


def _histogram(axes: Axes, one: Spreading) -> None:
    axes.set_facecolor("none")
    dress(axes)
    value_k = np.asarray(one.value_k)
    middle, reach = float(value_k.mean()), float(np.ptp(value_k))
    edges = np.linspace(middle - 0.05, middle + 0.05, 2) if reach < SAME else np.histogram_bin_edges(value_k, "auto")
    count_b, _, _ = axes.hist(value_k, edges.tolist(), color=BAND, edgecolor=LINE, lw=0.8, label="pieces")
    most = float(np.max(count_b))
    axes.bxp(
        [dict(zip(BOX, one.quantile_5, strict=True))],
        orientation="horizontal",
        positions=[1.17 * most],
        widths=[0.12 * most],
        showfliers=False,
        manage_ticks=False,
        patch_artist=True,
        boxprops={"facecolor": BAND, "edgecolor": LINE},
        medianprops={"color": LINE, "lw": 2.0},
        whiskerprops={"color": LINE},
        capprops={"color": LINE},
    )
    axes.axvline(one.written, color=GREY, lw=1.2, ls=(0, (4, 3)), label="every float alike")
    axes.set_ylim(0.0, 1.3 * most)
    axes.yaxis.set_major_locator(MaxNLocator(integer=True))
    axes.set_xlabel(one.label)


def _bars(axes: Axes, bars: VarianceShares) -> None:
    axes.set_facecolor("none")
    dress(axes, "Where the uncertainty comes from")
    place_i = np.arange(len(bars.inputs))[::-1]
    thick = 0.8 / len(bars.outputs)
    for number, (name, percent_i, error_i) in enumerate(zip(bars.outputs, bars.percent, bars.error, strict=True)):
        at_i = place_i + 0.4 - thick * (number + 0.5)
        shown_i = np.clip(percent_i, 0.0, FULL)
        around = np.stack([np.minimum(error_i, shown_i), np.minimum(error_i, FULL - shown_i)])
        axes.barh(at_i, shown_i, 0.85 * thick, color=TONES[number % len(TONES)], label=name)
        axes.errorbar(shown_i, at_i, xerr=around, fmt="none", ecolor=INK, elinewidth=0.9, capsize=2.0)
    axes.set_yticks(place_i, [labelled(name) for name in bars.inputs])
    axes.tick_params(axis="y", length=0, labelcolor=INK)
    axes.set_xlim(0.0, FULL)
    axes.set_xlabel("per cent of the uncertainty (variance) that would go if this were known")
    axes.grid(axis="x", color=HAIR, lw=0.6, alpha=0.6)
    axes.set_axisbelow(True)
    axes.legend(loc="lower right", frameon=False, fontsize=9, labelcolor=INK)
