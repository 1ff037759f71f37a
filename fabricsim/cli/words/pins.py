"""What is said of a flat piece whose edges curl once its pins are out, where it is seen so."""

from __future__ import annotations

from fabricsim.fabric.lying import Unpinned

SEEN_CURLED = "Seen off its pins, its edges curled; draw-in and pucker are told of it pinned flat, as it is measured."
STILL_PINNED = "Off its pins its edges curl, but no rest was found for that: it is seen pinned flat."


def pins_said(loose: Unpinned | None) -> list[str]:
    """Return how a piece is seen lying, in a line; none of what has no pins to take out."""
    if loose is None:
        return []
    return [STILL_PINNED if loose.rest is None else SEEN_CURLED]
