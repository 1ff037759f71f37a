"""Whether it goes on: how far it must stretch to pass the widest place, against how far it can."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

PLAIN_LEAST, PLAIN_MOST = 0.30, 0.50
"""How far plain fabric stretches at hand (memory). Of a rib too, reckoned from the width of its stitches in plain
fabric: the loops are as long, and the cast-on holds it no wider."""
BEYOND_SLACK = 0.05
"""How much farther stranded fabric goes once its floats are taut (derived from memory: 10 to 20 % at hand, less the
5 to 15 % of slack that is usual; stitches lend the floats some yarn)."""

Answer = Literal["yes", "yes, snugly", "can't say", "no"]


@dataclass(frozen=True)
class TightPlace:
    """One place of the item: shares by which it must stretch, does so with ease, and does so at all.

    ``measured``: what it must pass is measured, or is what it is worn on; else it is reckoned from a usual body, and
    that it lacks stretch can't be told for sure.
    """

    name: str
    needed: float
    easy: float
    most: float
    measured: bool = True

    @property
    def answer(self) -> Answer:
        """Whether this place passes the body."""
        if self.needed <= self.most:
            return "yes" if self.needed <= self.easy else "yes, snugly"
        return "no" if self.measured else "can't say"


def needed_stretch(widest: float, finished: float) -> float:
    """Return the share by which ``finished`` must stretch to pass ``widest``, both m; nothing if it is wider."""
    return max(0.0, widest / finished - 1.0)


def spare_in_floats(slack: float, lost: float) -> float:
    """Return the share by which fabric that drew in by ``lost`` stretches before its floats are taut (derived).

    A float of slack s is (1 + s) times its way in plain fabric, and its way has become 1 - lost of that.
    """
    return max(0.0, (1.0 + slack) / (1.0 - lost) - 1.0)


def colourwork(widest: float, finished: float, slack: float, lost: float, *, measured: bool = True) -> TightPlace:
    """Return the colourwork as a place to pass: with ease until its floats are taut, then hardly farther."""
    spare = spare_in_floats(slack, lost)
    return TightPlace(
        "colourwork",
        needed_stretch(widest, finished),
        min(spare, PLAIN_LEAST),
        min(spare + BEYOND_SLACK, PLAIN_LEAST),
        measured,
    )


def rib(widest: float, stitches: int, stitch_width: float, *, measured: bool = True) -> TightPlace:
    """Return the rib's edge as a place to pass."""
    return TightPlace("rib", needed_stretch(widest, stitches * stitch_width), PLAIN_LEAST, PLAIN_MOST, measured)


def weakest(places: Sequence[TightPlace]) -> TightPlace:
    """Return the place that has least stretch left, or lacks most."""
    return min(places, key=lambda one: one.most - one.needed)
