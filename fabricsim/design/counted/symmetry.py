"""How a chart lies on itself: mirrored left to right, mirrored top to bottom, or turned halfway."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, NamedTuple

from fabricsim.design.counted.edits import Edit
from fabricsim.design.rows.squares import Layout, Square
from fabricsim.design.scene.chart import Rows

SymmetryKind = Literal["left to right", "top to bottom", "half-turn"]
MOST_AXES = 4
"""Axes, or places to turn about, of one kind that are tried (chosen: a chart that repeats within itself has many)."""
MOST_TOGETHER = 2
"""Of each kind those that are tried together (chosen)."""


class Symmetry(NamedTuple):
    """Row r lies on ``rows_to`` - r, column c on ``columns_to`` - c; None: on itself. ``size``: rows and columns of the
    chart; ``up``: whether it is repeated upwards, so that rows go round."""

    rows_to: int | None
    columns_to: int | None
    size: Square
    up: bool

    @property
    def kind(self) -> SymmetryKind:
        """What one sees."""
        if self.rows_to is None:
            return "left to right"
        return "top to bottom" if self.columns_to is None else "half-turn"

    def row(self, row: int) -> int | None:
        """Return the row on which a row lies; None outside of the chart."""
        if self.rows_to is None:
            return row
        there = self.rows_to - row
        return there % self.size[0] if self.up else there if 0 <= there < self.size[0] else None

    def image(self, square: Square) -> Square | None:
        """Return the square on which a square lies; None outside of the chart."""
        row = self.row(square[0])
        column = square[1] if self.columns_to is None else (self.columns_to - square[1]) % self.size[1]
        return None if row is None else (row, column)

    def holds(self, chart_ij: Rows) -> bool:
        """Return whether a chart lies on itself so; a row that would lie outside must be of one yarn."""
        width = self.size[1]
        turn = 0 if self.columns_to is None else (width - 1 - self.columns_to) % width
        for row, yarn_j in enumerate(chart_ij):
            there = self.row(row)
            back = yarn_j if self.columns_to is None else yarn_j[::-1]
            if there is None:
                if len(set(yarn_j)) > 1:
                    return False
            elif tuple(back[turn:]) + tuple(back[:turn]) != tuple(chart_ij[there]):
                return False
        return True


def symmetries(chart_ij: Rows, layout: Layout) -> list[Symmetry]:
    """Return how a chart lies on itself, as its piece is laid out: some of each kind, the first found."""
    size = rows, width = len(chart_ij), len(chart_ij[0])
    up = layout.up > 1
    columns = range(width) if layout.closes else [width - 1]
    found = _some(Symmetry(None, axis, size, up) for axis in columns if Symmetry(None, axis, size, up).holds(chart_ij))
    tried = [
        axis
        for axis in (range(rows) if up else sorted(range(1, 2 * rows - 2), key=lambda axis: abs(axis - rows + 1)))
        if _moves(Symmetry(axis, None, size, up), chart_ij)
    ]
    found += _some(one for axis in tried if (one := Symmetry(axis, None, size, up)).holds(chart_ij))
    found += _some(
        one for axis in tried for column in columns if (one := Symmetry(axis, column, size, up)).holds(chart_ij)
    )
    return found


def _some(found: Iterator[Symmetry]) -> list[Symmetry]:
    return [one for one, _ in zip(found, range(MOST_AXES), strict=False)]


def _moves(one: Symmetry, chart_ij: Rows) -> bool:
    """Return whether it brings two rows of several yarns onto one another."""
    return any(
        (there := one.row(row)) is not None and there != row
        for row, yarn_j in enumerate(chart_ij)
        if len(set(yarn_j)) > 1
    )


def kept_together(found: list[Symmetry]) -> list[tuple[Symmetry, ...]]:
    """Return which symmetries to keep at once: a mirror image both ways, and with it the half-turn that they make."""
    sideways = [one for one in found if one.kind == "left to right"][:MOST_TOGETHER]
    upright = [one for one in found if one.kind == "top to bottom"][:MOST_TOGETHER]
    return [(one, two, two._replace(columns_to=one.columns_to)) for one in sideways for two in upright]


def whole_edit(edit: Edit, kept: tuple[Symmetry, ...]) -> Edit | None:
    """Return an edit with its images; None if two of them want different yarns of one square, or one lies outside."""
    whole = dict(edit)
    for square, yarn in edit:
        for one in kept:
            there = one.image(square)
            if there is None or whole.setdefault(there, yarn) != yarn:
                return None
    return tuple(sorted(whole.items()))
