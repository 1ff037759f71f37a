"""The schematic: the piece lying flat, part by part, with its measures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.figure import Figure

from fabricsim.lengths import long
from fabricsim.render.basics.palette import BAND, GREY, INK, LINE, WHITE, paper_figure, shares
from fabricsim.units import CM

TALLEST, WIDEST = 3.8, 4.4
"""Room for the drawing, inches (chosen: its letters can still be read on a telephone)."""
ROOM = 0.42
"""Room for measures beside it, times its width (chosen)."""


@dataclass(frozen=True)
class SchematicPart:
    """A part from below: what it is called ('': nothing is written beside it), how high it is, how wide it lies at its
    foot and its top, all m."""

    name: str
    height: float
    foot: float
    top: float


def schematic_figure(parts: Sequence[SchematicPart], across: str, above: str = "") -> Figure:
    """Return the parts one on the other at one scale; ``across``: what is said below of the width, ``above`` of that at
    the top, where it is another."""
    tall = sum(one.height for one in parts) / CM
    wide = max(max(one.foot, one.top) for one in parts) / CM
    inches = min(TALLEST / (1.25 * tall), WIDEST / ((1.0 + 2.0 * ROOM) * wide))
    figure = paper_figure((inches * (1.0 + 2.0 * ROOM) * wide + 1.9, inches * 1.25 * tall + 0.7))
    figure.patch.set_facecolor(shares(WHITE))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_aspect("equal")
    up = 0.0
    for one in parts:
        height, foot, top = one.height / CM, 0.5 * one.foot / CM, 0.5 * one.top / CM
        corners = [(-foot, up), (foot, up), (top, up + height), (-top, up + height)]
        axes.fill(*zip(*corners, strict=True), facecolor=BAND, edgecolor=LINE, lw=1.4)
        middle = up + 0.5 * height
        if one.name:
            axes.text(0.54 * wide, middle, f"{one.name} {long(one.height)}", color=INK, fontsize=12, va="center")
        up += height
    left = -0.56 * wide
    axes.annotate("", (left, 0.0), (left, tall), arrowprops={"arrowstyle": "<->", "color": GREY, "lw": 1.0})
    axes.text(left - 0.02 * wide, 0.5 * tall, long(CM * tall), color=INK, fontsize=12.5, ha="right", va="center")
    axes.text(0.0, -0.05 * tall, across, color=INK, fontsize=12.5, ha="center", va="top")
    axes.set_xlim(-0.86 * wide, 0.98 * wide)
    if above:
        axes.text(0.0, 1.04 * tall, above, color=INK, fontsize=12.5, ha="center", va="bottom")
    axes.set_ylim(-0.18 * tall, (1.15 if above else 1.05) * tall)
    return figure
