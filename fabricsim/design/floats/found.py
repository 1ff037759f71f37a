"""Where the yarns float across the back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from fabricsim.design.rows.counting import Stretch, flat_stretches, round_stretches
from fabricsim.design.scene.chart import Rows, rows_of

if TYPE_CHECKING:
    from fabricsim.arrays import ChartGrid
    from fabricsim.design.catches.plan import Held

FloatKind = Literal["inside", "repeat edge", "round join", "edge", "steek", "steek edge"]
Closing = Literal["row", "spiral", "edges"]
SPIRALS: frozenset[FloatKind] = frozenset({"round join", "steek"})
"""What runs on into the next round where it passes the edge."""


@dataclass(frozen=True)
class Float:
    """One stretch of yarn carried behind stitches of another colour, from where it is held to where it is
    held.

    It leaves the stitch (``row``, ``start``), row 0 at the bottom, column 0 at the left of the face.
    ``direction`` is -1 worked right to left, +1 left to right; ``gap`` counts the stitches it passes behind;
    ``span`` is the distance it bridges, m; ``slack`` its yarn over that distance - 1. ``kind``: ``inside``
    the row, across a ``repeat edge``, across a ``round join``, from or to an ``edge`` stitch, within a ``steek``, or
    from or to one (``steek edge``). ``in_steek``: stitches of the steek among those passed. ``layer`` is
    the rank of its yarn among those of the row, 0 the lowest strand, which keeps the floats of three colours apart.
    ``caught_start``, ``caught_end``: held there by a catch. ``stitches`` is the width of the whole row, ``above`` that
    of the next where it differs. ``yarn``: which of the scene's yarns, the first being 0.
    """

    yarn: int
    row: int
    start: int
    direction: int
    gap: int
    span: float
    slack: float
    kind: FloatKind
    layer: int
    stitches: int
    caught_start: bool = False
    caught_end: bool = False
    in_steek: int = 0
    above: int | None = None

    @property
    def unrolled_end(self) -> int:
        """The column where it ends, counted on past the edge: out of the row's columns if it crosses."""
        return self.start + self.direction * (self.gap + 1)

    @property
    def end(self) -> int:
        """The column where it ends, from 0 at the left of the row in which it does."""
        if self.above is not None and self.end_row > self.row:
            return self.unrolled_end + self.above
        return self.unrolled_end % self.stitches

    @property
    def crosses(self) -> bool:
        """Whether it runs past the last column of the row that it starts in."""
        return not 0 <= self.unrolled_end < self.stitches

    @property
    def end_row(self) -> int:
        """The row where it ends: the next one if it crosses the join of two rounds."""
        return self.row + (self.crosses and self.kind in SPIRALS)

    @property
    def yarn_length(self) -> float:
        """The yarn in it, m."""
        return self.span * (1 + self.slack)

    @property
    def gap_width(self) -> float:
        """The width of the stitches that it passes behind, m."""
        return self.span * self.gap / (self.gap + 1)

    @property
    def counted_gap(self) -> int:
        """Stitches of the chart that it passes behind: those of a steek are cut and folded back, and don't count."""
        return self.gap - self.in_steek

    @property
    def counted_width(self) -> float:
        """The width of these, m."""
        return self.span * self.counted_gap / (self.gap + 1)


def find_floats(
    grid_ij: ChartGrid | Rows,
    *,
    closing: Closing,
    stitch_width: float,
    slack_by_yarn: Sequence[float],
    catches: Held | None = None,
    repeat: int | None = None,
    farthest: int | None = None,
    from_below: Sequence[int] | None = None,
    beside: tuple[int, int] = (0, 0),
) -> tuple[Float, ...]:
    """Return every float of a piece, in the order of the knitting.

    ``grid_ij``: ``(rows, stitches) int``, the yarn of each stitch, row 0 at the bottom, column 0 at the left
    of the face; shaped rows, of a count each, as sequences. ``closing`` says how rows end. ``row``: each closes on
    itself (the endless repeat), and a yarn used once floats on to its own next copy. ``spiral``: in the round, right to
    left, the last float of a round ending at the first use of its yarn in the next round, if there is one. ``edges``:
    flat, row 0 right to left and then alternating, every yarn of a row of several being held at both edge stitches.
    ``slack_by_yarn``: slack of each yarn. ``catches``: which yarns are caught behind which stitches, (row, column);
    each piece of a caught float is a float of its own (next to a catch its gap may be 0).
    ``repeat``: width of the chart, so that floats across its edge are named so. ``farthest``: how many stitches a float
    may reach in one go; what reaches more than twice as far is laid along the fabric in equal parts, each a float of
    its own. ``from_below``: the yarns in the order in which their strands lie, the lowest first; left out: 0, 1, 2.
    ``beside``: stitches of a steek at the right and at the left of the rows.

    A yarn that is absent from a row makes no float there; see ``find_carry_ups``.

    >>> row = [[0, 0, 1, 1, 1, 0]]  # two colours on one round, without end
    >>> [(one.yarn, one.gap) for one in find_floats(row, closing="row", stitch_width=0.005, slack_by_yarn=(0.0, 0.0))]
    [(0, 3), (1, 3)]
    """
    yarn_ij = rows_of(grid_ij)
    held = catches or {}
    stretches = flat_stretches(yarn_ij) if closing == "edges" else round_stretches(yarn_ij, closing == "spiral")
    count_i = [len(yarn_j) for yarn_j in yarn_ij]
    order = None if from_below is None else from_below.index
    layer_iy = [{yarn: at for at, yarn in enumerate(sorted(set(yarn_j), key=order))} for yarn_j in yarn_ij]
    found = []
    for one in stretches:
        kind = _kind(one, yarn_ij, closing, repeat, beside)
        layer = layer_iy[one.row][one.yarn]  # of the row it leaves, past a round join too
        stitches = count_i[one.row]
        cuts: list[int] = []
        if held:
            steps = range(1, one.gap + 1)
            cuts = [step for step in steps if one.yarn in held.get(_at(one, step, kind, count_i), ())]
        cuts = _laid(cuts, one.gap + 1, farthest)
        for step, next_step in pairwise([0, *cuts, one.gap + 1]):
            row, column = _at(one, step, kind, count_i)
            above = count_i[row + 1] if kind in SPIRALS and row + 1 < len(count_i) else count_i[row]
            found.append(
                Float(
                    yarn=one.yarn,
                    row=row,
                    start=column,
                    direction=one.direction,
                    gap=next_step - step - 1,
                    span=(next_step - step) * stitch_width,
                    slack=slack_by_yarn[one.yarn],
                    kind=kind,
                    layer=layer,
                    stitches=count_i[row],
                    above=above if above != count_i[row] else None,
                    caught_start=step > 0,
                    caught_end=next_step <= one.gap,
                    in_steek=sum(
                        _in_steek((one.start + one.direction * at) % stitches, stitches, beside)
                        for at in range(step + 1, next_step)
                    )
                    if any(beside)
                    else 0,
                )
            )
    return tuple(found)


def _laid(cuts: list[int], reach: int, farthest: int | None) -> list[int]:
    """Return the steps at which a float of ``reach`` steps is held, with those at which its parts are laid down."""
    if farthest is None:
        return cuts
    steps = []
    for begin, end in pairwise([0, *cuts, reach]):
        parts = -(-(end - begin) // farthest) if end - begin > 2 * farthest else 1
        steps += [begin + round(part * (end - begin) / parts) for part in range(1, parts)]
    return sorted([*cuts, *steps])


def _in_steek(column: int, stitches: int, beside: tuple[int, int]) -> bool:
    """Return whether a column of a row so many ``stitches`` wide is one of the steek."""
    right, left = beside
    return not left <= column < stitches - right


def _kind(
    one: Stretch, yarn_ij: Rows, closing: Closing, repeat: int | None, beside: tuple[int, int] = (0, 0)
) -> FloatKind:
    """Return what sort of float this is; ``repeat`` is the width of the chart, if it is known."""
    row, end = yarn_ij[one.row], one.start + one.direction * (one.gap + 1)
    if any(beside):
        in_steek = [_in_steek(column % len(row), len(row), beside) for column in (one.start, end)]
        if any(in_steek):
            return "steek" if all(in_steek) else "steek edge"
        if repeat is not None and (one.start - beside[1]) // repeat == (end - beside[1]) // repeat:
            return "inside"
        return "repeat edge" if repeat is not None else "inside"
    if not 0 <= end < len(row):
        return "round join" if closing == "spiral" else "repeat edge"
    if row[one.start] != one.yarn or row[end] != one.yarn:
        return "edge"
    if repeat is not None and one.start // repeat != end // repeat:
        return "repeat edge"
    return "inside"


def _at(one: Stretch, step: int, kind: FloatKind, count_i: Sequence[int]) -> tuple[int, int]:
    """Return row and column of the stitch passed at this ``step``, in rows of so many stitches each."""
    at, stitches = one.start + one.direction * step, count_i[one.row]
    if kind in SPIRALS and not 0 <= at < stitches:
        return one.row + 1, at + (count_i[one.row + 1] if at < 0 else -stitches)
    return one.row, at % stitches
