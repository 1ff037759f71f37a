"""Yarns that rest for whole rows and are carried up the back (or not)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from fabricsim import units
from fabricsim.design.scene.chart import Rows, rows_of

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
    counts the rows between, ``height`` is the way up from the one row to the other, m. ``other_edge``: worked
    flat, it waits at the far edge when it is wanted again.
    """

    yarn: int
    from_row: int
    to_row: int
    idle: int
    height: float
    from_column: int
    to_column: int
    other_edge: bool

    @property
    def advice(self) -> Advice:
        """What knitters do with a yarn that rests for so long; common practice and memory."""
        if self.other_edge or self.idle >= BREAK_FROM or self.height > BREAK_ABOVE_CM * units.CM:
            return "break and rejoin"
        return "carry up freely" if self.idle < TWIST_FROM else "twist on the way up"


def find_carry_ups(grid_ij: ChartGrid | Rows, *, row_height: float, in_the_round: bool) -> tuple[CarryUp, ...]:
    """Return every carry-up of a piece, from the bottom up.

    ``grid_ij``: ``(rows, stitches) int``, the yarn of each stitch, row 0 at the bottom, column 0 at the left
    of the face. ``row_height``: m. ``in_the_round``: every row is worked right to left; otherwise row 0 is
    and they alternate. The rows before a yarn's first and after its last are no carry-up.
    """
    yarn_ij = rows_of(grid_ij)
    found = []
    for yarn in {yarn for yarn_j in yarn_ij for yarn in yarn_j}:
        for start, end in pairwise(row for row, yarn_j in enumerate(yarn_ij) if yarn in yarn_j):
            idle = end - start - 1
            if idle == 0:
                continue
            leaves, returns = _columns(yarn_ij[start], yarn), _columns(yarn_ij[end], yarn)
            found.append(
                CarryUp(
                    yarn=yarn,
                    from_row=start,
                    to_row=end,
                    idle=idle,
                    height=(end - start) * row_height,
                    from_column=leaves[0 if in_the_round or start % 2 == 0 else -1],
                    to_column=returns[-1 if in_the_round or end % 2 == 0 else 0],
                    other_edge=not in_the_round and idle % 2 == 1,
                )
            )
    return tuple(sorted(found, key=lambda one: (one.from_row, one.yarn)))


def _columns(yarn_j: Sequence[int], yarn: int) -> list[int]:
    """Return where a row uses ``yarn``."""
    return [column for column, used in enumerate(yarn_j) if used == yarn]
