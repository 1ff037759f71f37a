"""Where the needles bend in a small tube: which floats are laid round a corner there, and so come out shorter.

Between two needles, or where the cable is drawn out of a loop, the yarn is carried across the inside of the bend.
Pulled snug it takes the short way, from needle to needle; from round to round the corner stays over the same stitches,
and a line of tight floats climbs the tube. Worked inside out the floats go round the outside of every corner and lose
nothing.
"""

from __future__ import annotations

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


def crossed(left: int, steps: int, stitches: int, at: tuple[int, ...]) -> bool:
    """Return whether a float from the column ``left`` over so many ``steps`` to the right is laid round a corner."""
    return any(0 < (corner - left) % stitches <= steps or steps >= stitches for corner in at)
