"""Yarns that rest for whole rows and are carried up the back (or not)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import TYPE_CHECKING, Literal

from fabricsim import units
from fabricsim.design.scene.chart import Rows, rows_of
from fabricsim.design.scene.items import Limits

if TYPE_CHECKING:
    from fabricsim.arrays import ChartGrid

Advice = Literal["carry up freely", "twist on the way up", "break and rejoin"]

TWIST_FROM = 4
"""Rows idle from which the yarn is twisted with the other on its way up; memory."""
BREAK_FROM = 6
"""Rows idle from which the yarn is better broken; memory (6 to 8)."""
BREAK_ABOVE_CM = 2.5
"""Height in cm above which the yarn is better broken; common practice."""


@dataclass(frozen=True)
class CarryUp:
    """A yarn idle for whole rows between two rows that use it.

    It leaves at the last stitch that it makes in ``from_row``, in column ``from_column``, and returns at its
    first in ``to_row``, in ``to_column`` (row 0 at the bottom, column 0 at the left of the face). ``idle``
    counts the rows between, ``height`` is the way up from the one row to the other, m, ``across`` the way sideways:
    the shorter way round in the round, none at the edge of flat work. ``over_limit``: it would lie open for longer
    than a float may, ``across_over_limit``: by its way sideways alone. ``other_edge``: worked flat, it waits at the far
    edge when it is wanted again.
    """

    yarn: int
    from_row: int
    to_row: int
    idle: int
    height: float
    across: float
    from_column: int
    to_column: int
    other_edge: bool
    over_limit: bool
    across_over_limit: bool

    @property
    def length(self) -> float:
        """Its way, m: straight along the back, across and up together."""
        return hypot(self.across, self.height)

    @property
    def advice(self) -> Advice:
        """What knitters do with a yarn that rests for so long; common practice and memory.

        A twist in the rounds between shortens what hangs free on the way up, but not a long way sideways (derived).
        """
        too_high = self.idle >= BREAK_FROM or self.height > BREAK_ABOVE_CM * units.CM
        if self.other_edge or too_high or self.across_over_limit:
            return "break and rejoin"
        return "twist on the way up" if self.idle >= TWIST_FROM or self.over_limit else "carry up freely"


def find_carry_ups(
    grid_ij: ChartGrid | Rows, *, row_height: float, stitch_width: float, in_the_round: bool, limits: Limits
) -> tuple[CarryUp, ...]:
    """Return every carry-up of a piece, from the bottom up.

    ``grid_ij``: ``(rows, stitches) int``, the yarn of each stitch, row 0 at the bottom, column 0 at the left
    of the face. ``row_height``, ``stitch_width``: m. ``in_the_round``: every row is worked right to left; otherwise
    row 0 is and they alternate. ``limits``: of floats; a way as wide as n + 1 stitches counts as one behind n. The
    rows before a yarn's first and after its last are no carry-up.
    """
    yarn_ij = rows_of(grid_ij)
    found = []
    for yarn in {yarn for yarn_j in yarn_ij for yarn in yarn_j}:
        for start, end in pairwise(row for row, yarn_j in enumerate(yarn_ij) if yarn in yarn_j):
            idle = end - start - 1
            if idle == 0:
                continue
            leaves, returns = _columns(yarn_ij[start], yarn), _columns(yarn_ij[end], yarn)
            left = leaves[0 if in_the_round or start % 2 == 0 else -1]
            back = returns[-1 if in_the_round or end % 2 == 0 else 0]
            around = len(yarn_ij[start])
            steps = min((left - back) % around, (back - left) % around) if in_the_round else 0
            across, height = steps * stitch_width, (end - start) * row_height
            over, across_over = (
                limits.too_long(way) or limits.too_many_stitches(way / stitch_width - 1.0)
                for way in (hypot(across, height), across)
            )
            found.append(
                CarryUp(
                    yarn=yarn,
                    from_row=start,
                    to_row=end,
                    idle=idle,
                    height=height,
                    across=across,
                    from_column=left,
                    to_column=back,
                    other_edge=not in_the_round and idle % 2 == 1,
                    over_limit=over,
                    across_over_limit=across_over,
                )
            )
    return tuple(sorted(found, key=lambda one: (one.from_row, one.yarn)))


def _columns(yarn_j: Sequence[int], yarn: int) -> list[int]:
    """Return where a row uses ``yarn``."""
    return [column for column, used in enumerate(yarn_j) if used == yarn]
