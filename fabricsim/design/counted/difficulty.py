"""How hard a chart is to knit evenly, told from what can be counted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from math import inf
from typing import Literal, NamedTuple

from fabricsim.design.floats.carry_ups import BREAK_FROM
from fabricsim.design.floats.of_scene import floats
from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.model import Scene

Level = Literal["easy", "some practice", "hard"]
LEVELS: tuple[Level, ...] = ("easy", "some practice", "hard")


class Steps(NamedTuple):
    """The most that is still ``easy``, and the most that takes ``practice``; above that it is hard."""

    easy: float
    practice: float

    def level(self, value: float) -> Level:
        """Return how hard so much is."""
        return LEVELS[(value > self.easy) + (value > self.practice)]


# All chosen, none measured: where knitters we would ask begin to slow down, at a guess.
STACK = Steps(3, 7)
"""Rows in which the same two colours meet in one and the same place: such a line pulls in and shows. Where they change
sides from row to row there is no line."""
THREE_COLOURS = Steps(0, 0)
"""Rows with three colours or more: a second layer of floats, tighter again (memory)."""
MEAN_GAP = Steps(3, 5)
"""Stitches that a float passes behind, on the mean."""
LONGEST_GAPS = Steps(1, 2)
"""The longest float, in longest floats that the scene allows. One that is there only where two rounds join doesn't make
a chart hard: it is caught once a round."""
BULGING = Steps(0.10, 0.30)
"""Share of the rows of a band that have no float: they stay wide between rows that draw in."""
CHANGES = Steps(35, inf)
"""Changes of colour to 100 stitches, in rows with floats: slow, but never hard by themselves. The most there can be, a
check of single stitches, has the shortest floats of all and nothing to count."""
BAND_GAP = BREAK_FROM - 1
"""Rows without a float that a band may hold in one piece; more part one band from the next (chosen: where a yarn
would be broken)."""


@dataclass(frozen=True)
class Stack:
    """The same two colours meet between columns ``left`` and ``left`` + 1 (in the round also across the edge) in so
    many ``rows`` on end, from row ``first`` on."""

    left: int
    first: int
    rows: int


@dataclass(frozen=True)
class Difficulty:
    """What makes a piece hard. ``patterned``: rows with two colours or more; ``three``: with three or more;
    ``in_bands``, ``without``: rows of bands, and those of them without a float. Floats are counted as they hang open,
    from catch to catch; ``longest_gap`` without those that are there only where two rounds join, ``at_join`` the
    longest of these."""

    rows: int
    patterned: int
    stack: Stack | None
    three: int
    floats: int
    mean_gap: float
    longest_gap: int
    allowed_gap: int
    in_bands: int
    without: int
    changes: float
    at_join: int

    @property
    def bulging(self) -> float:
        """Rows of bands that have no float, as a share."""
        return self.without / self.in_bands if self.in_bands else 0.0

    @property
    def longest_gaps(self) -> Steps:
        """The steps of the longest float, in stitches."""
        return Steps(LONGEST_GAPS.easy * self.allowed_gap, LONGEST_GAPS.practice * self.allowed_gap)

    @property
    def levels(self) -> dict[str, Level]:
        """How hard each of the six is."""
        return {
            "stack": STACK.level(self.stack.rows if self.stack else 0),
            "three": THREE_COLOURS.level(self.three),
            "mean_gap": MEAN_GAP.level(self.mean_gap),
            "longest_gap": self.longest_gaps.level(self.longest_gap),
            "bulging": BULGING.level(self.bulging),
            "changes": CHANGES.level(self.changes),
        }

    @property
    def verdict(self) -> Level:
        """How hard it is in all (chosen): two hard things make it hard; one, or two to practise, some practice."""
        found = list(self.levels.values())
        if found.count("hard") >= 2:
            return "hard"
        return "easy" if "hard" not in found and found.count("some practice") <= 1 else "some practice"


def difficulty(scene: Scene) -> Difficulty:
    """Return what makes the whole piece hard to knit evenly, as it is worked."""
    yarn_ij, closed = scene.piece_rows(), not scene.cut_open
    found = [one for one in floats(scene) if one.kind != "steek"]
    gaps = [one.counted_gap for one in found]
    joins = [one.counted_gap for one in found if one.kind == "round join" and scene.chart.across > 1]
    recurring = [one.counted_gap for one in found if one.kind != "round join" or scene.chart.across == 1]
    changes_i = [_changes(yarn_j, closed) for yarn_j in yarn_ij]
    patterned = [row for row, yarn_j in enumerate(yarn_ij) if len(set(yarn_j)) > 1]
    in_bands = rows_in_bands(patterned)
    return Difficulty(
        rows=len(yarn_ij),
        patterned=len(patterned),
        stack=longest_stack(yarn_ij, closed),
        three=sum(len(set(yarn_j)) > 2 for yarn_j in yarn_ij),
        floats=len(found),
        mean_gap=sum(gaps) / len(gaps) if gaps else 0.0,
        longest_gap=max(recurring, default=0),
        allowed_gap=scene.limits.most(scene.gauge.stitch_width),
        in_bands=in_bands,
        without=in_bands - len(patterned),
        changes=100.0 * sum(map(len, changes_i)) / (len(patterned) * len(yarn_ij[0])) if patterned else 0.0,
        at_join=max(joins, default=0),
    )


def rows_in_bands(patterned: Sequence[int]) -> int:
    """Return how many rows the bands hold whose ``patterned`` rows are these, in rising order."""
    between = sum(after - before - 1 for before, after in pairwise(patterned) if after - before - 1 <= BAND_GAP)
    return len(patterned) + between


def longest_stack(yarn_ij: Rows, closed: bool) -> Stack | None:
    """Return the most rows on end in which the same two colours meet in one place, the lowest of equals, or None."""
    best: Stack | None = None
    for left in range(len(yarn_ij[0]) if closed else len(yarn_ij[0]) - 1):
        right = (left + 1) % len(yarn_ij[0])
        meeting = enumerate((yarn_j[left], yarn_j[right]) for yarn_j in yarn_ij)
        for (one, other), group in groupby(meeting, key=lambda each: each[1]):
            rows = [row for row, _ in group]
            if one != other and (best is None or (len(rows), -rows[0]) > (best.rows, -best.first)):
                best = Stack(left, rows[0], len(rows))
    return best


def _changes(yarn_j: Sequence[int], closed: bool) -> list[int]:
    """Return the columns to the right of which the colour changes."""
    last = len(yarn_j) if closed else len(yarn_j) - 1
    return [column for column in range(last) if yarn_j[column] != yarn_j[(column + 1) % len(yarn_j)]]
