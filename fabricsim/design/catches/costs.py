"""What a catch costs where it lies: how the trade's rules for placing catches are weighed against each other."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from math import ceil
from typing import NamedTuple

from fabricsim.design.rows.squares import Hold, Layout, Square
from fabricsim.design.scene.chart import Rows

Pair = tuple[Hold, Hold]
"""Two catches that come to lie near each other somewhere in the piece: the lower one, or the right one, first."""
Run = tuple[tuple[Hold, ...], ...]
"""An open stretch of a float, square after square: the catches that would hold it there, one or two."""

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


class Ground(NamedTuple):
    """A chart of so many ``rows`` and ``stitches`` as it is set into its piece: who lies near whom."""

    rows: int
    stitches: int
    layout: Layout

    def pairs(self, holds: Iterable[Hold], up: int, left: int) -> Iterator[Pair]:
        """Yield the ``holds`` that have another of them so many rows ``up`` and stitches to the ``left`` in the piece.

        Each once, however often they lie so. Where the chart is repeated, one may lie on itself, or each on the other.
        """
        ordered = sorted(set(holds))
        at: dict[Square, list[Hold]] = {}
        for hold in ordered:
            for place in self._places(hold):
                at.setdefault(place, []).append(hold)
        found: dict[Pair, None] = {}
        for hold in ordered:
            for row, column in self._places(hold):
                for other in at.get((row + up, column - left), ()):
                    found[hold, other] = None
        yield from found

    def _places(self, hold: Hold) -> Iterator[Square]:
        """Yield where a catch is made in as many repeats as have all joins of the piece."""
        across, up = self.layout.copies
        numbers = {"every": range(across), "first": (across - 1,), "last": (0,)}[hold.repeat]
        for above in range(up):
            for number in numbers:
                yield hold.row + above * self.rows, hold.column + number * self.stitches

    def stacked(self, holds: Iterable[Hold]) -> list[Pair]:
        """Return the catches that have another in the row directly above, with that."""
        return list(self.pairs(holds, 1, 0))

    def side_by_side(self, holds: Iterable[Hold]) -> list[Pair]:
        """Return the catches that have another behind the next stitch of their row, with that."""
        return list(self.pairs(holds, 0, 1))

    def clashes(self, holds: Collection[Hold]) -> list[Pair]:
        """Return every two catches that should not lie as they do: stacked, or side by side."""
        return self.stacked(holds) + self.side_by_side(holds)

    def two_rows(self, holds: Iterable[Hold], listed: Collection[Hold]) -> Iterator[Pair]:
        """Yield the catches two rows apart in a column that a plan can help: not both ``listed``, nor neighbours."""
        if self.layout.up > 1 and self.rows <= 3:  # two rows up is the same row, or the one below
            return
        for low, high in self.pairs(holds, 2, 0):
            if low not in listed or high not in listed:
                yield low, high

    def made(self, hold: Hold) -> int:
        """Return how often a catch is made in one row of the piece."""
        return self.layout.across if hold.repeat == "every" else 1


def costs(
    chart_ij: Rows, runs: Sequence[Run], most: int, lightness_y: Sequence[float], layout: Layout
) -> dict[Hold, float]:
    """Return what each catch costs that would hold an open run, neighbours apart.

    ``runs``: the stretches over the limit of ``most`` stitches; ``lightness_y``: the L* of each yarn.
    """
    cost: dict[Hold, float] = {}
    for run in runs:
        gap = len(run)
        pieces = gap // (most + 1) + 1  # with the fewest catches
        for step, choices in enumerate(run, start=1):
            nth = min(ceil(step / (most + 1)), pieces - 1)  # the only one that it can be
            off = step - nth * (gap + 1) / pieces
            for hold in choices:
                cost[hold] = cost.get(hold, 0.0) + UNEVEN * off * off
    for hold in cost:
        cost[hold] += BESIDE.get(from_change(chart_ij, hold.square, layout), 0.0)
        cost[hold] += shows(lightness_y[hold.yarn], lightness_y[chart_ij[hold.row][hold.column]])
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


def placing_cost(
    planned: Collection[Hold], listed: Collection[Hold], cost_of: Mapping[Hold, float], ground: Ground
) -> float:
    """Return what a whole plan costs: the sum of its catches and of those two rows apart."""
    apart = ground.two_rows({*planned, *listed}, listed)
    return sum(cost_of[hold] for hold in planned) + TWO_ROWS * sum(1 for _ in apart)
