"""Counting along the rows: between which stitches each yarn is carried. Not yet how far or how tight."""

from __future__ import annotations

from typing import NamedTuple

from fabricsim.design.scene.chart import Rows


class Stretch(NamedTuple):
    """A yarn carried from column ``start`` of ``row`` in ``direction`` behind ``gap`` stitches."""

    yarn: int
    row: int
    start: int
    direction: int
    gap: int


def round_stretches(yarn_ij: Rows, spiral: bool) -> list[Stretch]:
    """Count the floats of rows worked right to left, running on into the next row or closed on themselves.

    Rows may differ in length where they run on.
    """
    found: list[Stretch] = []
    held: dict[int, tuple[int, int, int]] = {}  # where each yarn was used last: stitches knitted before, row, column
    begun = 0
    for row, yarn_j in enumerate(yarn_ij):
        stitches = len(yarn_j)
        worked = list(enumerate(reversed(yarn_j)))
        if not spiral:  # in the copy of the row before this one
            held = {yarn: (begun + at - stitches, row, stitches - 1 - at) for at, yarn in worked}
        for at, yarn in worked:
            here = (begun + at, row, stitches - 1 - at)
            before, from_row, start = held.get(yarn, here)
            held[yarn] = here
            if here[0] - before > 1 and row - from_row <= 1:
                found.append(Stretch(yarn, from_row, start, -1, here[0] - before - 1))
        begun += stitches
    return sorted(found, key=lambda one: (one.row, -one.start, one.yarn))


def flat_stretches(yarn_ij: Rows) -> list[Stretch]:
    """Count the floats of rows worked back and forth, every yarn of a row of several held at both edges."""
    found: list[Stretch] = []
    for row, yarn_j in enumerate(yarn_ij):
        carried, last = set(yarn_j), len(yarn_j) - 1
        if len(carried) == 1:
            continue
        back = row % 2 == 1
        held = dict.fromkeys(carried, 0)  # stitches of the row knitted before the one where each was held last
        for place, used in enumerate(yarn_j if back else reversed(yarn_j)):
            for yarn in carried if place == last else (used,):
                before = held[yarn]
                held[yarn] = place
                if place - before > 1:
                    start = before if back else last - before
                    found.append(Stretch(yarn, row, start, 1 if back else -1, place - before - 1))
    return sorted(found, key=lambda one: (one.row, one.start * one.direction, one.yarn))
