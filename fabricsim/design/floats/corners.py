"""Where the needles bend in a small tube: which floats are laid round a corner there, and so come out shorter.

Between two needles, or where the cable is drawn out of a loop, the yarn is carried across the inside of the bend.
Pulled snug it takes the short way, from needle to needle; from round to round the corner stays over the same stitches,
and a line of tight floats climbs the tube. Worked inside out the floats go round the outside of every corner and lose
nothing.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate

from fabricsim.design.scene.needle_corners import Needles

CORNERS: dict[Needles, int] = {"double-pointed": 4, "magic loop": 2, "two circulars": 2}
"""In how many parts they divide the round: four needles and one to knit with, two halves of a loop, two needles."""


def corners(stitches: int, needles: Needles) -> tuple[int, ...]:
    """Return the columns, from the face's left, on whose left a needle ends; a round begins at the right, where the
    first needle does.

    >>> corners(20, "double-pointed")
    (0, 15, 10, 5)
    """
    parts = CORNERS[needles]
    return tuple((stitches - round(stitches * part / parts)) % stitches for part in range(parts))


def carried_up(at: tuple[int, ...], stitches: int, takes: Sequence[int]) -> tuple[int, ...]:
    """Return the same columns in the next round, each of whose stitches, from its right, stands on so many of the
    ``stitches`` of this one.

    What is made at a corner goes onto the needle that ends there; what is worked together across it onto the next.

    >>> carried_up((0, 15, 10, 5), 20, [1, 0] + [1] * 18 + [0, 1])
    (0, 16, 11, 6)
    >>> carried_up((0, 2), 4, [1, 2, 1])
    (0, 2)
    """
    worked = list(accumulate(takes))
    right = [(stitches - column) % stitches for column in at]
    return tuple((len(takes) - bisect_right(worked, one)) % len(takes) if one else 0 for one in right)


def crossed(left: int, steps: int, stitches: int, at: tuple[int, ...]) -> bool:
    """Return whether a float from the column ``left`` over so many ``steps`` to the right is laid round a corner."""
    return any(0 < (corner - left) % stitches <= steps or steps >= stitches for corner in at)
