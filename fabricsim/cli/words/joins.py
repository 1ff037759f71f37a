"""Where rounds begin and how to hide the step there; rows worked flat that begin at the edge where their yarn waits."""

from __future__ import annotations

from fabricsim.cli.words.counts import count
from fabricsim.design.floats.carry_ups import BREAK_FROM
from fabricsim.design.piece.join import join_of
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.piece.used import carries_of
from fabricsim.design.scene.items import Item

# common practice, all of them
BEGINS: dict[Item, str] = {
    "hat": "the middle of the back",
    "baby hat": "the middle of the back",
    "mittens": "the side of the hand, where the little finger is",
    "child mittens": "the side of the hand, where the little finger is",
    "baby mittens": "the side of the hand, where the little finger is",
    "socks": "the back of the leg",
    "baby socks": "the back of the leg",
    "cuffs": "the inner side of the wrist",
    "sleeves": "the underside of the arm",
    "body": "one side, under the arm",
    "baby body": "one side, under the arm",
    "yoke": "the middle of the back",
    "cowl": "the middle of the back",
}
"""Where the beginning of the round is worn, so that its step is seen least."""
HIDE = (
    "To hide the step: when you come to the first stitch of the second round of a colour, lift the stitch below it "
    "onto the left needle and knit the two together; the count stays as it is."
)


def join_said(piece: WholePiece) -> list[str]:
    """Return where the rounds begin, what the step does to the pattern, and how to hide it; nothing flat, or where a
    steek lies there."""
    join = join_of(piece.scene)
    if join is None:
        return []
    item = piece.scene.item
    worn = f"; wear it at {BEGINS[item]}" if item is not None and item in BEGINS else ""
    broken = "no line of it runs across"
    if join.edges:
        broken = f"{count(join.edges, 'line')} of it {'is' if join.edges == 1 else 'are'} broken"
    said = [
        "The rounds begin at the right edge of the chart. They are a spiral: there the pattern steps up by a "
        f"round, and {broken}{worn}."
    ]
    if join.edges_there < join.edges:
        left = count(join.edges_there, "line") if join.edges_there else "none"
        said.append(
            f"A chart that began at its stitch {join.best} would break {left}: move the "
            f"{count(join.best - 1, 'stitch')} before it to the other side of the chart."
        )
    return [*said, HIDE] if join.edges else said


def either_end_said(piece: WholePiece, word: str) -> list[str]:
    """Return how to save breaking a yarn that waits at the other edge, where it does after a few rows."""
    waiting = [one for one in carries_of(piece) if one.other_edge and one.idle < BREAK_FROM and one.from_row >= 0]
    if not waiting:
        return []
    one = waiting[0]
    name = piece.scene.yarns[one.yarn].name
    return [
        f"After an odd number of {word}s a yarn waits at the far edge, as {name} does before {word} {one.to_row + 1}. "
        "On a circular needle it need not be broken: slide the stitches to the end where it hangs and work from there. "
        f"That {word} is then on the same side as the one before it, and right and wrong sides change places from "
        "there on: knit what is to be seen as knit, whichever side you are on."
    ]
