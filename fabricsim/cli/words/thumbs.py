"""The thumb of a mitten in words: common practice."""

from __future__ import annotations

from collections.abc import Mapping

from fabricsim.cli.words.counts import count
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.piece.thumb import thumb_of

OTHER_HAND = "This is one mitten: knit a second, with its thumb where it is told for the other hand."


def thumb_place(piece: WholePiece) -> tuple[int, str] | None:
    """Return the number of the round in which the place of the thumb is held, and how."""
    thumb = thumb_of(piece)
    if thumb is None:
        return None
    right, left = (f"{first} to {first + thumb.held - 1}" for first in (thumb.right, thumb.left))
    return thumb.row, (
        f"Place of the thumb, in round {thumb.row}: for the right hand knit its stitches {right} with a piece of waste "
        "yarn in another colour, slip them back onto the left needle and knit them once more, as the round says. For "
        f"the left hand do so with its stitches {left}."
    )


def thumb_made(piece: WholePiece, called: Mapping[int, str]) -> list[str]:
    """Return how the thumb is knitted once the hand is done."""
    thumb = thumb_of(piece)
    if thumb is None:
        return []
    return [
        f"Thumb: pull out the waste yarn and put the {thumb.held} stitches below it and the {thumb.held} above on "
        f"needles; with {called[thumb.yarn]} knit them round, picking up 1 stitch more at each end: "
        f"{count(thumb.around, 'stitch')}. Knit {count(thumb.rounds, 'round')} in all, that one among "
        f"them, then knit 2 together all the way round: {count(thumb.last, 'stitch')}. Break the yarn, draw it twice "
        "through them and pull tight; with the end at the foot of the thumb close the gaps at its sides.",
        OTHER_HAND,
    ]
