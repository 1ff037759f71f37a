"""The small changes of a chart that may break a float."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from fabricsim.design.rows.squares import Layout, Passed, Square
from fabricsim.design.scene.chart import Rows

Edit = tuple[tuple[Square, int], ...]
"""Squares of the chart, and the yarn that each gets."""
NEAR = 2
"""By how many stitches several that are added may lie off their even places (chosen)."""


def changed(chart_ij: Rows, edit: Edit) -> Rows:
    """Return the chart with the squares of an ``edit`` in their new yarns."""
    rows = list(chart_ij)
    for (row, column), yarn in edit:
        rows[row] = (*rows[row][:column], yarn, *rows[row][column + 1 :])
    return tuple(rows)


def edits_of(chart_ij: Rows, layout: Layout, most: int, one: Passed) -> Iterator[Edit]:
    """Yield the edits that may break a float, the smallest first, and of these those nearest to even."""
    squares, yarn = one.squares, one.yarn
    middle = 0.5 * (len(squares) - 1)
    by_middle = sorted(range(len(squares)), key=lambda step: (abs(step - middle), step))
    yield from (((squares[step], yarn),) for step in by_middle)
    ends = _ends(chart_ij, layout, one)
    yarns = sorted({used for row in chart_ij for used in row})
    for end, inner in ends:  # a lone stitch taken out
        own = chart_ij[inner[0]][inner[1]]
        yield from (((end, used),) for used in sorted(set(yarns) - {yarn}, key=lambda used: (used != own, used)))
    for end, inner in ends:  # a stitch moved one inwards
        if end != inner:
            yield (end, chart_ij[inner[0]][inner[1]]), (inner, yarn)
    for stitches in range(2, len(squares) // (most + 1) + 2):
        yield from (tuple((squares[step], yarn) for step in steps) for steps in _spread(len(squares), stitches))


def _ends(chart_ij: Rows, layout: Layout, one: Passed) -> list[tuple[Square, Square]]:
    """Return the stitches of its own yarn between which a float may run, each with the square beside it."""
    rows, width = len(chart_ij), len(chart_ij[0])
    found = []
    for inner, way in ((one.squares[0], 1), (one.squares[-1], -1)):
        row, column = inner[0], (inner[1] + way) % width
        there = {(row, column)} if column == inner[1] + way or layout.across > 1 else set()
        if column != inner[1] + way and not layout.flat:
            there.add(((row - way) % rows, column))
        found += [(end, inner) for end in sorted(there) if chart_ij[end[0]][end[1]] == one.yarn]
    return found


def rows_of(edit: Edit) -> frozenset[int]:
    """Return the rows of the chart that an edit changes."""
    return frozenset(row for (row, _), _ in edit)


def _spread(gap: int, stitches: int) -> Iterator[tuple[int, ...]]:
    """Yield steps of so many ``stitches`` in a ``gap``, evenly first, then each a little off."""
    even = [round((gap + 1) * (number + 1) / (stitches + 1)) - 1 for number in range(stitches)]
    shifts = (
        sorted(product(range(-NEAR, NEAR + 1), repeat=stitches), key=lambda one: sum(map(abs, one)))
        if (stitches <= NEAR + 1)
        else [(0,) * stitches]
    )
    for shift in shifts:
        steps = tuple(at + off for at, off in zip(even, shift, strict=True))
        if len(set(steps)) == stitches and all(0 <= step < gap for step in steps):
            yield tuple(sorted(steps))
