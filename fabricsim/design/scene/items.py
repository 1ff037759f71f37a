"""What is being knitted: where it is worn, by whom, and how long a float may therefore be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

Item = Literal[
    "swatch",
    "hat",
    "mittens",
    "socks",
    "cuffs",
    "sleeves",
    "body",
    "yoke",
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


@dataclass(frozen=True)
class ItemKind:
    """One sort of knitting: what it is ``worn_on``, whether by a ``baby``, and its longest open float.

    ``longest_cm`` is from memory, where the trade names a range the stricter end of it; 0 means no open floats at all.
    """

    worn_on: WornOn | None
    longest_cm: float
    baby: bool = False

    @property
    def longest_gap(self) -> int:
        """Stitches that a float may pass behind: the usual ones, or none."""
        return DEFAULT_LONGEST_GAP if self.longest_cm > 0.0 else 0


KINDS: dict[Item, ItemKind] = {
    "swatch": ItemKind(None, DEFAULT_LONGEST_CM),
    "hat": ItemKind("head", 2.5),
    "mittens": ItemKind("hand", 1.5),
    "socks": ItemKind("foot", 1.5),
    "cuffs": ItemKind("hand", 1.5),
    "sleeves": ItemKind("arm", 2.0),
    "body": ItemKind("chest", 2.5),
    "yoke": ItemKind("chest", 2.5),
    "child mittens": ItemKind("hand", 1.0),
    "baby hat": ItemKind("head", 1.0, baby=True),
    "baby mittens": ItemKind("hand", 0.0, baby=True),
    "baby socks": ItemKind("foot", 0.0, baby=True),
    "baby body": ItemKind("chest", 1.0, baby=True),
}
assert tuple(KINDS) == get_args(Item)


@dataclass(frozen=True)
class Limits:
    """The longest open float of a piece: ``longest_gap`` stitches and ``longest_cm`` cm, both to be kept."""

    longest_gap: int
    longest_cm: float
