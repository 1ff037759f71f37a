"""Where the yarns float across the back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from fabricsim.design.catches.plan import Held, held_in_piece, held_in_repeat
from fabricsim.design.floats.carry_ups import CarryUp, find_carry_ups
from fabricsim.design.rows.counting import Stretch, flat_stretches, round_stretches
from fabricsim.design.scene.chart import Rows, rows_of
from fabricsim.design.scene.items import Limits
from fabricsim.design.scene.model import Scene

if TYPE_CHECKING:
    from collections.abc import Collection

    from fabricsim.arrays import ChartGrid
    from fabricsim.design.rows.squares import Hold

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

    >>> row = [[0, 0, 1, 1, 1, 0]]  # two colours on one round, repeated without end
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
        cuts = [
            step for step in range(1, one.gap + 1)
            if held and one.yarn in held.get(_at(one, step, kind, count_i), ())
        ]  # fmt: skip
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


def floats(
    scene: Scene, *, slack: float | None = None, closing: Closing | None = None, farthest: int | None = None
) -> tuple[Float, ...]:
    """Return the floats of the whole piece as it is worked, with the scene's slack or this ``slack`` for all.

    ``closing`` and ``farthest`` are those of ``find_floats``; left out, the one is ``spiral`` in the round and
    ``edges`` flat. As it is worked, a steek is part of the rows; with a ``closing`` it is cut open and folded back.
    """
    beside = scene.beside if closing is None else (0, 0)
    return find_floats(
        scene.knitted_rows() if closing is None else scene.piece_rows(),
        closing=closing or ("spiral" if scene.worked == "round" else "edges"),
        stitch_width=scene.gauge.stitch_width,
        slack_by_yarn=scene.slack_of_yarns if slack is None else [slack] * len(scene.yarns),
        catches=beside_steek(held_in_piece(scene), beside),
        repeat=scene.stitches_per_repeat,
        farthest=farthest,
        from_below=scene.strands_from_below,
        beside=beside,
    )


def beside_steek(held: Held, beside: tuple[int, int]) -> Held:
    """Return catches of a piece in its rows as knitted, with so many stitches of a steek at the right and the left."""
    left = beside[1]
    return {(row, column + left): yarns for (row, column), yarns in held.items()} if left else held


def floats_of_repeat(scene: Scene, *, slack: float | None = None) -> tuple[Float, ...]:
    """Return the floats of the chart alone, each row closing on itself, as in the endless repeat."""
    return find_floats(
        scene.chart_rows(),
        closing="row",
        stitch_width=scene.gauge.stitch_width,
        slack_by_yarn=scene.slack_of_yarns if slack is None else [slack] * len(scene.yarns),
        catches=held_in_repeat(scene),
        from_below=scene.strands_from_below,
    )


def floats_of_chart(scene: Scene, holds: Collection[Hold] | None = None) -> tuple[Float, ...]:
    """Return the floats of one repeat of the chart as it lies in its piece.

    Repeated across, each row closes on itself, and the joins of rounds are left out; else they are those of the piece,
    from edge to edge or round after round, from the row below on (row -1) to the one above. ``holds``: catches in place
    of those of the ``scene``.
    """
    chart, yarn_ij, held = scene.chart, scene.chart_rows(), held_in_repeat(scene, holds)
    if chart.across > 1 or scene.worked == "flat":
        return find_floats(
            yarn_ij,
            closing="row" if chart.across > 1 else "edges",
            stitch_width=scene.gauge.stitch_width,
            slack_by_yarn=scene.slack_of_yarns,
            catches=held,
            from_below=scene.strands_from_below,
        )
    if scene.steek is not None:
        return _of_chart_by_steek(scene, held)
    piece_ij, below, rows = scene.piece_rows(), min(chart.plain_below, 1), len(yarn_ij)
    first = chart.plain_below - below
    found = find_floats(
        piece_ij[first : chart.plain_below + rows + 1],
        closing="spiral",
        stitch_width=scene.gauge.stitch_width,
        slack_by_yarn=scene.slack_of_yarns,
        from_below=scene.strands_from_below,
        catches={
            (row + below + above, column): yarns for (row, column), yarns in held.items()
            for above in ((0, rows) if chart.up > 1 and row == 0 else (0,))
        },
    )  # fmt: skip
    return tuple(replace(one, row=one.row - below) for one in found if one.row - below < rows)


def _of_chart_by_steek(scene: Scene, held: Held) -> tuple[Float, ...]:
    """Return the floats of a chart drawn once round, beside its steek: each as far as the chart goes."""
    (_, left), wide, yarn_ij = scene.beside, scene.stitches_per_repeat, scene.chart_rows()
    found = find_floats(
        scene.with_steek(yarn_ij, scene.chart.plain_below),
        closing="spiral",
        stitch_width=scene.gauge.stitch_width,
        slack_by_yarn=scene.slack_of_yarns,
        catches=beside_steek(held, scene.beside),
        from_below=scene.strands_from_below,
        beside=scene.beside,
    )
    made = []
    for one in found:
        if one.kind == "steek":
            continue
        start = min(one.start - left, wide)  # from the steek: as if from the stitch beside the chart
        gap = one.counted_gap
        span = (gap + 1) * scene.gauge.stitch_width
        made.append(replace(one, start=start, gap=gap, span=span, stitches=wide, in_steek=0))
    return tuple(made)


def carry_ups(scene: Scene) -> tuple[CarryUp, ...]:
    """Return the carry-ups of the whole piece as it is worked."""
    return find_carry_ups(
        scene.knitted_rows(),
        row_height=scene.gauge.row_height,
        stitch_width=scene.gauge.stitch_width,
        in_the_round=scene.worked == "round",
        limits=scene.limits,
    )


@dataclass(frozen=True)
class FloatFault:
    """A float past a limit of the scene: behind too many stitches, behind too many centimetres, or both."""

    float: Float
    too_many_stitches: bool
    too_many_cm: bool


def faults(all_floats: Sequence[Float], limits: Limits) -> tuple[FloatFault, ...]:
    """Return those of ``all_floats`` that pass one of the ``limits``, in the order given.

    The limit in cm is held against the width of the stitches passed behind, as the trade does: at 22 stitches
    to 10 cm, 2.5 cm are 5 stitches. Stitches of a steek don't count.
    """
    found = [
        FloatFault(one, limits.too_many_stitches(one.counted_gap), limits.too_long(one.counted_width))
        for one in all_floats
    ]
    return tuple(one for one in found if one.too_many_stitches or one.too_many_cm)


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
