"""The thumb of a mitten: its place held by waste yarn, and knitted when the hand is done."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.design.piece.model import WholePiece
from fabricsim.design.scene.bodies import Body
from fabricsim.design.scene.items import Item

HAND_LONG = 0.95
"""How long a hand is from the wrist, over how far round the knuckles it is (memory: 17 cm for 18)."""
THUMB_UP = 0.40
"""How far up the hand the thumb leaves it, share of its length (memory)."""
THUMB_LONG = 0.33
"""How long the thumb is, share of the same (memory)."""
THUMB_WIDE = 0.18
"""Stitches held for it, share of those round the hand (memory: about a fifth; twice as many and two go round it)."""
FEWEST_HELD = 3
"""Fewer make no thumb (chosen)."""
THUMBED: frozenset[Item | None] = frozenset({"mittens", "child mittens"})
"""What has a thumb; mittens of babies usually have none (common practice)."""


@dataclass(frozen=True)
class Thumb:
    """``held`` stitches of round ``row``, as it is numbered: from ``right`` on for the right hand, from ``left`` on for
    the left, counted from 1 as they are worked. Then ``around`` stitches of ``yarn`` are knitted for so many plain
    ``rounds``, and ``last`` drawn together after one more; ``stitches`` in all."""

    row: int
    held: int
    right: int
    left: int
    yarn: int
    around: int
    rounds: int
    last: int
    stitches: int


def hand_length(body: Body) -> float:
    """Return how long a hand usually is from the wrist, m."""
    return 0.01 * HAND_LONG * body.middle_cm


def thumb_of(piece: WholePiece) -> Thumb | None:
    """Return the thumb of a mitten worked in the round; None for what has none, or is too small for it."""
    scene = piece.scene
    if scene.item not in THUMBED or scene.worked == "flat":
        return None
    row_height, stitches = scene.gauge.row_height, piece.stitches
    hand = piece.hand if piece.hand is not None else HAND_LONG * piece.finished
    straight = len(piece.section("chart").rows) + len(piece.section("plain").rows)
    held, half = round(THUMB_WIDE * stitches), stitches // 2
    if held < FEWEST_HELD or half - held < 2 or straight < 2:
        return None
    around = 2 * held + 2
    rounds = max(1, round(THUMB_LONG * hand / row_height) - 1)
    return Thumb(
        row=min(max(1, round(THUMB_UP * hand / row_height)), straight),
        held=held,
        right=half - held,  # on the palm, a stitch from the side where the first finger is
        left=half + 2,
        yarn=piece.last.yarn,
        around=around,
        rounds=rounds,
        last=around // 2,
        stitches=2 + rounds * around + around // 2,
    )
