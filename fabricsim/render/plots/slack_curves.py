"""Draw-in and pucker against slack: a line for every other setting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from fabricsim.lengths import fine_per_unit, fine_unit
from fabricsim.render.basics.letters import labelled
from fabricsim.render.basics.palette import HAIR, INK, PAPER, paper_figure, shares
from fabricsim.render.plots.shape import dress, head
from fabricsim.units import MM

COLOURS = ("#27536b", "#c8553d", "#7a9e3f", "#8a5a9e", "#d39a2c", "#3f9c94")
"""Colours of the lines (chosen: of different lightness, so that they stay apart in grey)."""
MARKERS, DASHES = ("o", "s", "^", "D", "v", "P"), ("-", (0, (5, 2)))
"""What tells lines apart beside colour: the shape of the points, and beyond six lines the dashes."""
WIDE, TALL, LEGEND_LINE = 9.6, 4.4, 0.24
"""Width, height without the legend, and height of a line of it, inches (chosen)."""
CLOSEST = 0.08
"""Least share of the axis between two settings that each have a tick of their own (chosen: their numbers stand side by
side)."""
LEAST_DRAW_IN, LEAST_PUCKER = 1.0, 1.0
"""Least end of the axes, per cent and mm: what is flat must look flat (chosen)."""


@dataclass(frozen=True)
class SlackCurve:
    """A line: its ``label``, and for each slack, per cent, the draw-in, per cent, and the pucker, mm; None: no rest."""

    label: str
    slack: Sequence[float]
    draw_in: Sequence[float | None]
    pucker: Sequence[float | None]


def curves_figure(curves: Sequence[SlackCurve], title: str, slack_word: str) -> Figure:
    """Return two plots side by side, the draw-in and the pucker against slack; a setting without rest is a gap."""
    columns = 1 if max(len(curve.label) for curve in curves) > 64 else 2
    lines = 0 if len(curves) == 1 and not curves[0].label else ceil(len(curves) / columns)
    figure = paper_figure((WIDE, TALL + LEGEND_LINE * lines), constrained=True)
    head(figure, title, 0.012, 14.0)
    left, right = figure.subplots(1, 2)
    spoken = MM / fine_per_unit()
    for axes, name, least, per in (
        (left, "draw_in", LEAST_DRAW_IN, 1.0),
        (right, "pucker", LEAST_PUCKER * spoken, spoken),
    ):
        axes.set_facecolor(shares(PAPER))
        dress(axes)
        for number, curve in enumerate(curves):
            values = [float("nan") if value is None else value * per for value in getattr(curve, name)]
            axes.plot(
                curve.slack,
                values,
                color=COLOURS[number % len(COLOURS)],
                marker=MARKERS[number % len(MARKERS)],
                ls=DASHES[number // len(COLOURS) % len(DASHES)],
                # what lies on top of another is finer, so that both are seen
                ms=7.5 - 4.0 * number / len(curves),
                lw=3.2 - 2.2 * number / len(curves),
                label=labelled(curve.label),
                clip_on=False,
            )
        found = [value * per for curve in curves for value in getattr(curve, name) if value is not None]
        axes.set_ylim(1.05 * min([0.0, *found]), 1.05 * max([least, *found]))
        axes.set_xlabel(f"{labelled(slack_word)}, % (tight to loose)")
        _ticks(axes, sorted({slack for curve in curves for slack in curve.slack}))
        axes.grid(color=HAIR, lw=0.6, alpha=0.6)
    left.set_title("Draw-in, % of the width", loc="left", color=INK, fontsize=10)
    right.set_title(f"Pucker, {fine_unit()} from peak to valley", loc="left", color=INK, fontsize=10)
    if lines:
        handles, labels = left.get_legend_handles_labels()
        figure.legend(
            handles, labels, loc="outside lower left", ncols=columns, frameon=False, fontsize=9, labelcolor=INK
        )
    return figure


def _ticks(axes: Axes, slacks: Sequence[float]) -> None:
    """Put a tick at every one of the ``slacks``, or at every second and so on, so that their numbers stand apart."""
    for step in range(1, len(slacks)):
        ticks = slacks[::-1][::step][::-1]
        if all(later - one >= CLOSEST * (slacks[-1] - slacks[0]) for one, later in pairwise(ticks)):
            axes.set_xticks(ticks, [f"{slack:g}".replace("-", "\N{MINUS SIGN}") for slack in ticks])
            return
