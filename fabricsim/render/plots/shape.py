"""Plots of a fabric's shape: how far it puckers off its smooth base, and how wide it lies row by row."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from fabricsim import units
from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.mesh import DOWN, LEFT, RIGHT, UP
from fabricsim.lengths import fine_per_unit, fine_unit, long_per_unit, long_unit
from fabricsim.render.basics.letters import PLOT_FAMILIES, PLOTTED, printable
from fabricsim.render.basics.palette import BAND, GREY, HAIR, INK, LINE, PAPER, paper_figure, shares
from fabricsim.render.basics.scale import PUCKER_MAP, pucker_end

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MAP_WIDE, MAP_BESIDE, MAP_BELOW, MAP_TALL = 7.0, 2.0, 1.1, (2.6, 9.0)
"""A map's width, what its scale takes of it, what title and axis take of its height, and least and greatest height,
inches (chosen: neither flat as a ribbon nor taller than a page)."""
PROFILE_SIZE = (6.0, 4.6)
"""Width and height of a profile, inches (chosen)."""
SPARE, LEAST_SPARE = 0.08, 0.02
"""Room beside the curves of a profile, share of their range; at least, share of the width (chosen)."""


def pucker_map(
    place_nc: Floats,
    neighbour_n4: Ints,
    height_n: Floats,
    *,
    period_a: Floats | None = None,
    shift_n42: Ints | None = None,
    title: str = "",
) -> Figure:
    """Return a map of how far every stitch lies off the smooth base, mm or inches, on the fabric's own shape.

    ``place_nc`` (n, 2) float, m: where stitches lie, laid out flat (a tube: unrolled); ``neighbour_n4`` (n, 4) int:
    left, right, down, up, -1 where there is none, with ``shift_n42`` (n, 4, 2) int periods of ``period_a`` (2,) float,
    m; ``height_n`` (n,) float, m, towards the face positive. An unrolled tube has no neighbours across its cut.
    """
    corner_n4c = _cells(place_nc, neighbour_n4, period_a, shift_n42)
    height_mm = np.asarray(height_n) / units.MM
    end = pucker_end(height_mm)
    low, high = corner_n4c.reshape(-1, 2).min(axis=0), corner_n4c.reshape(-1, 2).max(axis=0)
    figure, axes = plot_figure(_map_size(high - low), title)
    cells = PolyCollection(list(corner_n4c / long_per_unit()), cmap=PUCKER_MAP, edgecolors="face", linewidths=0.3)
    spoken = units.MM / fine_per_unit()
    cells.set_array(height_mm * spoken)
    cells.set_clim(-end * spoken, end * spoken)
    axes.add_collection(cells)
    axes.set_xlim(low[0] / long_per_unit(), high[0] / long_per_unit())
    axes.set_ylim(low[1] / long_per_unit(), high[1] / long_per_unit())
    axes.set_aspect("equal")
    axes.set_xlabel(f"across, {long_unit()}")
    axes.set_ylabel(f"up, {long_unit()}")
    bar = figure.colorbar(cells, ax=axes, shrink=0.8, pad=0.03)
    bar.set_label(f"off the smooth base, {fine_unit()}\n(+ towards the face)", color=GREY, fontsize=8.5)
    bar.ax.tick_params(labelsize=8.5, colors=GREY)
    bar.outline.set_visible(False)
    return figure


def width_profile(
    width_r: Floats,
    plain_width: Floats | float,
    *,
    low_r: Floats | None = None,
    high_r: Floats | None = None,
    row_word: str = "row",
    first_row: int = 1,
    title: str = "",
) -> Figure:
    """Return the width of every row, in cm, beside the width that the piece would have without floats.

    ``width_r`` (rows,) float, m, ``first_row`` first; ``plain_width`` m, of all rows or of each
    (rows,); ``low_r``, ``high_r`` (rows,) float, m: the band that
    the forecast is good for, if there is one; ``row_word``: what a row is called, such as "round".
    """
    figure, axes = plot_figure(PROFILE_SIZE, title)
    row_r = row_edges(len(width_r), first_row)
    plain_r = np.broadcast_to(np.asarray(plain_width, dtype=np.float64), len(width_r))

    if low_r is not None and high_r is not None and np.ptp([low_r, high_r], axis=0).max() > 0.0:
        axes.fill_betweenx(row_r, reaching(low_r), reaching(high_r), color=BAND, label="likely range", lw=0)
    axes.plot(reaching(plain_r), row_r, color=GREY, lw=1.2, ls=(0, (4, 3)), label="without floats")
    axes.plot(reaching(width_r), row_r, color=LINE, lw=2.0, label="forecast")
    shown = [np.asarray(a) / long_per_unit() for a in (width_r, low_r, high_r) if a is not None]
    lowest = min(float(a.min()) for a in shown)
    lowest = min(lowest, float(plain_r.min()) / long_per_unit())
    highest = max(float(plain_r.max()) / long_per_unit(), *(float(a.max()) for a in shown))
    by_row(figure, axes, row_r, (lowest, highest), row_word)
    return figure


def row_edges(rows: int, first_row: int) -> Floats:
    """Return where the points of ``reaching`` lie, (rows + 2,): a row is as tall as a row, so that even one shows."""
    edge_r: Floats = np.clip(np.arange(rows + 2.0), 0.5, rows + 0.5) + (first_row - 1)
    return edge_r


def reaching(value_r: Floats) -> Floats:
    """Return widths ``value_r`` (rows,), m, in the long unit, the first and last to the outer edges of their rows."""
    return np.pad(np.asarray(value_r) / long_per_unit(), 1, mode="edge")


def by_row(figure: Figure, axes: Axes, row_r: Floats, ends: tuple[float, float], row_word: str) -> None:
    """Set the axes of a plot of widths between ``ends``, in the long unit, over rows, and its legend."""
    lowest, highest = ends
    spare = max(SPARE * (highest - lowest), LEAST_SPARE * highest)
    axes.set_xlim(lowest - spare, highest + spare)
    axes.set_ylim(row_r[0], row_r[-1])
    axes.yaxis.set_major_locator(MaxNLocator(integer=True))
    axes.set_xlabel(f"width, {long_unit()}")
    axes.set_ylabel(row_word)
    axes.grid(axis="x", color=HAIR, lw=0.6, alpha=0.6)
    # below the plot, so that it never covers a line
    figure.legend(loc="outside lower center", ncols=3, frameon=False, fontsize=9, labelcolor=INK)


def plot_figure(size: tuple[float, float], title: str) -> tuple[Figure, Axes]:
    """Return a figure of this ``size``, inches, on paper, with one plot."""
    figure = paper_figure(size, constrained=True)
    axes = figure.add_subplot(facecolor=shares(PAPER))
    dress(axes, title)
    return figure, axes


def head(figure: Figure, title: str, left: float, size: float = 13.0) -> None:
    """Write a ``title`` over all the plots of a figure, whatever its script, beginning at this share of its width."""
    text, family = printable(title, PLOTTED), PLOT_FAMILIES
    figure.suptitle(text, x=left, ha="left", color=INK, fontsize=size, fontfamily=family, parse_math=False)


def dress(axes: Axes, title: str = "") -> None:
    """Give ``axes`` the quiet look of all plots, and a ``title`` over their left."""
    if title:
        text, family = printable(title, PLOTTED), PLOT_FAMILIES
        axes.set_title(text, loc="left", color=INK, fontsize=13, fontfamily=family, pad=10, parse_math=False)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(HAIR)
    axes.tick_params(colors=GREY, labelsize=9)
    axes.xaxis.label.set_color(GREY)
    axes.yaxis.label.set_color(GREY)


def _map_size(extent_c: Floats) -> tuple[float, float]:
    """Return the width and height, inches, of a map of fabric of this extent."""
    tall = (MAP_WIDE - MAP_BESIDE) * extent_c[1] / max(extent_c[0], 1e-12) + MAP_BELOW
    return MAP_WIDE, float(np.clip(tall, *MAP_TALL))


def _cells(place_nc: Floats, neighbour_n4: Ints, period_a: Floats | None, shift_n42: Ints | None) -> Floats:
    """Return the corners (n, 4, 2) of a cell about every stitch, half way to its neighbours."""
    place_nc = np.asarray(place_nc, dtype=np.float64)[:, :2]
    there_n4c = place_nc[np.maximum(neighbour_n4, 0)]
    if period_a is not None and shift_n42 is not None:
        there_n4c = there_n4c + shift_n42 * np.asarray(period_a)
    step_n4c = there_n4c - place_nc[:, None]
    found_n4 = np.asarray(neighbour_n4) >= 0
    # beyond an edge a cell is as wide as on its other side; every stitch has a neighbour on one of the two
    for direction, opposite in ((LEFT, RIGHT), (RIGHT, LEFT), (DOWN, UP), (UP, DOWN)):
        missing = ~found_n4[:, direction]
        step_n4c[missing, direction] = -step_n4c[missing, opposite]
    half = 0.5 * step_n4c
    corners: Floats = place_nc[:, None] + np.stack(
        [
            half[:, LEFT] + half[:, DOWN],
            half[:, RIGHT] + half[:, DOWN],
            half[:, RIGHT] + half[:, UP],
            half[:, LEFT] + half[:, UP],
        ],
        axis=1,
    )
    return corners
