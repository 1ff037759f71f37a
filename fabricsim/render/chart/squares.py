"""The squares of a chart, and the marks on and round them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PathCollection, PolyCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.path import Path as Outline
from matplotlib.transforms import Affine2D, Transform

from fabricsim.design.floats.on_paper import Charted
from fabricsim.render.basics.eyes import contrast
from fabricsim.render.basics.palette import INK, WHITE, Shares, rgb, shares
from fabricsim.render.chart.layout import STEP, SheetLayout, Tile
from fabricsim.render.chart.marks import outline
from fabricsim.render.layout.paper import POINT, Paper, PaperPlace
from fabricsim.units import MM_PER_INCH

DARK, LIGHT = rgb(INK), WHITE
"""What a symbol is drawn in, whichever has the higher contrast with its square, sRGB (chosen: ink and paper)."""
GRID = "#8a847b"
"""Colour of the lines between squares (chosen: seen on light yarn and on dark)."""
THIN, HEAVY, THICK, CASED = 0.35, 1.0, 1.8, 3.2
"""Lines between squares, every fifth of them, about the repeat, and the white that this stands on inside the chart,
points (chosen)."""
BELOW, APART, FLOAT_THICK = 0.11, 0.06, 0.05
"""How high in a square the line of a long float runs, by how much that of each further yarn of the row lies higher, and
how thick it is, share of the smaller side (chosen: those of three yarns pass below the symbol)."""
RING, RING_THICK, STRAND_THICK, EDGE_THICK = 0.72, 0.06, 0.07, 0.05
"""Diameter of the ring of a catch, round the symbol, its thickness, and those of a ring in the colour of a strand and
of its two edges together, share of the smaller side (chosen: clear of the symbol and of the frame)."""
FRAME_SHARE, HEAVY_SHARE = 0.09, 0.05
"""Thickness of the frame and of the heavier lines at most, share of the smaller side of a square (chosen: no ring or
symbol is cut by them)."""
STEEK = 0.26
"""Sides of the corner that is filled in a square of the steek, share of the smaller side (chosen: clear of the symbol,
and seen at the size of a chart in a report)."""
TOP = 0.25
"""Where the rings of several strands begin, turns from the right (chosen: the top)."""


@dataclass(frozen=True)
class ChartSquare:
    """A square of the chart: its symbol and its colour, sRGB 0 to 255."""

    symbol: str
    rgb: tuple[float, float, float]

    @cached_property
    def ink(self) -> tuple[float, float, float]:
        """What its symbol is drawn in."""
        return max(DARK, LIGHT, key=lambda ink: contrast(ink, self.rgb))

    def on(self, paper: Paper, left: float, top: float, side: float) -> None:
        """Draw it on paper, ``side`` mm, as in the key."""
        paper.fill(left, top, side, side, shares(self.rgb), GRID)
        paper.shape(outline(self.symbol), left + 0.5 * side, top + 0.5 * side, side, shares(self.ink))


@dataclass(frozen=True)
class ChartAxes:
    """Where the squares of a tile are drawn: ``axes`` in columns and rows; ``side``: smaller side of a square, mm."""

    axes: Axes
    tile: Tile
    side: float


def squares_on(figure: Figure, layout: SheetLayout, tile: Tile, left: float, top: float) -> ChartAxes:
    """Return the place on a sheet for the squares of ``tile``, its top left corner at a place in mm."""
    (low, high), (first, last) = tile.rows, tile.columns
    wide, tall = (last - first) * layout.wide, (high - low) * layout.tall
    sheet_wide, sheet_tall = layout.sheet
    axes = figure.add_axes(
        (left / sheet_wide, 1.0 - (top + tall) / sheet_tall, wide / sheet_wide, tall / sheet_tall),
        xlim=(first, last),
        ylim=(low, high),
    )
    axes.set_axis_off()
    return ChartAxes(axes, tile, min(layout.wide, layout.tall))


def draw_squares(place: ChartAxes, chart: Charted, squares: Sequence[ChartSquare]) -> None:
    """Draw the squares in colour, with symbols, the lines between them, long floats and catches."""
    (low, high), (first, last) = place.tile.rows, place.tile.columns
    yarn_ij = np.array([yarn_j[first:last] for yarn_j in chart.yarn_ij[low:high]])
    rgb_y3 = np.array([shares(one.rgb) for one in squares])
    axes = place.axes
    edge_x, edge_y = np.arange(first, last + 1), np.arange(low, high + 1)
    axes.pcolormesh(edge_x, edge_y, rgb_y3[yarn_ij], edgecolors="face", linewidth=0.2)
    _grid(place, len(chart.yarn_ij[0]) - chart.steek[0])
    for yarn in np.unique(yarn_ij).tolist():
        row_k, column_k = np.nonzero(yarn_ij == yarn)
        axes.add_collection(
            PathCollection(
                [outline(squares[yarn].symbol)],
                offsets=np.column_stack([column_k + first + 0.5, row_k + low + 0.5]),
                offset_transform=axes.transData,
                transform=_to_inches(place),
                facecolors=[shares(squares[yarn].ink)],
                edgecolors="none",
            )
        )
    _steek(place, chart, squares)
    _long_floats(place, chart, squares)
    _catches(place, chart, squares)


def draw_frame(place: ChartAxes, chart: Charted) -> None:
    """Draw the frame of the repeat, as much of it as lies on this sheet."""
    (low, high), (first, last) = place.tile.rows, place.tile.columns
    bottom, top, left, right = chart.repeat
    across = (max(left, first), min(right, last))
    up = (max(bottom, low), min(top, high))
    if across[0] >= across[1] or up[0] >= up[1]:
        return
    flat = [y for y, here in ((bottom, low <= bottom), (top, top <= high)) if here]
    tall = [x for x, here in ((left, first <= left), (right, right <= last)) if here]
    lines = [(across, (y, y)) for y in flat] + [((x, x), up) for x in tall]
    inside = (bottom, top, left, right) != (0, len(chart.yarn_ij), 0, len(chart.yarn_ij[0]))
    thick = min(THICK, FRAME_SHARE * place.side / POINT)
    for width, colour in ((thick * CASED / THICK, "white"), (thick, INK)) if inside else ((thick, INK),):
        for x, y in lines:
            place.axes.add_line(
                Line2D(x, y, color=colour, lw=width, solid_capstyle="projecting", clip_on=False, zorder=6)
            )


def draw_size_line(place: ChartAxes, column: int) -> None:
    """Draw the dashed line at which a size ends, left of it ``column``, under the frame of the repeat."""
    for width, colour, style in ((CASED, "white", "-"), (THICK, INK, (0, (2, 1.5)))):
        place.axes.add_line(
            Line2D((column, column), place.tile.rows, color=colour, lw=width, ls=style, clip_on=False, zorder=5.5)
        )


def _grid(place: ChartAxes, stitches: int) -> None:
    (low, high), (first, last) = place.tile.rows, place.tile.columns
    for heavy, thick in ((False, THIN), (True, min(HEAVY, HEAVY_SHARE * place.side / POINT))):
        across = [y for y in range(low, high + 1) if (y % STEP == 0) == heavy]
        up = [x for x in range(first, last + 1) if ((stitches - x) % STEP == 0) == heavy]
        lines = [[(first, y), (last, y)] for y in across] + [[(x, low), (x, high)] for x in up]
        place.axes.add_collection(LineCollection(lines, colors=GRID, linewidths=thick, clip_on=False))


def _steek(place: ChartAxes, chart: Charted, squares: Sequence[ChartSquare]) -> None:
    """Draw the sign of a steek in its squares: a corner filled in the ink of the square."""
    (low, high), (first, last) = place.tile.rows, place.tile.columns
    wide, tall = _shares_of(place)
    corners: list[list[tuple[float, float]]] = []
    inks: list[Shares] = []
    for column in (one for one in range(first, last) if chart.is_steek(one)):
        for row in range(low, high):
            top = row + 1.0
            corners.append([(column, top), (column + STEEK * wide, top), (column, top - STEEK * tall)])
            inks.append(shares(squares[chart.yarn_ij[row][column]].ink))
    if corners:
        place.axes.add_collection(PolyCollection(corners, facecolors=inks, edgecolors="none", zorder=4))


def _shares_of(place: ChartAxes) -> tuple[float, float]:
    """Return the smaller side of a square as shares of its width and its height."""
    figure = place.axes.figure
    box = place.axes.get_position()
    inches_wide, inches_tall = figure.get_size_inches()  # type: ignore[union-attr]
    (low, high), (first, last) = place.tile.rows, place.tile.columns
    wide = MM_PER_INCH * inches_wide * box.width / (last - first)
    tall = MM_PER_INCH * inches_tall * box.height / (high - low)
    return place.side / wide, place.side / tall


def _long_floats(place: ChartAxes, chart: Charted, squares: Sequence[ChartSquare]) -> None:
    """Draw a line low in the squares behind which a float past the limit runs, in the ink of each square; of those on
    other sheets only what borders on this one's, so that nothing ends short of an edge."""
    (low, high), (first, last) = place.tile.rows, place.tile.columns
    inks = [shares(square.ink) for square in squares]
    lines, colours = [], []
    for one in chart.passed:
        if not low - 1 <= one.row <= high:
            continue
        y = one.row + BELOW + APART * one.level
        for column in range(max(one.first, first - 1), min(one.last, last) + 1):
            lines.append([(column, y), (column + 1.0, y)])
            colours.append(inks[chart.yarn_ij[one.row][column]])
    thick = FLOAT_THICK * place.side / POINT
    place.axes.add_collection(LineCollection(lines, colors=colours, linewidths=thick, capstyle="butt"))


def _catches(place: ChartAxes, chart: Charted, squares: Sequence[ChartSquare]) -> None:
    """Draw a ring round the symbol of every square where what runs behind it is caught, in its ink; where it isn't all
    that passes, in the colours of the strands, an equal part of the ring for each, edged in ink."""
    (low, high), (first, last) = place.tile.rows, place.tile.columns
    arcs: dict[tuple[float, float, float, Shares], list[PaperPlace]] = {}
    for row in range(low, high):
        for column in range(first, last):
            if chart.caught_ij[row][column]:
                strands = chart.strands.get((row, column), ())
                ink = shares(squares[chart.yarn_ij[row][column]].ink)
                for begin, end, thick, colour in ring_parts([shares(squares[one].rgb) for one in strands], ink):
                    arcs.setdefault((begin, end, thick, colour), []).append((column + 0.5, row + 0.5))
    for (begin, end, thick, colour), middles in arcs.items():
        place.axes.add_collection(
            PathCollection(
                [ring_path(begin, end)],
                offsets=middles,
                offset_transform=place.axes.transData,
                transform=_to_inches(place),
                facecolors="none",
                edgecolors=[colour],
                linewidths=thick * place.side / POINT,
                capstyle="butt",
                zorder=5,
            )
        )


def ring_parts(strands: Sequence[Shares], ink: Shares) -> list[tuple[float, float, float, Shares]]:
    """Return what the ring of a catch is drawn of, in this order: from, to (turns), how thick, in which colour."""
    if not strands:
        return [(0.0, 1.0, RING_THICK, ink)]
    each = 1.0 / len(strands)
    return [
        (0.0, 1.0, STRAND_THICK + EDGE_THICK, ink),
        *((TOP + each * at, TOP + each * (at + 1), STRAND_THICK, colour) for at, colour in enumerate(strands)),
    ]


def ring_path(begin: float, end: float) -> Outline:
    """Return a part of the ring of a catch about the middle of a square of side 1, from ``begin`` to ``end`` turns."""
    return Outline.arc(360.0 * begin, 360.0 * end).transformed(Affine2D().scale(0.5 * RING))


def _to_inches(place: ChartAxes) -> Transform:
    """Return how outlines about the middle of a square of side 1 come to their size on paper."""
    return Affine2D().scale(place.side / MM_PER_INCH) + place.axes.figure.dpi_scale_trans


def key_frame(paper: Paper, left: float, top: float, side: float) -> None:
    """Draw a bit of the frame, for the key."""
    paper.fill(left, top, side, side, "white", INK, THICK)


def key_long(paper: Paper, left: float, top: float, side: float) -> None:
    """Draw a square with the line of a long float, for the key."""
    paper.fill(left, top, side, side, "white", GRID)
    y = top + side * (1.0 - BELOW)
    paper.line((left + 0.1 * side, y), (left + 0.9 * side, y), INK, FLOAT_THICK * side / POINT)


def key_steek(paper: Paper, left: float, top: float, side: float) -> None:
    """Draw a square of the steek, for the key."""
    paper.fill(left, top, side, side, "white", GRID)
    corner = Outline([(-0.5, 0.5), (-0.5 + STEEK, 0.5), (-0.5, 0.5 - STEEK), (-0.5, 0.5)])
    paper.shape(corner, left + 0.5 * side, top + 0.5 * side, side, INK)


def key_catch(paper: Paper, left: float, top: float, side: float) -> None:
    """Draw a square with the ring of a catch, for the key."""
    paper.fill(left, top, side, side, "white", GRID)
    paper.ring(left + 0.5 * side, top + 0.5 * side, RING * side, RING_THICK * side)
