"""Which yarns meet in the fabric, which of the two is carried below the other, and which of them makes the motif."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.model import Scene

CLEARLY_FEWER = 0.45
"""Share of the stitches of both below which a yarn is the motif, the other the ground. Chosen: a little under half."""


@dataclass(frozen=True)
class Meeting:
    """Two yarns, ``one`` before ``other`` in the scene, whose stitches touch.

    ``beside``, ``above``: in how many places, side by side and one above the other; ``together``: rows that use both,
    and ``stitches_of_one``, ``stitches_of_other`` in these. ``below``: the yarn that is carried below the other, None
    if no row carries both or a third yarn runs below either.
    """

    one: int
    other: int
    beside: int
    above: int
    together: int
    stitches_of_one: int
    stitches_of_other: int
    below: int | None

    @property
    def motif(self) -> int | None:
        """The yarn with clearly fewer stitches in the rows of both, which makes the motif; None if neither has."""
        both = self.stitches_of_one + self.stitches_of_other
        if both == 0 or min(self.stitches_of_one, self.stitches_of_other) >= CLEARLY_FEWER * both:
            return None
        return self.one if self.stitches_of_one < self.stitches_of_other else self.other


def stitches_of_yarns(yarn_ij: Rows, yarns: int) -> tuple[int, ...]:
    """Return how many stitches each of so many ``yarns`` makes."""
    made = Counter(yarn for yarn_j in yarn_ij for yarn in yarn_j)
    return tuple(made[yarn] for yarn in range(yarns))


def meetings(scene: Scene) -> tuple[Meeting, ...]:
    """Return every two yarns whose stitches touch in the piece; those that touch oftenest first.

    In the round the last stitch of a round lies beside the first of the next, but for a steek. Which strand of a row
    lies lowest is as the scene says.
    """
    yarn_ij = scene.piece_rows()
    beside = Counter(_pair(*two) for yarn_j in yarn_ij for two in pairwise(yarn_j))
    above = Counter(_pair(*two) for low_j, high_j in pairwise(yarn_ij) for two in zip(low_j, high_j, strict=True))
    if not scene.cut_open:
        beside += Counter(_pair(low_j[0], high_j[-1]) for low_j, high_j in pairwise(yarn_ij))
    pairs = {pair for pair in beside | above if pair[0] != pair[1]}
    order = scene.strands_from_below
    found = [_meeting(yarn_ij, order, pair, beside[pair], above[pair]) for pair in pairs]
    return tuple(sorted(found, key=lambda two: (-two.beside - two.above, two.one, two.other)))


def with_motifs_below(from_below: Sequence[int], found: Sequence[Meeting]) -> tuple[int, ...]:
    """Return the yarns in the order in which their strands should lie, the lowest first: every motif below its ground.

    That the strand below stands out, and should be the motif's, is common practice. Nothing else of the order changes;
    where motifs run in a ring, it can't be had of all of them.
    """
    below = {(one.motif, one.other if one.motif == one.one else one.one) for one in found if one.motif is not None}
    left, order = list(from_below), []
    while left:
        free = [yarn for yarn in left if not any((other, yarn) in below for other in left)]
        order.append((free or left)[0])
        left.remove(order[-1])
    return tuple(order)


def _pair(one: int, other: int) -> tuple[int, int]:
    return min(one, other), max(one, other)


def _meeting(yarn_ij: Rows, order: Sequence[int], pair: tuple[int, int], beside: int, above: int) -> Meeting:
    one, other = pair
    rows = [yarn_j for yarn_j in yarn_ij if one in yarn_j and other in yarn_j]
    made = stitches_of_yarns(rows, other + 1)
    lower = min(pair, key=order.index)
    lowest = any(min(set(yarn_j), key=order.index) == lower for yarn_j in rows)
    return Meeting(one, other, beside, above, len(rows), made[one], made[other], lower if lowest else None)
