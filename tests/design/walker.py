"""A knitter who walks the chart stitch by stitch and counts on her fingers."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from math import inf

Counted = tuple[int, int, int, int, int]
"""Yarn, row, start, direction, gap."""
Rows = Sequence[Sequence[int]]


class Hands:
    """Each yarn's last hold (row, column) and the stitches passed since, counted one by one."""

    def __init__(self) -> None:
        self.held: dict[int, tuple[int, int]] = {}
        self.passed: dict[int, int] = {}

    def hold(self, yarn: int, row: int, column: int) -> tuple[int, int, int] | None:
        """Hold ``yarn`` here; return where it was held before and how many stitches it passed, if any."""
        before = None
        if yarn in self.held and self.passed[yarn] > 0:
            before = (*self.held[yarn], self.passed[yarn])
        self.held[yarn], self.passed[yarn] = (row, column), 0
        return before

    def let_go(self, yarn: int) -> None:
        self.held.pop(yarn, None)

    def knit(self, yarn: int, row: int, column: int) -> tuple[int, int, int] | None:
        for other in self.held:
            if other != yarn:
                self.passed[other] += 1
        return self.hold(yarn, row, column)


def in_the_round(grid: Rows) -> Iterator[Counted]:
    """Walk round after round, right to left, and never stop at the join."""
    hands = Hands()
    for row, yarns in enumerate(grid):
        for column in reversed(range(len(yarns))):
            before = hands.knit(yarns[column], row, column)
            if before is not None:
                yield yarns[column], before[0], before[1], -1, before[2]
        for yarn in list(hands.held):
            if yarn not in yarns:
                hands.let_go(yarn)  # a whole round without it: carried up, not across


def endless(grid: Rows) -> Iterator[Counted]:
    """Walk each row three times over and report the floats that begin in the second copy."""
    for row, yarns in enumerate(grid):
        hands, width = Hands(), len(yarns)
        for column in reversed(range(3 * width)):
            yarn = yarns[column % width]
            before = hands.knit(yarn, row, column)
            if before is not None and width <= before[1] < 2 * width:
                yield yarn, row, before[1] - width, -1, before[2]


def back_and_forth(grid: Rows) -> Iterator[Counted]:
    """Walk row after row, turning at the edges, where every yarn of a row of several is held."""
    for row, yarns in enumerate(grid):
        several = sorted(set(yarns)) if len(set(yarns)) > 1 else []
        hands, width = Hands(), len(yarns)
        direction = 1 if row % 2 else -1
        columns = list(range(width)) if row % 2 else list(reversed(range(width)))
        for column in columns:
            at_edge = column in (0, width - 1)
            if not at_edge:
                before = hands.knit(yarns[column], row, column)
                if before is not None:
                    yield yarns[column], row, before[1], direction, before[2]
            else:
                for yarn in several:
                    before = hands.hold(yarn, row, column)
                    if before is not None:
                        yield yarn, row, before[1], direction, before[2]


def caught_in_the_round(
    grid: Rows, told: Collection[tuple[int, int, int]], most: float = inf
) -> tuple[int, set[tuple[int, int, int]]]:
    """Walk round after round and catch what is ``told`` (row, column, yarn); no further than where a strand has passed
    more than ``most`` stitches.

    Return the most stitches that any strand passed between two holds, and the catches that held a strand: one that was
    still wanted, in this round or the next.
    """
    hands = Hands()
    since: dict[
        int, list[tuple[int, tuple[int, int, int] | None]]
    ] = {}  # what became of a strand since its last stitch
    longest, held = 0, set()
    for row, yarns in enumerate(grid):
        for column in reversed(range(len(yarns))):
            used = yarns[column]
            for yarn in hands.held:
                if yarn == used:
                    continue
                hands.passed[yarn] += 1
                if (row, column, yarn) in told:
                    since[yarn].append((hands.passed[yarn] - 1, (row, column, yarn)))
                    hands.passed[yarn] = 0
            if used in hands.held:
                for passed, catch in [*since[used], (hands.passed[used], None)]:
                    longest = max(longest, passed)
                    held |= {catch} - {None}
                if longest > most:
                    return longest, held
            hands.hold(used, row, column)
            since[used] = []
        for yarn in list(hands.held):
            if yarn not in yarns:
                hands.let_go(yarn)
    return longest, held
