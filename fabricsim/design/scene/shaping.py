"""How the rows of a scene are shaped: a sleeve that widens, a yoke that narrows, with the chart going on in them.

Stitches that come or go at the sides do so beside the first and the last stitch: increases as ``k1, m1l ... m1r, k1``,
decreases as ``k1, k2tog ... ssk, k1`` (common practice); the chart goes on in the new stitches. Those that are spread
over a row leave whole repeats, so that the chart begins anew. In the wedges of a yoke every repeat of the chart loses
a stitch: at its left by k2tog, at its right by ssk, or two in its middle by a centred double decrease.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Annotated, Literal, NamedTuple

from pydantic import Field, model_validator

from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.made import TAKES, Made, even_groups
from fabricsim.design.scene.part import Count, Part, refusal
from fabricsim.errors import InputError

WedgeDecrease = Literal["k2tog", "ssk", "cdd"]
Row = Annotated[Count, Field(ge=2, le=100_000)]
"""Number of a row or round; the first stands on nothing that could be worked together."""
K: Made = "k"
Often = Annotated[Count, Field(ge=1, le=1000)]
FEWEST_LEFT = 3
"""Stitches left in a row, at the least: fewer make no round with an inside (derived)."""
DOUBLED, HALVED = 2.0, 0.5
"""A row spread with increases or decreases has at most twice, at least half of the stitches of the one below
(derived: one by each stitch)."""


class SpreadRow(Part):
    """A row in which increases or decreases are spread evenly, to so many ``stitches``, or one decrease in ``every`` so
    many of them."""

    row: Row = Field(description="The round or row, 1 being the first above the rib.")
    stitches: Annotated[Count, Field(ge=FEWEST_LEFT, le=100_000)] | None = Field(
        default=None, description="How many stitches it leaves: whole repeats of the chart."
    )
    every: Annotated[Count, Field(ge=2, le=1000)] | None = Field(
        default=None,
        description="One decrease in so many stitches, to the nearest whole repeat: 5 is k3, k2tog over and over.",
    )

    @model_validator(mode="after")
    def _one_of_them(self) -> SpreadRow:
        if (self.stitches is None) == (self.every is None):
            given = "neither stitches nor every" if self.stitches is None else "stitches and every"
            raise refusal(given, "one of them", "say how many stitches are left, or in how many one goes")
        return self

    def after(self, before: int, repeat: int) -> int:
        """Return how many stitches it leaves of ``before``: one in so many gone, to the nearest whole ``repeat``, so
        that other sizes have room for the chart too."""
        if self.stitches is not None:
            return self.stitches
        return max(1, round((before - before / (self.every or 2)) / repeat)) * repeat


class Shaping(Part):
    """Which rows are shaped, and how."""

    increase_every: Row | None = Field(
        default=None, description="One in so many rounds has two stitches more, beside its first and its last one."
    )
    increases: Often | None = Field(default=None, description="How often that is done.")
    decrease_every: Row | None = Field(
        default=None, description="One in so many rounds has two stitches fewer, beside its first and its last one."
    )
    decreases: Often | None = Field(default=None, description="How often that is done.")
    first_row: Row | None = Field(
        default=None, description="The first of these rounds. Left out: that of the number in 'every'."
    )
    spread: tuple[SpreadRow, ...] = Field(
        default=(),
        description="Rounds with decreases or increases spread evenly, as between the bands of a yoke: "
        "[{ row = 14, every = 5 }, { row = 28, stitches = 180 }].",
    )
    wedge_rows: tuple[Row, ...] = Field(
        default=(),
        description="Rounds in which every repeat of the chart loses a stitch, so that it narrows to a wedge.",
    )
    wedge_decrease: WedgeDecrease = Field(
        default="k2tog",
        description="By what: 'k2tog' at its left, 'ssk' at its right, 'cdd', two stitches in its middle.",
    )

    @model_validator(mode="after")
    def _makes_sense(self) -> Shaping:
        for every, often in (("increase_every", "increases"), ("decrease_every", "decreases")):
            if (getattr(self, every) is None) != (getattr(self, often) is None):
                raise refusal(
                    f"{every} and {often}, one of them", "both or none", "write how often and in which rounds"
                )
        if self.increases is not None and self.decreases is not None:
            raise refusal("increases and decreases", "one of them at the sides", "leave one of them out")
        if not (self.increases or self.decreases or self.spread or self.wedge_rows):
            raise refusal("no row that is shaped", "increases, decreases, spread or wedge_rows", "leave [shaping] out")
        return self

    @property
    def side_rows(self) -> tuple[int, ...]:
        """The rows with increases or decreases at the sides, from 1."""
        every, often = self.increase_every or self.decrease_every, self.increases or self.decreases
        if every is None or often is None:
            return ()
        first = self.first_row if self.first_row is not None else every
        return tuple(first + turn * every for turn in range(often))


class ShapedLine(NamedTuple):
    """A row of the piece in the order of knitting from the right: what is ``made``, and which ``column`` of the chart
    each stitch shows."""

    made: tuple[Made, ...]
    column: tuple[int, ...]


class _Turn(NamedTuple):
    """What is done in a row."""

    key: str
    spread: SpreadRow | None = None


def shaped_lines(
    shaping: Shaping, rows: int, across: int, repeat: int, *, flat: bool, where: Callable[[str], str]
) -> tuple[ShapedLine, ...]:
    """Return every one of so many ``rows`` that begin with ``across`` times a ``repeat`` of stitches.

    Raises ``InputError``, naming the row and the stitch, for shaping that can't be worked.
    """
    turns = _turns(shaping, rows, flat=flat, where=where)
    word = "row" if flat else "round"
    kept = tuple(range(repeat - 1, -1, -1))  # the columns of a wedge, from the right
    shift, count = 0, across * repeat
    made_lines = []
    for number in range(1, rows + 1):
        turn = turns.get(number)
        made: Sequence[Made] = [K] * count
        at = where("shaping")
        name = f"{word} {number}"
        if turn is not None and turn.key == "sides":
            made = _at_sides(count, shaping.increases is not None, at, name)
            shift += 1 if shaping.increases is not None else -1
        elif turn is not None and turn.spread is not None:
            made = _spread(count, turn.spread.after(count, repeat), repeat, at, name, flat=flat)
            shift, kept = 0, tuple(range(repeat - 1, -1, -1))
        elif turn is not None:
            if shift or len(kept) * (count // len(kept)) != count:
                raise InputError(
                    at, f"{name}: wedges where stitches came or went at the sides", "one of them", "leave one out"
                )
            made, kept = _wedges(kept, count // len(kept), shaping.wedge_decrease, at, name)
        count = len(made)
        if len(kept) < repeat:
            column = kept * (count // len(kept))
        else:
            column = tuple((count - 1 - place - shift) % repeat for place in range(count))
        made_lines.append(ShapedLine(tuple(made), column))
    return tuple(made_lines)


def knitted(piece: Rows, lines: Sequence[ShapedLine]) -> Rows:
    """Return the yarn of each stitch, row by row from the left, of the rows of a ``piece`` as ``lines`` shape them."""
    return tuple(
        tuple(yarn_j[column] for column in reversed(line.column)) for yarn_j, line in zip(piece, lines, strict=True)
    )


def check_together(where: Callable[[str], str], *, steek: bool) -> None:
    """Refuse what a shaped scene can't have besides."""
    if steek:
        raise InputError(where("shaping"), "shaping and a steek", "one of the two", "take one of them out")


def _turns(shaping: Shaping, rows: int, *, flat: bool, where: Callable[[str], str]) -> dict[int, _Turn]:
    word, turns = "row" if flat else "round", {}
    asked = [
        *((row, _Turn("sides")) for row in shaping.side_rows),
        *((one.row, _Turn("spread", one)) for one in shaping.spread),
        *((row, _Turn("wedge_rows")) for row in shaping.wedge_rows),
    ]
    for row, turn in asked:
        key = where(f"shaping.{turn.key}") if turn.key != "sides" else where("shaping")
        if row > rows:
            raise InputError(
                key, f"{word} {row}", f"{word}s 2 to {rows} of the piece", "add plain_above, or shape earlier"
            )
        if row in turns:
            raise InputError(key, f"{word} {row} shaped twice", "once", "take another for one of the two")
        if flat and row % 2 == 0:
            raise InputError(key, f"row {row}, a wrong-side row", "odd rows, worked flat", f"take row {row + 1}")
        turns[row] = turn
    return turns


def _at_sides(count: int, more: bool, at: str, name: str) -> list[Made]:
    if more:
        if count < 2:
            raise InputError(at, f"{name}: {count} stitches", "at least 2 to increase between", "cast on more")
        return [K, "m1l", *[K] * (count - 2), "m1r", K]
    least = 6 if count - 2 >= FEWEST_LEFT else count + 1
    if count < least:
        raise InputError(
            at,
            f"{name}, stitch {max(1, count - 4)}: ssk after k1, k2tog, with {count} stitches there",
            "at least 6",
            "decrease less often",
        )
    return [K, "k2tog", *[K] * (count - 6), "ssk", K]


def _spread(before: int, after: int, repeat: int, at: str, name: str, *, flat: bool) -> list[Made]:
    if after % repeat:
        low, high = after - after % repeat, after + repeat - after % repeat
        raise InputError(
            at,
            f"{name}: {before} to {after} stitches",
            f"whole repeats of the chart's {repeat}, such as {low} or {high}",
            "take another count, or a chart whose repeat fits",
        )
    if not HALVED * before <= after <= DOUBLED * before or after < FEWEST_LEFT:
        fewest = max(FEWEST_LEFT, -(-before // 2))
        raise InputError(
            at,
            f"{name}, stitch {min(after, fewest)}: {before} to {after} stitches",
            f"{fewest} to {2 * before} in one row",
            "shape over more rows",
        )
    if after == before:
        return [K] * before
    change: Made = "m1" if after > before else "k2tog"
    plain = [one - TAKES[change] for one in even_groups(before, abs(after - before))]
    tail = 0
    if flat:  # half a group at each edge
        lead = plain[-1] // 2
        plain, tail = [lead, *plain[:-1]], plain[-1] - lead
    made: list[Made] = []
    for many in plain:
        made += [*[K] * many, change]
    return made + [K] * tail


def _wedges(
    kept: tuple[int, ...], wedges: int, by: WedgeDecrease, at: str, name: str
) -> tuple[list[Made], tuple[int, ...]]:
    """Return what is made over so many wedges, and the columns that each keeps, from the right."""
    wide, takes = len(kept), TAKES[by]
    left = wide - takes + 1
    if wide < takes or left * wedges < FEWEST_LEFT:
        raise InputError(
            at,
            f"{name}, stitch {max(1, left)}: {by} in a wedge of {wide}",
            f"wedges of at least {takes}, and {FEWEST_LEFT} stitches in all",
            "decrease in fewer rows",
        )
    if by == "cdd":
        before = (wide - 3) // 2
        made: list[Made] = [*[K] * before, by, *[K] * (wide - 3 - before)]
        kept = (*kept[:before], kept[before + 1], *kept[before + 3 :])
    elif by == "ssk":
        made, kept = [by, *[K] * (wide - 2)], kept[1:]
    else:
        made, kept = [*[K] * (wide - 2), by], kept[:-1]
    return made * wedges, kept
