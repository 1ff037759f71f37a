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
    held: dict[int, int] = {}  # how many stitches were knitted before the one where each yarn was used last
    below, begun = 0, 0  # and before the last row and this one
    for row, yarn_j in enumerate(yarn_ij):
        if not spiral:  # in the copy of the row before this one
            held = {yarn: place - len(yarn_j) for place, yarn in enumerate(reversed(yarn_j), begun)}
        for place, yarn in enumerate(reversed(yarn_j), begun):
            before = held.get(yarn, place)
            held[yarn] = place
            if place - before > 1:
                gap = place - before - 1
                if before >= begun:
                    found.append(Stretch(yarn, row, begun + len(yarn_j) - 1 - before, -1, gap))
                elif before >= below or not spiral:
                    found.append(Stretch(yarn, row - spiral, begun - 1 - before, -1, gap))
        below, begun = begun, begun + len(yarn_j)
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
