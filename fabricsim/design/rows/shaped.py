"""Shaped rows: what is made in each, so that a row may have more or fewer stitches than the one below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fabricsim.design.scene.made import TAKES, Made
from fabricsim.errors import InputError

FEWEST_ROUND, FEWEST_FLAT = 3, 2
"""Fewer stitches make no round with an inside, or no fabric with two sides (derived)."""
MOST_DRAWN = 24
"""More stitches than these can't be drawn together to a closed top (chosen; crowns leave 5 to 12)."""


@dataclass(frozen=True)
class ShapedRow:
    """One row. ``name``: as its pattern calls it; ``made``, ``yarns``: of each stitch, from the left of the face;
    ``ribbed``: whether it is rib."""

    name: str
    made: tuple[Made, ...]
    yarns: tuple[int, ...]
    ribbed: bool = False

    def __len__(self) -> int:
        return len(self.made)

    def within(self, right: int, left: int) -> ShapedRow:
        """Return it without so many stitches at its right and at its left, all of them knits."""
        if not right and not left:
            return self
        end = len(self) - right
        if {*self.made[:left], *self.made[end:]} != {"k"}:
            raise ValueError("only what is knit at the edge goes into a seam")
        return replace(self, made=self.made[left:end], yarns=self.yarns[left:end])

    @property
    def takes(self) -> int:
        """How many stitches of the row below it takes up."""
        return sum(TAKES[one] for one in self.made)


@dataclass(frozen=True)
class ShapedRows:
    """All rows of a piece, from the bottom up. ``tube``: worked in the round, or sewn up; else it has edges. ``drawn``:
    the yarn is drawn through the last stitches of a tube and closes it. ``seamed``: a tube that was worked flat and
    sewn up, so that no float crosses from row to row.

    Raises ``InputError``, naming ``where``, the row and the stitch, for rows that don't stand on one another.
    """

    rows: tuple[ShapedRow, ...]
    tube: bool
    drawn: bool = False
    where: str = "rows"
    seamed: bool = False

    def __post_init__(self) -> None:
        if self.drawn and not self.tube:
            raise ValueError("only a tube is closed by drawing up its last stitches")
        if self.seamed and not self.tube:
            raise ValueError("what has a seam is a tube")
        fewest = FEWEST_ROUND if self.tube else FEWEST_FLAT
        for row in self.rows[1:]:
            if len(row) < fewest:
                raise InputError(
                    f"{self.where}: {row.name}",
                    f"stitches left: {len(row)}",
                    f"at least {fewest}, or there is no {'tube' if self.tube else 'fabric'} any more",
                    "decrease less, or end below",
                )
        for below, row in zip(self.rows, self.rows[1:], strict=False):
            self._check(below, row)
        if self.drawn and len(self.rows[-1]) > MOST_DRAWN:
            raise InputError(
                f"{self.where}: {self.rows[-1].name}",
                f"{len(self.rows[-1])} stitches left to draw together",
                f"at most {MOST_DRAWN}, or the top does not close",
                "decrease on, or bind off",
            )

    def _check(self, below: ShapedRow, row: ShapedRow) -> None:
        there, taken = len(below), 0
        for number, one in enumerate(reversed(row.made), 1):
            taken += TAKES[one]
            if taken > there:
                raise InputError(
                    f"{self.where}: {row.name}, stitch {number}",
                    f"{one}, which needs {TAKES[one]} stitches of the {there} in {below.name}",
                    f"no more than are left there, {there - taken + TAKES[one]}",
                    "decrease less, or in another place",
                )
        if taken < there:
            raise InputError(
                f"{self.where}: {row.name}, stitch {len(row)}",
                f"{taken} of the {there} stitches in {below.name} worked",
                "all of them",
                f"work the last {there - taken} too",
            )

    @property
    def yarn_ij(self) -> tuple[tuple[int, ...], ...]:
        """The yarn of each stitch, row by row."""
        return tuple(row.yarns for row in self.rows)

    @property
    def shaped(self) -> bool:
        """Whether it is anything but a rectangle or a plain tube."""
        return self.drawn or any(row.ribbed or set(row.made) != {"k"} for row in self.rows)


def knitted(name: str, made: Sequence[Made], yarn: int, ribbed: bool = False) -> ShapedRow:
    """Return a row in one ``yarn``, what is ``made`` told in the order of the knitting, from right to left."""
    return ShapedRow(name, tuple(reversed(made)), (yarn,) * len(made), ribbed)
