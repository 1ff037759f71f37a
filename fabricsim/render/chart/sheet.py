"""A chart on sheets of A4: squares with symbol and colour, numbers at their sides, all words beside them."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, get_args

from matplotlib.figure import Figure

from fabricsim.design.floats.on_paper import Charted
from fabricsim.lengths import fine, fine_number
from fabricsim.render.basics.eyes import grey
from fabricsim.render.basics.letters import TEXT, TITLE, font, shortened
from fabricsim.render.basics.palette import GREY, INK
from fabricsim.render.chart.layout import STEP, SheetLayout, SheetSize, Tile, fit
from fabricsim.render.chart.squares import (
    ChartAxes,
    ChartSquare,
    draw_frame,
    draw_size_line,
    draw_squares,
    key_catch,
    key_frame,
    key_long,
    key_steek,
    squares_on,
)
from fabricsim.render.layout.paper import FINE, POINT, Paper, blank
from fabricsim.units import MM

MARGIN = 12.0
"""Paper left free at every side, mm (chosen: printers need 5)."""
TITLE_PT, TEXT_PT, NUMBER_PT, SMALL_PT = 17.0, 8.4, 6.5, 7.0
"""Sizes of letters, points (chosen); numbers of rows are the smallest."""
LINE, SMALL_LINE = 4.0, 3.3
"""Heights of a line of text and of a small one, mm (chosen)."""
GUTTER, NUMBERS = 8.0, 4.5
"""Width kept for numbers of rows at a side, height for those of stitches below, mm (derived from their letters)."""
LEVEL = 3.8
"""Height of a line of labels above the squares, mm (chosen)."""
KEY_WIDE, KEY_TALL, KEY_SQUARE = 60.0, 6.0, 4.2
"""Least width of an entry of the key, its height, and the side of its square, mm (chosen)."""
PLAN = 1.6
"""Side of a sheet in the plan of all sheets, mm (chosen)."""


Mark = Literal["frame", "steek", "long", "ring"]
"""What may be drawn on the squares, and is then explained in the key."""
ALL_MARKS: frozenset[Mark] = frozenset(get_args(Mark))


@dataclass(frozen=True)
class KeyYarn:
    """One yarn: its symbol and colour as charted, its name, and what else is said (its colour as written, how many
    stitches); none of it is listed if it makes no stitch here."""

    square: ChartSquare
    name: str
    said: str
    listed: bool = True


@dataclass(frozen=True)
class SizeLine:
    """Where one size ends: after so many ``stitches``, counted from the right."""

    label: str
    stitches: int


@dataclass(frozen=True)
class ChartSheet:
    """All that is on the sheets. ``shape``: height of a square over its width; ``repeat``: what stands above the
    squares; ``long``, ``caught``, ``framed``, ``steek``: what the marks mean, None if there are none; ``joins``: what
    is caught where rounds join, which has no mark; ``row``: what a row is called."""

    title: str
    about: str
    repeat: str
    yarns: tuple[KeyYarn, ...]
    long: str | None
    caught: str | None
    joins: str | None
    framed: str | None
    foot: str
    row: str
    shape: float
    sizes: tuple[SizeLine, ...] = ()
    steek: str | None = None


def in_grey(sheet: ChartSheet) -> ChartSheet:
    """Return the same sheets in greys as light as the colours are."""
    shades = grey([one.square.rgb for one in sheet.yarns])
    return replace(
        sheet,
        yarns=tuple(
            replace(one, square=replace(one.square, rgb=(float(shade[0]), float(shade[1]), float(shade[2]))))
            for one, shade in zip(sheet.yarns, shades, strict=True)
        ),
    )


def chart_layout(sheet: ChartSheet, chart: Charted) -> SheetLayout:
    """Return how the chart is laid out on paper; raises ``InputError`` if the key leaves no room for it."""

    def room_on(size: SheetSize) -> SheetSize:
        words = _head(Paper(None, size), sheet, "") + _above(sheet) + NUMBERS
        below = _below(Paper(None, size), sheet, 0.0, "", ALL_MARKS) + MARGIN
        return size[0] - 2.0 * MARGIN - GUTTER - _left_gutter(chart), size[1] - words - below

    return fit(len(chart.yarn_ij), len(chart.yarn_ij[0]), sheet.shape, room_on)


def chart_figures(sheet: ChartSheet, chart: Charted, layout: SheetLayout, *, to_scale: bool = True) -> Iterator[Figure]:
    """Yield a figure for each sheet, in the order of the knitting; ``to_scale``: said how large its squares are."""
    for number, tile in enumerate(layout.tiles, start=1):
        figure = blank(layout.sheet)
        paper = Paper(figure, layout.sheet)
        top = _head(paper, sheet, _page_words(sheet, chart, layout, tile, number)) + _above(sheet)
        if len(layout.tiles) > 1:
            _plan(paper, layout, tile)
        room = paper.wide - 2.0 * MARGIN - GUTTER - _left_gutter(chart)
        wide = (tile.columns[1] - tile.columns[0]) * layout.wide
        left = MARGIN + _left_gutter(chart) + 0.5 * (room - wide)
        place = squares_on(figure, layout, tile, left, top)
        draw_squares(place, chart, [one.square for one in sheet.yarns])
        draw_frame(place, chart)
        _numbers(paper, chart, layout, tile, left, top)
        _labels(paper, sheet, chart, layout, place, left, top)
        bottom = top + (tile.rows[1] - tile.rows[0]) * layout.tall + NUMBERS
        large = f"{fine_number(layout.wide * MM)} x {fine(layout.tall * MM)}"
        measured = f"Squares {large} if printed at 100 %. " if to_scale else ""
        _below(paper, sheet, bottom, measured, marks_on(chart, tile))
        yield figure


def marks_on(chart: Charted, tile: Tile) -> frozenset[Mark]:
    """Return which marks are drawn on the sheet of a ``tile``."""
    (low, high), (first, last) = tile.rows, tile.columns
    bottom, top, left, right = chart.repeat
    drawn: dict[Mark, bool] = {
        "frame": max(bottom, low) < min(top, high) and max(left, first) < min(right, last),
        "steek": any(chart.is_steek(column) for column in range(first, last)),
        "long": any(low <= one.row < high and one.first < last and one.last >= first for one in chart.passed),
        "ring": any(any(caught_j[first:last]) for caught_j in chart.caught_ij[low:high]),
    }
    return frozenset(mark for mark, here in drawn.items() if here)


def _head(paper: Paper, sheet: ChartSheet, page: str) -> float:
    """Write the title and what to know first; return where it ends."""
    room = paper.wide - 2.0 * MARGIN
    title = shortened(" ".join(sheet.title.split()), TITLE_PT * POINT * FINE, TITLE, (room - 30.0) * FINE)
    paper.write(MARGIN, MARGIN + 5.5, title, TITLE_PT, title=True)
    base = paper.lines(MARGIN, MARGIN + 11.0, sheet.about, TEXT_PT, room, GREY, LINE)
    paper.write(MARGIN, base, page, TEXT_PT)
    return base + 2.0


def _above(sheet: ChartSheet) -> float:
    """Return the height of what stands above the squares: the repeat, and a line for each size."""
    return LEVEL * (1 + len(sheet.sizes)) + 1.0


def _left_gutter(chart: Charted) -> float:
    return 0.0 if all(chart.from_right_i) else GUTTER


def _page_words(sheet: ChartSheet, chart: Charted, layout: SheetLayout, tile: Tile, number: int) -> str:
    if len(layout.tiles) == 1:
        return ""
    end, (begin, to) = len(chart.yarn_ij[0]) - chart.steek[0], tile.columns
    rows, first, last = tile.rows, max(1, end - to + 1), end - max(begin, chart.steek[1])
    steek = ", beside the steek" if begin < chart.steek[1] or to > end else ""
    return (
        f"Page {number} of {len(layout.tiles)}: {sheet.row}s {chart.first + rows[0]} to {chart.first + rows[1] - 1}, "
        f"stitches {first} to {last}{steek}. The plan on the right shows where it lies."
    )


def _plan(paper: Paper, layout: SheetLayout, tile: Tile) -> None:
    """Draw how all sheets lie beside one another, this one filled, in the top right corner."""
    side = min(PLAN * 2.0, 10.0 / layout.up, 26.0 / layout.across)
    right, bottom = paper.wide - MARGIN, MARGIN + side * layout.up
    for one in layout.tiles:
        x, y = right - (one.across + 1) * side, bottom - one.up * side
        corners = ((x, y), (x + side, y), (x + side, y - side), (x, y - side))
        for begin, end in zip(corners, (*corners[1:], corners[0]), strict=True):
            paper.line(begin, end, GREY, 0.5)
    paper.fill(right - (tile.across + 1) * side, bottom - (tile.up + 1) * side, side, side, INK)


def _numbers(paper: Paper, chart: Charted, layout: SheetLayout, tile: Tile, left: float, top: float) -> None:
    """Write the number of every row on the side where it is begun, and those of stitches below."""
    drop = 0.36 * NUMBER_PT * POINT  # from the middle of figures to their base line
    right, bottom = left + (tile.columns[1] - tile.columns[0]) * layout.wide, tile.rows[1] - tile.rows[0]
    for row in range(*tile.rows):
        base = top + (tile.rows[1] - row - 0.5) * layout.tall + drop
        if chart.from_right_i[row]:
            paper.write(right + 1.2, base, str(chart.first + row), NUMBER_PT)
        else:
            paper.write(left - 1.2, base, str(chart.first + row), NUMBER_PT, side="right")
    stitches = len(chart.yarn_ij[0]) - chart.steek[0]  # counted from the first stitch beside a steek
    numbered = max(tile.columns[0], chart.steek[1]), min(tile.columns[1], stitches)
    for column in _numbered(stitches, numbered) if numbered[0] < numbered[1] else ():
        middle = left + (column - tile.columns[0] + 0.5) * layout.wide
        paper.write(middle, top + bottom * layout.tall + 3.2, str(stitches - column), NUMBER_PT, side="middle")


def _numbered(stitches: int, columns: tuple[int, int]) -> list[int]:
    """Return the columns with a number below: every fifth stitch, and the first and last where there is room."""
    shown = [column for column in range(*columns) if (stitches - column) % STEP == 0]
    for end in (columns[1] - 1, columns[0]):
        if all(abs(end - column) > 2 for column in shown):
            shown.append(end)
    return shown


def _labels(
    paper: Paper, sheet: ChartSheet, chart: Charted, layout: SheetLayout, place: ChartAxes, left: float, top: float
) -> None:
    """Write the repeat above the squares, and above that every size at its end, with a line down to it."""
    tile = place.tile
    right = left + (tile.columns[1] - tile.columns[0]) * layout.wide
    wide = font(sheet.repeat, TEXT_PT * POINT * FINE, TEXT).getlength(sheet.repeat) / FINE
    if wide <= right - MARGIN:
        paper.write(right, top - 1.6, sheet.repeat, TEXT_PT, side="right")
    else:
        paper.write(MARGIN, top - 1.6, sheet.repeat, TEXT_PT)
    stitches = len(chart.yarn_ij[0])
    for level, size in enumerate(sheet.sizes, start=1):
        column = stitches - size.stitches
        if not tile.columns[0] <= column < tile.columns[1]:
            continue
        x, base = left + (column - tile.columns[0]) * layout.wide, top - 1.6 - level * LEVEL
        paper.line((x, base + 0.8), (x, top), INK, 1.0)
        draw_size_line(place, column)
        paper.write(x + 0.6, base, size.label, SMALL_PT)


def _below(paper: Paper, sheet: ChartSheet, top: float, measured: str, marks: Collection[Mark]) -> float:
    """Draw the key of yarns and ``marks``, then the small print, from ``top`` down; return where it ends."""
    room = paper.wide - 2.0 * MARGIN
    columns = int(room // KEY_WIDE)
    step = room / columns
    listed = [one for one in sheet.yarns if one.listed]
    top += 2.0
    for number, one in enumerate(listed):
        left, above = MARGIN + number % columns * step, top + number // columns * KEY_TALL
        _entry(paper, one, left, above, step - KEY_SQUARE - 5.0)
    top += -(-len(listed) // columns) * KEY_TALL
    for mark, draw, words in (
        ("frame", key_frame, sheet.framed),
        ("steek", key_steek, sheet.steek),
        ("long", key_long, sheet.long),
        ("ring", key_catch, sheet.caught),
    ):
        if words is None or mark not in marks:
            continue
        if paper.figure is not None:
            draw(paper, MARGIN, top, KEY_SQUARE)
        end = paper.lines(MARGIN + KEY_SQUARE + 2.0, top + 3.0, words, TEXT_PT, room - KEY_SQUARE - 2.0, INK, LINE)
        top = max(top + KEY_TALL - 0.6, end - 1.6)
    if sheet.joins is not None:
        top = paper.lines(MARGIN, top + 3.0, sheet.joins, TEXT_PT, room, INK, LINE) - 1.6
    return paper.lines(MARGIN, top + 3.4, measured + sheet.foot, SMALL_PT, room, GREY, SMALL_LINE)


def _entry(paper: Paper, one: KeyYarn, left: float, top: float, room: float) -> None:
    """Draw one yarn of the key: its square, its name, what else is said of it in small letters below."""
    if paper.figure is not None:
        one.square.on(paper, left, top, KEY_SQUARE)
    words = left + KEY_SQUARE + 2.0
    name = shortened(" ".join(one.name.split()), TEXT_PT * POINT * FINE, TEXT, room * FINE)
    paper.write(words, top + 1.9, name, TEXT_PT)
    paper.write(words, top + 4.6, one.said, NUMBER_PT, GREY)


def size_lines(sizes: Sequence[tuple[str, int]]) -> tuple[SizeLine, ...]:
    """Return the lines at which sizes end, from their labels and stitches, the smallest first."""
    return tuple(SizeLine(label, stitches) for label, stitches in sorted(sizes, key=lambda size: size[1]))
