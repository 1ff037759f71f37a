"""Which stitch stands on which: the connectivity of shaped rows, as index arrays.

All stitches are taken in one sequence, from right to left and row by row, as they are knitted in the round. Each takes
up the next stitches of the row below: one, two or three, or none, a stitch made from the strand between two. In the
round the sequence runs on from row to row, so that the join is a place like any other; else rows end at the edges.

A stitch that is made stands with a leg on either side of its strand. The yarn that is drawn through the last stitches
is one more node, which stands on all of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fabricsim.arrays import ArrayRecord, Floats, Ints, Mask
from fabricsim.design.rows.shaped import ShapedRows
from fabricsim.design.scene.made import TAKES, Made

LEANS: dict[Made, int] = {"k2tog": -1, "ssk": 0, "cdd": 1}
"""Which of the stitches it takes lies on top, counted as they are worked: the last leans right, the first leans left,
the middle one stands upright (common practice)."""


@dataclass(frozen=True, eq=False, repr=False)
class Standing(ArrayRecord):
    """Who stands on whom, and beside whom.

    ``row_n``, ``column_n`` (n,) int, columns from the left of the face; ``count_i`` (rows,) int, stitches of each row;
    ``neighbour_n4`` (n, 4) int: left, right, down, up, -1 for none; of several below the one that lies on top, of
    several above the one that stands on it. ``course_b2`` (b, 2) int: stitch and its right-hand neighbour;
    ``leg_b2`` (b, 2) int: a stitch and the one that stands on it; ``cell_s4`` (s, 4) int: lower left, lower right,
    upper left, upper right of each cell, of a triangle two of them alike; ``ribbed_n`` (n,) bool; ``apex``: the node of
    the drawn-up top, or -1; ``made_n`` (n,) int: number of the stitch's kind in ``KINDS``.
    """

    row_n: Ints
    column_n: Ints
    count_i: Ints
    neighbour_n4: Ints
    course_b2: Ints
    leg_b2: Ints
    cell_s4: Ints
    ribbed_n: Mask
    apex: int
    made_n: Ints

    @property
    def triangle_s(self) -> Mask:
        """Which cells have but three corners, (s,) bool."""
        cell = self.cell_s4
        return np.asarray((cell[:, 0] == cell[:, 1]) | (cell[:, 2] == cell[:, 3]))

    @property
    def along_n(self) -> Floats:
        """How far along its row each stitch lies, (n,): shares of the row from its right end, the middle of the first
        stitch at nought."""
        count_n = self.count_i[self.row_n]
        along_n: Floats = (count_n - 1 - self.column_n) / count_n
        return along_n


KINDS: tuple[Made, ...] = tuple(TAKES)


def standing_of(piece: ShapedRows) -> Standing:
    """Return how the stitches of a ``piece`` stand on one another."""
    count_i = np.array([len(row) for row in piece.rows], dtype=np.intp)
    begin_i = np.concatenate([[0], np.cumsum(count_i)])
    total = int(begin_i[-1])
    row_q = np.repeat(np.arange(len(count_i)), count_i)
    column_q = count_i[row_q] - 1 - (np.arange(total) - begin_i[row_q])
    node_q = begin_i[row_q] + column_q
    made_q = np.array([KINDS.index(one) for row in piece.rows for one in reversed(row.made)], dtype=np.intp)
    takes_q = np.array([TAKES[one] for one in KINDS], dtype=np.intp)[made_q]
    apex = -1
    if piece.drawn:
        apex = total
        row_q, column_q, node_q = (np.append(a, b) for a, b in ((row_q, len(count_i)), (column_q, 0), (node_q, total)))
        made_q, takes_q = np.append(made_q, 0), np.append(takes_q, count_i[-1])
        count_i = np.append(count_i, 1)
    legs, cells = _stood(takes_q, row_q, int(count_i[0]), piece.tube)
    beside_q = np.ones(total - 1, dtype=bool) if piece.tube else np.diff(row_q[:total]) == 0
    right_b = np.flatnonzero(beside_q)  # sequence number of the right one; the next is its left neighbour
    course_b2 = np.stack([node_q[right_b + 1], node_q[right_b]], axis=1)
    neighbour_q4 = np.full((len(node_q), 4), -1, dtype=np.intp)
    neighbour_q4[right_b, 0] = node_q[right_b + 1]
    neighbour_q4[right_b + 1, 1] = node_q[right_b]
    _on_top(neighbour_q4, legs, takes_q, made_q, node_q)
    neighbour_n4 = np.empty_like(neighbour_q4)
    neighbour_n4[node_q] = neighbour_q4
    if piece.drawn:
        last = node_q[begin_i[-2] : total]  # from right to left
        part = [last[round(share * len(last)) % len(last)] for share in (0.0, 0.25, 0.5, 0.75)]
        # seen from above, going left along a row turns clockwise about the top: left, up, right, down
        neighbour_n4[apex] = (part[0], part[2], part[3], part[1])
    ribbed = np.repeat([row.ribbed for row in piece.rows], [len(row) for row in piece.rows])
    return Standing(
        row_n=_by_node(row_q, node_q),
        column_n=_by_node(column_q, node_q),
        count_i=count_i,
        neighbour_n4=neighbour_n4,
        course_b2=course_b2,
        leg_b2=node_q[legs],
        cell_s4=node_q[cells],
        ribbed_n=np.append(ribbed, False) if piece.drawn else ribbed,
        apex=apex,
        made_n=_by_node(made_q, node_q),
    )


def _by_node(value_q: Ints, node_q: Ints) -> Ints:
    value_n = np.empty_like(value_q)
    value_n[node_q] = value_q
    return value_n


def _stood(takes_q: Ints, row_q: Ints, first: int, tube: bool) -> tuple[Ints, Ints]:
    """Return legs (b, 2) and cells (s, 4) by numbers of the sequence."""
    below_q = np.concatenate([np.zeros(first, dtype=np.intp), np.cumsum(takes_q[first:]) - takes_q[first:]])
    legs: list[tuple[int, int]] = []
    cells: list[tuple[int, int, int, int]] = []
    before: tuple[int, int] | None = None  # the stitch before, and the last that it stands on
    q, total = first, len(takes_q)
    while q < total:
        many = 1
        if takes_q[q] == 0:
            while q + many < total and takes_q[q + many] == 0 and row_q[q + many] == row_q[q]:
                many += 1
        for at in range(many):
            here, low = q + at, int(below_q[q + at])
            if takes_q[here]:
                feet = list(range(low, low + int(takes_q[here])))
            else:
                # the strand lies between the last stitch taken and the next: in the middle of several legs on both
                sides = [foot for foot in (low - 1, low) if _same_run(foot, here, row_q, tube)]
                middle = 2 * at + 1 - many
                feet = sides if middle == 0 or len(sides) == 1 else [sides[0] if middle < 0 else sides[1]]
            legs += [(foot, here) for foot in feet]
            if not tube and before is not None and row_q[before[0]] != row_q[here]:
                before = None
            if before is not None:
                beside, foot = before
                # lower left, lower right, upper left, upper right: the sequence runs to the left
                cells.append((feet[0], foot, here, beside))
            cells += [(left, right, here, here) for right, left in pairwise(feet)]
            before = (here, feet[-1])
        q += many
    return np.array(legs, dtype=np.intp).reshape(-1, 2), np.array(cells, dtype=np.intp).reshape(-1, 4)


def _same_run(foot: int, here: int, row_q: Ints, tube: bool) -> bool:
    """Whether there is a stitch ``foot`` beside a strand on which ``here`` is made: not past an edge."""
    return foot >= 0 and (tube or row_q[foot] == row_q[here] - 1)


def _on_top(neighbour_q4: Ints, legs: Ints, takes_q: Ints, made_q: Ints, node_q: Ints) -> None:
    """Fill in who is below and above: of several feet the one on top, for which that is the one above."""
    order = np.argsort(legs[:, 1], kind="stable")
    feet_of = np.split(legs[order, 0], np.flatnonzero(np.diff(legs[order, 1])) + 1)
    taken: dict[int, int] = {}
    made_up: dict[int, int] = {}
    for here, feet in zip(np.unique(legs[:, 1]).tolist(), feet_of, strict=True):
        top = feet[LEANS.get(KINDS[made_q[here]], 0)] if len(feet) <= 3 else feet[0]
        neighbour_q4[here, 2] = node_q[top]
        above = taken if takes_q[here] else made_up
        for foot in feet.tolist():
            above[foot] = here
    for foot, here in (made_up | taken).items():
        neighbour_q4[foot, 3] = node_q[here]
