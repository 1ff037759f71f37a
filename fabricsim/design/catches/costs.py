"""What a catch costs where it lies: how the trade's rules for placing catches are weighed against each other."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from math import ceil

from fabricsim.design.rows.squares import Layout, Passed, Square
from fabricsim.design.scene.chart import Rows

Pair = tuple[Square, Square]
"""Two squares in a column, the lower one first (past the top of a chart repeated up: that in the next copy)."""

# The rules are common practice; how much each weighs is chosen, in squared stitches off the even place. So a catch
# moves two stitches to keep out of a column used two rows before, and nearly three from beside a colour change.
UNEVEN = 1.0
"""Times the square of the stitches that a catch lies off its even place."""
TWO_ROWS = 6.0
"""For a catch in the column of one two rows before."""
BESIDE = {1: 8.0, 2: 1.0}
"""For a catch so many stitches from a colour change; 1 is the stitch next to it."""
SHOWS = 6.0
"""For a yarn caught behind one that is all of black and white apart from it (100 in L*), and in proportion."""
DARK_BEHIND_LIGHT = 1.5
"""By how much more it shows if the darker one is behind."""


def costs(
    chart_ij: Rows,
    floats: Sequence[Passed],
    open_runs: Sequence[Passed],
    most: int,
    lightness_y: Sequence[float],
    layout: Layout,
) -> dict[Square, float]:
    """Return what a catch costs at each square that an open run passes, neighbours apart.

    ``floats`` are all floats by the squares that they pass behind, ``open_runs`` the stretches over the limit of
    ``most`` stitches, ``lightness_y`` the L* of each yarn.
    """
    cost: dict[Square, float] = {}
    for run in open_runs:
        gap = len(run.squares)
        pieces = gap // (most + 1) + 1  # with the fewest catches
        for step, square in enumerate(run.squares, start=1):
            nth = min(ceil(step / (most + 1)), pieces - 1)  # the only one that it can be
            off = step - nth * (gap + 1) / pieces
            cost[square] = cost.get(square, 0.0) + UNEVEN * off * off
    for square in cost:
        cost[square] += BESIDE.get(from_change(chart_ij, square, layout), 0.0)
    for yarn, square in {(one.yarn, square) for one in floats for square in one.squares if square in cost}:
        cost[square] += shows(lightness_y[yarn], lightness_y[chart_ij[square[0]][square[1]]])
    return cost


def shows(caught: float, front: float) -> float:
    """Return what it costs that a yarn of the lightness ``caught`` peeks out between stitches of another."""
    return SHOWS * abs(caught - front) / 100.0 * (DARK_BEHIND_LIGHT if caught < front else 1.0)


def from_change(chart_ij: Rows, square: Square, layout: Layout) -> int:
    """Return how many stitches a square lies from the nearest colour change, or edge, of its row; 1 is next to it."""
    row_j, column = chart_ij[square[0]], square[1]
    stitches = len(row_j)
    for off in range(1, stitches):
        for there in (column - off, column + off):
            if not (layout.closes or 0 <= there < stitches) or row_j[there % stitches] != row_j[column]:
                return off
    return stitches


def above(square: Square, up: int, rows: int, layout: Layout) -> Square | None:
    """Return the square so many rows ``up``, where the chart is repeated up in the next copy; None past the top."""
    row = square[0] + up
    if row >= rows and layout.up == 1:
        return None
    return row % rows, square[1]


def pairs(squares: Iterable[Square], up: int, rows: int, layout: Layout) -> Iterator[Pair]:
    """Yield the ``squares`` that have another of them ``up`` rows above, with that; once for every such place."""
    among = set(squares)
    for square in sorted(among):
        there = above(square, up, rows, layout)
        if there in among:
            assert there is not None
            yield square, there


def stacked(caught: Collection[Square], rows: int, layout: Layout) -> list[Pair]:
    """Return the catches that have another in the row directly above, with that."""
    return list(pairs(caught, 1, rows, layout))


def placing_cost(
    planned: Collection[Square], listed: Collection[Square], cost_of: Mapping[Square, float], rows: int, layout: Layout
) -> float:
    """Return what a whole plan costs: the sum of its squares and of its catches two rows apart."""
    caught = {*planned, *listed}
    return sum(cost_of[square] for square in planned) + TWO_ROWS * sum(
        1 for _ in two_rows(caught, listed, rows, layout)
    )


def two_rows(caught: Iterable[Square], listed: Collection[Square], rows: int, layout: Layout) -> Iterator[Pair]:
    """Yield the catches two rows apart in a column that a plan can help: not both ``listed``, nor neighbours anyway."""
    if layout.up > 1 and rows <= 3:  # two rows up is the same row, or the one below
        return
    for low, high in pairs(caught, 2, rows, layout):
        if low not in listed or high not in listed:
            yield low, high
