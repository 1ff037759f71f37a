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
    """Count the floats of rows worked right to left, running on into the next row or closed on themselves."""
    stitches = len(yarn_ij[0])
    found: list[Stretch] = []
    held: dict[int, int] = {}  # where each yarn was used last: stitches knitted before it
    for row, yarn_j in enumerate(yarn_ij):
        worked = list(enumerate(reversed(yarn_j), start=row * stitches))
        if not spiral:
            held = {yarn: place - stitches for place, yarn in worked}  # in the copy of the row before this one
        for place, yarn in worked:
            before = held.get(yarn, place)
            held[yarn] = place
            from_row = before // stitches if spiral else row
            if place - before > 1 and row - from_row <= 1:
                found.append(Stretch(yarn, from_row, stitches - 1 - before % stitches, -1, place - before - 1))
    return sorted(found, key=lambda one: (one.row, -one.start, one.yarn))


def flat_stretches(yarn_ij: Rows) -> list[Stretch]:
    """Count the floats of rows worked back and forth, every yarn of a row of several held at both edges."""
    last = len(yarn_ij[0]) - 1
    found: list[Stretch] = []
    for row, yarn_j in enumerate(yarn_ij):
        carried = set(yarn_j)
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
