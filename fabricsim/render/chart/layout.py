"""How a chart goes on paper: upright or across, how large its squares are, over how many sheets."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, floor

from fabricsim.errors import InputError
from fabricsim.render.layout.paper import A4

SheetSize = tuple[float, float]
"""Width and height, mm."""
LEAST, MOST = 3.0, 12.0
"""Smaller side of a square at least, and its larger at most, mm (chosen: smaller ones can't be followed by eye)."""
STEP = 5
"""Stitches and rows from one heavier line, or number, to the next; sheets are cut there (common practice: 5 or 10)."""
SHEETS: tuple[SheetSize, ...] = (A4, (A4[1], A4[0]))
"""Upright, then on its side."""
LEAST_ROOM = 30.0
"""Height for squares below which the words have left no room, mm (chosen)."""


@dataclass(frozen=True)
class Tile:
    """The part of a chart on one sheet: ``rows`` and ``columns`` from, to (left out), and the place of the sheet among
    all, counted from the bottom right: ``across`` to the left and ``up``."""

    rows: tuple[int, int]
    columns: tuple[int, int]
    across: int
    up: int


@dataclass(frozen=True)
class SheetLayout:
    """Sheets of one ``sheet`` size, squares ``wide`` and ``tall``, all mm; ``tiles`` in the order of the knitting."""

    sheet: SheetSize
    wide: float
    tall: float
    tiles: tuple[Tile, ...]

    @property
    def across(self) -> int:
        """How many sheets lie side by side."""
        return 1 + max(tile.across for tile in self.tiles)

    @property
    def up(self) -> int:
        """How many sheets lie one above the other."""
        return 1 + max(tile.up for tile in self.tiles)


def fit(rows: int, stitches: int, shape: float, room_on: Callable[[SheetSize], SheetSize]) -> SheetLayout:
    """Return how a chart of so many ``rows`` and ``stitches`` is laid out, its squares ``shape`` times as tall as wide.

    ``room_on`` says what room squares have on a sheet. One sheet if its squares are not below ``LEAST``, the way round
    that makes them largest; else the way round that takes fewest sheets. Raises ``InputError`` if words leave no room.
    """
    wide_at_least = LEAST / min(1.0, shape)
    wide_at_most = MOST / max(1.0, shape)
    best: SheetLayout | None = None
    for sheet in SHEETS:
        room = room_on(sheet)
        if room[1] < max(LEAST_ROOM, wide_at_least * shape) or room[0] < wide_at_least:
            continue
        wide = min(wide_at_most, room[0] / stitches, room[1] / (rows * shape))
        most_rows, most_stitches = rows, stitches
        if wide < wide_at_least * (1.0 - 1e-9):
            most_stitches = _even(stitches, floor(room[0] / wide_at_least))
            most_rows = _even(rows, floor(room[1] / (wide_at_least * shape)))
            wide = min(wide_at_most, room[0] / most_stitches, room[1] / (most_rows * shape))
        made = SheetLayout(sheet, wide, wide * shape, _tiles(rows, stitches, most_rows, most_stitches))
        if best is None or (-len(made.tiles), made.wide) > (-len(best.tiles), best.wide * (1.0 + 1e-9)):
            best = made
    if best is None:
        raise InputError("yarns", "so many that their key fills a sheet", "a key that leaves room", "chart fewer yarns")
    return best


def _even(count: int, most: int) -> int:
    """Return how many of ``count`` rows or stitches go on a sheet, at most ``most``: evenly, cut at a heavier line."""
    each = ceil(count / ceil(count / most))
    rounded = STEP * ceil(each / STEP)
    return rounded if rounded <= most and each < count else each


def _tiles(rows: int, stitches: int, most_rows: int, most_stitches: int) -> tuple[Tile, ...]:
    """Return the parts of a chart, from the right, then from below."""
    return tuple(
        Tile(
            (low, min(low + most_rows, rows)),
            (max(0, stitches - right - most_stitches), stitches - right),
            right // most_stitches,
            low // most_rows,
        )
        for low in range(0, rows, most_rows)
        for right in range(0, stitches, most_stitches)
    )
