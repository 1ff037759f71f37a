"""What is being knitted: where it is worn, by whom, and how long a float may therefore be."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor
from typing import Literal, get_args

from fabricsim.units import CM

Item = Literal[
    "swatch",
    "hat",
    "mittens",
    "socks",
    "cuffs",
    "sleeves",
    "body",
    "yoke",
    "cowl",
    "child mittens",
    "baby hat",
    "baby mittens",
    "baby socks",
    "baby body",
]
"""What a scene may say that it is for."""

WornOn = Literal["head", "hand", "foot", "arm", "chest"]

DEFAULT_LONGEST_GAP = 5
"""Stitches that a float may pass behind; common practice."""
DEFAULT_LONGEST_CM = 2.5
"""Centimetres that a float may pass behind; common practice."""
ROUND_OFF = 1e-9
"""By what share a width may pass a limit and not count as longer: rounding isn't a fault."""


@dataclass(frozen=True)
class ItemKind:
    """One sort of knitting: what it is ``worn_on``, whether by a ``baby``, and its longest open float.

    ``longest_cm`` is from memory, where the trade names a range the stricter end of it; 0 means no open floats at all.
    """

    worn_on: WornOn | None
    longest_cm: float
    baby: bool = False


KINDS: dict[Item, ItemKind] = {
    "swatch": ItemKind(None, DEFAULT_LONGEST_CM),
    "hat": ItemKind("head", 2.5),
    "mittens": ItemKind("hand", 1.5),
    "socks": ItemKind("foot", 1.5),
    "cuffs": ItemKind("hand", 1.5),
    "sleeves": ItemKind("arm", 2.0),
    "body": ItemKind("chest", 2.5),
    "yoke": ItemKind("chest", 2.5),
    "cowl": ItemKind(None, DEFAULT_LONGEST_CM),
    "child mittens": ItemKind("hand", 1.0),
    "baby hat": ItemKind("head", 1.0, baby=True),
    "baby mittens": ItemKind("hand", 0.0, baby=True),
    "baby socks": ItemKind("foot", 0.0, baby=True),
    "baby body": ItemKind("chest", 1.0, baby=True),
}
assert tuple(KINDS) == get_args(Item)


@dataclass(frozen=True)
class Limits:
    """The longest open float of a piece: ``longest_gap`` stitches and ``longest_cm`` cm, both to be kept; None for one
    of them that doesn't count."""

    longest_gap: int | None
    longest_cm: float | None

    @property
    def none_open(self) -> bool:
        """Whether no float may stay open at all."""
        return self.longest_gap == 0 or self.longest_cm == 0.0

    def too_many_stitches(self, gap: float) -> bool:
        """Return whether a float passes behind too many stitches."""
        return self.longest_gap is not None and gap > self.longest_gap

    def too_long(self, width: float) -> bool:
        """Return whether a float passes behind stitches that are too wide, m."""
        return self.longest_cm is not None and width / CM > self.longest_cm * (1.0 + ROUND_OFF)

    def most(self, stitch_width: float) -> int:
        """Return how many stitches so wide, m, a float may pass behind."""
        by_cm = None if self.longest_cm is None else floor(self.longest_cm * CM / stitch_width * (1.0 + ROUND_OFF))
        return min(one for one in (self.longest_gap, by_cm) if one is not None)


def limits_of(item: Item | None, longest_gap: int | None, longest_cm: float | None, stitch_width: float) -> Limits:
    """Return what limits the floats of an ``item``, of what a scene writes (None: nothing) and of what is usual.

    What is written decides, and alone. If nothing is, the usual stitches and cm; but at gauges at which the usual
    stitches are narrower than the usual cm, the cm alone. Where no float may be open, one limit that is written does
    not change it.
    """
    kind = KINDS[item] if item is not None else KINDS["swatch"]
    if kind.longest_cm == 0.0:
        return Limits(0 if longest_gap is None else longest_gap, 0.0 if longest_cm is None else longest_cm)
    if longest_gap is not None or longest_cm is not None:
        return Limits(longest_gap, longest_cm)
    fine = DEFAULT_LONGEST_GAP * stitch_width / CM * (1.0 + ROUND_OFF) < DEFAULT_LONGEST_CM
    return Limits(None if fine else DEFAULT_LONGEST_GAP, kind.longest_cm)
