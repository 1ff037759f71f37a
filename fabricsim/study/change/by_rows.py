"""Ways that leave the chart as it is and work some of its rows otherwise: floats looser there, or larger needles.

Which rows are to be looser is told by how much width the slack of each gives back (``fabric/sensitivity.py``): the
fewest that are enough at a middling slack, those that give most first, and then no looser than need be.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from fabricsim.design.scene.row_bands import MOST_SIZES, RowBand
from fabricsim.study.change.banding import bands_of_chart
from fabricsim.study.change.charted import ChartAtRest
from fabricsim.study.change.moves import LOOSEST

MIDDLING = 5
"""Per cent by which rows are looser while it is asked how many it takes (chosen: half of the most)."""
ENOUGH = 1.1
"""Times what has to be won back that rows are reckoned to give, for other floats then pull harder (chosen)."""


def give_by_row(charted: ChartAtRest) -> dict[int, float]:
    """Return how much less of its width the chart without end loses for a unit of slack more in each row of floats."""
    known = charted.known
    mesh = known.rest.mesh
    given: dict[int, float] = {}
    for node, loss in zip(mesh.floats.node_f2[:, 0].tolist(), known.loss_f.tolist(), strict=True):
        row = int(mesh.row_n[node])
        given[row] = given.get(row, 0.0) - loss
    return given


def looser_rows(given: Mapping[int, float], need: float) -> tuple[RowBand, ...]:
    """Return the fewest rows that are reckoned to win back a share ``need`` of the width at a middling slack, as bands
    that are all looser by the same whole per cent; all rows where it takes more than that; none if not even those at
    the loosest do. (Few rows much looser do less than is reckoned: their neighbours then bear the pull.)"""
    need *= ENOUGH * (1.0 - 1e-9)
    order = sorted((row for row in given if given[row] > 0.0), key=lambda row: (-given[row], row))
    won, rows = 0.0, list[int]()
    for row in order:
        if won >= need:
            break
        rows.append(row)
        won += 0.01 * MIDDLING * given[row]
    per_cent = won / MIDDLING
    looser = next((by for by in range(1, LOOSEST + 1) if by * per_cent >= need), None)
    if looser is None:
        return ()
    return tuple(RowBand(first=a + 1, last=b + 1, looser=0.01 * looser) for a, b in _runs(sorted(rows)))


def _runs(rows: list[int]) -> Iterator[tuple[int, int]]:
    """Yield the first and the last of rows that follow one another."""
    breaks = [0, *(place + 1 for place, (one, other) in enumerate(pairwise(rows)) if other > one + 1), len(rows)]
    for begin, end in pairwise(breaks):
        yield rows[begin], rows[end - 1]


def larger_needles(chart_ij: tuple[tuple[int, ...], ...]) -> Iterator[tuple[RowBand, ...]]:
    """Yield the rows with floats, and the few plain ones among them, on needles one size larger, two, and so on."""
    for sizes in range(1, MOST_SIZES + 1):
        yield tuple(
            RowBand(first=band.first + 1, last=band.last + 1, needle_sizes=sizes) for band in bands_of_chart(chart_ij)
        )
