"""A chart with what its floats cost of the width, row by row, and what its squares in another yarn would free."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle

from fabricsim.arrays import Floats
from fabricsim.design.scene.chart import Rows
from fabricsim.render.basics.palette import GREY, HAIR, INK, LINE, PAPER, paper_figure, rgb, shares
from fabricsim.render.basics.scale import pull_colours, step_of
from fabricsim.render.plots.shape import dress, head

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_INCHES, LEAST_INCHES, SQUARE = 6.5, 3.0, 0.26
"""Size of a chart at the most and the least, and of a square that fits, inches (chosen)."""
BARS, ROOM = 1.5, 1.5
"""Width of the bars beside the chart, and what title and legend take of the height, inches (chosen)."""
MUTED = 0.55
"""Share of paper in the colours of squares, so that what is drawn on them counts (chosen)."""
FREES, COSTS = LINE, "#b5541f"
"""Colours of discs: blue for width that comes back, orange for more that goes (chosen: told apart in grey and with
every common colour blindness by being full and hollow)."""


@dataclass(frozen=True)
class CostedFloat:
    """A float of the chart: its ``row``, the ``column`` at its left end, the ``gap`` that it passes behind, its
    ``yarn``, and its share of the loss."""

    row: int
    column: int
    gap: int
    yarn: int
    share: float


@dataclass(frozen=True, eq=False)
class CostsShown:
    """What is drawn: the chart and the yarns' ``colours``; ``floats`` and ``rows`` with their shares of the loss;
    ``squares``: the share of the width that comes back in the yarn that frees the most, and that yarn; ``word``: what a
    row is called."""

    yarn_ij: Rows
    colours: Sequence[str]
    floats: Sequence[CostedFloat]
    rows: Mapping[int, float]
    squares: Mapping[tuple[int, int], tuple[float, int]]
    word: str


def costs_figure(shown: CostsShown, title: str) -> Figure:
    """Return the chart twice: with its floats by what they cost and bars of the rows, and with discs on its squares."""
    rows, wide = len(shown.yarn_ij), len(shown.yarn_ij[0])
    side = min(SQUARE, MOST_INCHES / max(rows, wide))
    width, height = (max(LEAST_INCHES, side * n) for n in (wide, rows))
    figure = paper_figure((2.0 * width + BARS + 1.0, height + ROOM), constrained=True)
    head(figure, title, 0.02)
    costly, bars, freeing = figure.subplots(1, 3, width_ratios=[width, BARS, width])
    _floats(costly, shown)
    _bars(bars, shown, costly)
    _squares(freeing, shown)
    return figure


def _chart(axes: Axes, shown: CostsShown, title: str) -> None:
    rows, wide = len(shown.yarn_ij), len(shown.yarn_ij[0])
    paper = np.array(shares(PAPER))
    rgb_y3 = np.array([MUTED * paper + (1.0 - MUTED) * np.array(shares(rgb(one))) for one in shown.colours])
    axes.pcolormesh(
        np.arange(wide + 1), np.arange(rows + 1), rgb_y3[np.array(shown.yarn_ij)], edgecolors=HAIR, linewidth=0.4
    )
    axes.set_xlim(0, wide)
    axes.set_ylim(0, rows)
    axes.set_aspect("equal")
    dress(axes, title)
    axes.set_facecolor("none")
    for spine in axes.spines.values():
        spine.set_visible(False)
    axes.tick_params(length=0)
    every = max(1, wide // 12)
    axes.set_xticks([wide - n + 0.5 for n in range(1, wide + 1, every)], [str(n) for n in range(1, wide + 1, every)])
    axes.set_xlabel("stitch, from the right")
    step = max(1, rows // 16)
    axes.set_yticks([n - 0.5 for n in range(1, rows + 1, step)], [str(n) for n in range(1, rows + 1, step)])


def _floats(axes: Axes, shown: CostsShown) -> None:
    """Draw the floats of each row as lines, ever darker and thicker by what they cost."""
    _chart(axes, shown, "floats by what they cost")
    axes.set_ylabel(shown.word)
    wide = len(shown.yarn_ij[0])
    most = max((one.share for one in shown.floats), default=0.0)
    lines, colours, thick = [], [], []
    ramp_k3: Floats = pull_colours() / 255.0
    yarns = {row: sorted({one.yarn for one in shown.floats if one.row == row}) for row in shown.rows}
    for one in sorted(shown.floats, key=lambda one: one.share):
        level = (yarns[one.row].index(one.yarn) + 1.0) / (len(yarns[one.row]) + 1.0)
        left = one.column + 0.5
        for turn in (0, -wide) if one.column + one.gap + 1 >= wide else (0,):
            lines.append([(left + turn, one.row + level), (left + turn + one.gap + 1, one.row + level)])
            colours.append(ramp_k3[step_of(max(one.share, 0.0), most)])
            thick.append(0.6 + 2.6 * (max(one.share, 0.0) / most if most > 0.0 else 0.0))
    axes.add_collection(LineCollection(lines, colors=colours, linewidths=thick, capstyle="butt"))


def _bars(axes: Axes, shown: CostsShown, beside: Axes) -> None:
    """Draw what each row costs, beside it."""
    dress(axes, "of the loss")
    axes.set_facecolor("none")
    rows = sorted(shown.rows)
    axes.barh([row + 0.5 for row in rows], [100.0 * shown.rows[row] for row in rows], 0.8, color=COSTS, alpha=0.85)
    axes.set_ylim(beside.get_ylim())
    axes.set_yticks([])
    axes.set_xlabel("per cent")
    axes.set_box_aspect(len(shown.yarn_ij) / max(1.0, BARS / _side(shown)))


def _side(shown: CostsShown) -> float:
    return min(SQUARE, MOST_INCHES / max(len(shown.yarn_ij), len(shown.yarn_ij[0])))


def _squares(axes: Axes, shown: CostsShown) -> None:
    """Draw a disc on every square, as large as what it would free in another yarn; a ring where it would cost."""
    _chart(axes, shown, "squares in the other yarn")
    most = max((abs(freed) for freed, _ in shown.squares.values()), default=0.0)
    if most > 0.0:
        for (row, column), (freed, _) in shown.squares.items():
            radius = 0.46 * float(np.sqrt(abs(freed) / most))
            full = freed > 0.0
            colour = FREES if full else COSTS
            face = colour if full else "none"
            axes.add_patch(Circle((column + 0.5, row + 0.5), radius, facecolor=face, edgecolor=colour, lw=0.9))
    best = max((freed for freed, _ in shown.squares.values()), default=0.0)
    largest = f" (the most {100.0 * best:.2f} %)" if best > 0.0 else ""
    marks = [
        Line2D([], [], ls="", marker="o", color=FREES, label=f"would give width back{largest}"),
        Line2D([], [], ls="", marker="o", markerfacecolor="none", color=COSTS, label="would cost more"),
    ]
    axes.figure.legend(
        handles=marks, loc="outside lower right", ncols=2, frameon=False, fontsize=9, labelcolor=INK
    ).set_zorder(3)
    axes.tick_params(labelcolor=GREY)
