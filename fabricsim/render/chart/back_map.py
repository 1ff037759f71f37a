"""A map of the chart's back: the floats as lines behind the stitches, and where they are caught."""

from __future__ import annotations

from collections.abc import Iterable
from textwrap import fill
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from fabricsim.design.catches.plan import CatchPlan
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.found import Float
from fabricsim.design.floats.of_scene import floats_of_chart
from fabricsim.render.basics.letters import find_letters, printable
from fabricsim.render.basics.palette import GREY, HAIR, INK, PAPER, Shares, paper_figure, shares
from fabricsim.render.chart.catch_marks import CATCHES, marks_of_catches

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from fabricsim.design.scene.model import Scene

Artists = Patch | Line2D | tuple[Patch, Line2D]
"""What stands for something in the key."""

STITCH, WIDEST, TALLEST = 0.34, 30.0, 40.0
"""Width of a stitch on paper, and the most that a map's stitches may take, inches (chosen: clear in print)."""
LEFT, BELOW, LINE, MARGIN = 0.65, 0.6, 0.24, 0.15
"""Room for the numbers of rows and of stitches, for a line of the title, and for paper between stitches and key and at
its right, inches (chosen)."""
FADED = 0.45
"""How much of its colour a stitch keeps; the rest is paper, so that the floats stand out (chosen)."""
LANES, HIGHEST, MARKED = 0.2, 0.32, -0.33
"""How far apart the floats of a row's yarns run, and how far off the middle of the stitch the first of them and the
mark of the stitch lie, shares of a stitch's height (chosen)."""
MARKS = ("", ".", "x", "^", "+", "s", "v", "D")
"""What stands in the stitches of each yarn, so that a grey print tells them apart: dots, crosses, corners (chosen)."""
DASHES = ("solid", (0, (4.0, 1.2)), (0, (1.4, 1.2)), (0, (5.0, 1.2, 1.2, 1.2)))
"""How the float of each yarn is drawn, likewise (chosen)."""
MIRRORED = "seen from the back, mirrored: stitch 1 is at the left"
EACH, STEP = 0.22, 5
"""Room from which every row and stitch has its number, inches, and the step from one number to the next in less room
(chosen: as on the chart)."""
LETTERS_PER_INCH, LETTERS_OF_KEY = 12.0, 28
"""Letters of the title to an inch, and of a line of the key (chosen: a little fewer than fit)."""
SHORT = 0.3
"""How far before the middle of a stitch that it is knitted into a float ends, stitches (chosen: two floats that meet
there are seen to be two)."""
OVER = "#c0261c"
"""Colour of what stays open over the limit (chosen: a warning red, always with a heavier line)."""


def catch_map(scene: Scene, plan: CatchPlan) -> Figure:
    """Return the chart of a ``scene`` seen from the back, mirrored, with its floats and the catches of a ``plan``."""
    chart_ij = np.array(scene.chart_rows())
    rows, stitches = chart_ij.shape
    high = scene.gauge.row_height / scene.gauge.stitch_width
    scale = min(STITCH, WIDEST / stitches, TALLEST / (rows * high))
    wide, tall = stitches * scale, rows * high * scale
    paper = shares(PAPER)
    figure = paper_figure()
    axes = figure.add_subplot(facecolor=paper)
    points = 72.0 * scale  # of a stitch
    _stitches(axes, scene, chart_ij, paper, points)
    key = [*_key_of_yarns(scene, paper), *_floats(axes, scene, plan, points), *_catches(axes, scene, plan, points)]
    beside, down = _key(axes, key, wide)
    across = LEFT + wide + beside
    lines = [printable(scene.title), MIRRORED]
    if below := scene.chart.plain_below:  # a scene's list of catches counts the rows of the chart
        word = "round" if scene.worked == "round" else "row"
        lines.append(f"{word} 1 of the chart is {word} {below + 1} of the pattern")
    title = "\n".join(fill(said, int(LETTERS_PER_INCH * across)) for said in lines)
    above = LINE * (title.count("\n") + 2)
    _frame(axes, scene, title, rows, stitches, high, scale)
    size = (across, above + max(tall + BELOW, down + MARGIN))
    figure.set_size_inches(*size)
    axes.set_position((LEFT / size[0], 1.0 - (above + tall) / size[1], wide / size[0], tall / size[1]))
    return figure


def _key(axes: Axes, key: list[tuple[Artists, str]], wide: float) -> tuple[float, float]:
    """Write the key beside the stitches, so ``wide``, inches; return how wide with its margins and how high it is."""
    legend = axes.legend(
        [artists for artists, _ in key],
        [fill(printable(said), LETTERS_OF_KEY) for _, said in key],
        loc="upper left",
        bbox_to_anchor=(1.0 + MARGIN / wide, 1.0),  # beside the chart, never on it
        borderaxespad=0.0,
        frameon=False,
        fontsize=8.5,
        labelcolor=INK,
        handlelength=2.6,
    )
    for text in legend.get_texts():
        text.set_parse_math(False)  # a yarn's name is no formula
    assert isinstance(axes.figure, Figure)
    FigureCanvasAgg(axes.figure)  # measures letters
    find_letters(axes.figure)
    box = legend.get_window_extent()
    return box.width / axes.figure.dpi + 2.0 * MARGIN, box.height / axes.figure.dpi


def _stitches(axes: Axes, scene: Scene, chart_ij: np.ndarray, paper: Shares, points: float) -> None:
    """Draw the stitches, each in its colour, faded, with the mark of its yarn."""
    stitches = chart_ij.shape[1]
    for number, yarn in enumerate(scene.yarns):
        row_s, column_s = np.nonzero(chart_ij == number)
        x_s, y_s = stitches - column_s.astype(float), row_s + 1.0
        corner_s42 = np.stack(
            [np.stack([x_s + dx, y_s + dy], axis=1) for dx, dy in ((-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5))],
            axis=1,
        )
        colour = _faded(yarn.rgb, paper)
        axes.add_collection(
            PolyCollection(list(corner_s42), facecolors=[colour], edgecolors=HAIR, linewidths=min(0.5, 0.03 * points))
        )
        if MARKS[number % len(MARKS)]:
            axes.scatter(
                x_s, y_s + MARKED, s=(0.17 * points) ** 2, marker=MARKS[number % len(MARKS)], color=INK, linewidths=0.5
            )


def _key_of_yarns(scene: Scene, paper: Shares) -> list[tuple[Artists, str]]:
    shown: list[tuple[Artists, str]] = []
    used = {number for yarn_j in scene.chart_rows() for number in yarn_j}
    for number, yarn in enumerate(scene.yarns):
        if number not in used:
            continue
        square = Patch(facecolor=_faded(yarn.rgb, paper), edgecolor=HAIR)
        mark = MARKS[number % len(MARKS)]
        marked = Line2D([], [], linestyle="none", marker=mark or "None", color=INK, markersize=4.5)
        shown.append(((square, marked), f"stitch of {yarn.name}"))
    return shown


def _floats(axes: Axes, scene: Scene, plan: CatchPlan, points: float) -> list[tuple[Artists, str]]:
    """Draw the floats as lines behind the stitches, yarn by yarn; return their key."""
    found, rows = floats_of_chart(scene, plan.caught), len(scene.chart_rows())
    over = {id(one.float) for one in faults(found, scene.limits)}
    key: list[tuple[Artists, str]] = []
    wide = max(0.4, 0.085 * points)
    for number, yarn in enumerate(scene.yarns):
        mine = [one for one in found if one.yarn == number and one.gap + one.caught_start + one.caught_end > 0]
        dashes = DASHES[number % len(DASHES)]
        lines = [line for one in mine for line in _ways(one, rows)]
        if not lines:
            continue
        axes.add_collection(LineCollection(lines, colors=INK, linewidths=1.45 * wide, zorder=3))
        axes.add_collection(LineCollection(lines, colors=[yarn.colour], linewidths=wide, linestyles=[dashes], zorder=4))
        key.append((_line_key(yarn.colour, dashes), f"float of {yarn.name}"))
    bad = [line for one in found if id(one) in over for line in _ways(one, rows)]
    if bad:
        axes.add_collection(LineCollection(bad, colors=OVER, linewidths=2.6 * wide, zorder=2.5))
        key.append((Line2D([], [], color=OVER, linewidth=4.0), "open over your limit"))
    return key


def _line_key(colour: str, dashes: object) -> Line2D:
    from matplotlib.patheffects import Normal, Stroke

    line = Line2D([], [], color=colour, linewidth=2.2, linestyle=dashes)  # type: ignore[arg-type]
    line.set_path_effects([Stroke(linewidth=3.4, foreground=INK), Normal()])
    return line


def _ways(one: Float, rows: int) -> list[list[tuple[float, float]]]:
    """Return the line of a float in a chart of so many ``rows``, or its two parts if it runs over the chart's edge.

    It ends ``SHORT`` of the stitches that its yarn makes, and in the middle of those where it is caught.
    """
    lane = HIGHEST - LANES * one.layer + 1.0
    on = -one.direction  # the map is mirrored
    short = [0.0 if caught else SHORT * on for caught in (one.caught_start, one.caught_end)]
    start, end = one.stitches - one.start + short[0], one.stitches - one.unrolled_end - short[1]
    parts: list[tuple[int, float, float]] = [(one.row, start, end)]
    if one.crosses and one.kind != "steek edge":  # that one ends in the steek
        edge, other = (one.stitches + 0.5, 0.5) if one.direction < 0 else (0.5, one.stitches + 0.5)
        parts = [(one.row, start, edge), (one.end_row, other, one.stitches - one.end - short[1])]
    return [[(left, row + lane), (right, row + lane)] for row, left, right in parts if 0 <= row < rows]


def _catches(axes: Axes, scene: Scene, plan: CatchPlan, points: float) -> list[tuple[Artists, str]]:
    """Draw the catches, planned ones as open diamonds, listed ones as black ones, grey those beside the join of rounds
    only, with dots in the colours of the strands that they hold; return their key."""
    key: list[tuple[Artists, str]] = []
    stitches = scene.stitches_per_repeat
    shown = marks_of_catches(scene, plan)
    for kind, (inside, label) in CATCHES.items():
        mine = [one for one in shown if one.kind == kind]
        for size in {one.size for one in mine}:
            places = [one.place for one in mine if one.size == size]
            _mark(axes, places, stitches, "D", size * points, inside, "black", 0.06 * points)
        if mine:
            key.append((_mark_key("D", inside, "black", 7.0), label))
    dots = [(place, one.size, yarn) for one in shown for place, yarn in one.dots]
    for number, size in sorted({(yarn, size) for _, size, yarn in dots}):
        places = [place for place, of_size, yarn in dots if (yarn, of_size) == (number, size)]
        colour = scene.yarns[number].colour
        _mark(axes, places, stitches, "o", 0.4 * size * points, colour, "black", 0.03 * points, zorder=6.5)
    if dots:
        colour = scene.yarns[dots[0][2]].colour
        key.append((_mark_key("o", colour, "black", 4.0), "the strand that is caught, of several"))
    for pairs, mark, label in (
        (plan.stacked, "o", "straight above another catch"),
        (plan.side_by_side, "s", "right beside another catch"),
    ):
        if pairs:
            squares = {hold.square for _, hold in pairs}
            _mark(axes, squares, stitches, mark, 0.95 * points, "none", OVER, 0.08 * points, zorder=7.0)
            key.append((_mark_key(mark, "none", OVER, 11.0), label))
    return key


def _mark(
    axes: Axes,
    places: Iterable[tuple[float, float]],
    stitches: int,
    mark: str,
    size: float,
    inside: str,
    edge: str,
    thick: float,
    zorder: float = 6.0,
) -> None:
    """Draw a mark of such a size, points, in the middle of every place (row, column)."""
    place_s2 = np.array([(stitches - column, row + 1.0) for row, column in sorted(places)])
    axes.scatter(
        place_s2[:, 0],
        place_s2[:, 1],
        s=size**2,
        marker=mark,
        facecolors=inside,
        edgecolors=edge,
        linewidths=max(0.4, thick),
        zorder=zorder,
        clip_on=False,
    )


def _mark_key(mark: str, inside: str, edge: str, size: float) -> Line2D:
    return Line2D([], [], linestyle="none", marker=mark, markersize=size, markerfacecolor=inside, markeredgecolor=edge)


def _frame(axes: Axes, scene: Scene, title: str, rows: int, stitches: int, high: float, scale: float) -> None:
    axes.set_xlim(0.5, stitches + 0.5)
    axes.set_ylim(0.5, rows + 0.5)
    axes.set_aspect(high)
    word = "round" if scene.worked == "round" else "row"
    axes.set_title(title, loc="left", color=INK, fontsize=9.5, parse_math=False)
    axes.set_xlabel("stitch, counted from the right of the face", color=GREY, fontsize=9)
    axes.set_ylabel(f"{word} of the pattern", color=GREY, fontsize=9)
    below = scene.chart.plain_below  # rows have the numbers of the pattern, in its lowest repeat
    for axis, count, room, first in ((axes.xaxis, stitches, scale, 0), (axes.yaxis, rows, scale * high, below)):
        step = STEP if count > STEP and room < EACH else 1
        shown = [number for number in range(1, count + 1) if (number + first) % step == 0]
        axis.set_ticks(shown, [str(number + first) for number in shown])
    axes.tick_params(colors=GREY, labelsize=8.5, length=2.0)
    for spine in axes.spines.values():
        spine.set_color(HAIR)


def _faded(rgb: tuple[int, int, int], paper: Shares) -> Shares:
    red, green, blue = (FADED * part + (1.0 - FADED) * white for part, white in zip(shares(rgb), paper, strict=True))
    return red, green, blue
