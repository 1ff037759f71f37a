"""What a stitch is made by, as patterns write it."""

from __future__ import annotations

from typing import Literal

Made = Literal["k", "p", "k2tog", "ssk", "cdd", "m1", "m1l", "m1r"]
"""A stitch by what makes it, as patterns write it: knit, purl, decreases that lean right, left and stand upright, and
increases from the strand between two stitches."""

TAKES: dict[Made, int] = {"k": 1, "p": 1, "k2tog": 2, "ssk": 2, "cdd": 3, "m1": 0, "m1l": 0, "m1r": 0}
"""On how many stitches of the row below it stands."""


def even_groups(stitches: int, k: int) -> tuple[int, ...]:
    """Return ``stitches`` cut into ``k`` groups as even as can be, larger and smaller ones mixed evenly."""
    return tuple(i * stitches // k - (i - 1) * stitches // k for i in range(1, k + 1))
