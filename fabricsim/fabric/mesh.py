"""The fabric as stitches: one node each, who is next to whom, and which stitches a float ties together.

This is the only place that knows rows and stitches; everything after it works on index arrays.

Axes: x runs across to the right and y up, both as seen from the face; z points out of the face. A tube stands
upright with its axis along y and its face outside. A *shift* counts whole periods (across, up) that a neighbour
lies away: zero except in the ``repeat`` case, whose edges close on themselves.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fabricsim.arrays import ArrayRecord, Floats, Ints
from fabricsim.design.floats.found import Closing, Float
from fabricsim.design.floats.in_the_hand import inside_out_gain
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.standing import Standing

CLOSING: dict[Case, Closing] = {"repeat": "row", "swatch": "edges", "round": "spiral"}
"""How a row ends in each load case: on itself, on the next round of the spiral, or at the edges."""

LEFT, RIGHT, DOWN, UP = range(4)


@dataclass(frozen=True, eq=False, repr=False)
class FloatTable(ArrayRecord):
    """Every float (or part of one between catches) as a tie between two stitches.

    ``node_f2`` (f, 2) int: the stitches at its left and right end as seen from the face;
    ``shift_f2`` (f, 2) int: periods by which the right end lies away from the node named;
    ``yarn_f``, ``gap_f``, ``layer_f`` (f,) int; ``span_f`` (f,) float, m; ``slack_f`` (f,) float;
    ``length_f`` (f,) float, m: the yarn in it, span x (1 + slack), times the extra of work done inside out.
    """

    node_f2: Ints
    shift_f2: Ints
    yarn_f: Ints
    gap_f: Ints
    layer_f: Ints
    span_f: Floats
    slack_f: Floats
    length_f: Floats

    def __len__(self) -> int:
        return len(self.yarn_f)


@dataclass(frozen=True)
class Grip:
    """How the cell of a ``repeat`` is pulled along an ``axis``, 0 across or 1 up; the other way it stays free.

    ``relaxed`` (m, m): width and height of the cell at rest before it was pulled; ``size`` m: at which it is held
    along the axis, or None where it is pulled by a dead ``load``, N per m of its relaxed size the other way.
    """

    axis: int
    relaxed: tuple[float, float]
    size: float | None = None
    load: float = 0.0

    @property
    def force(self) -> float:
        """The dead load on the cell, N."""
        return self.load * self.relaxed[1 - self.axis]


@dataclass(frozen=True, eq=False, repr=False)
class Mesh(ArrayRecord):
    """Stitches as nodes at their rest positions, before any float pulls.

    ``case`` of load; ``rows``, ``stitches``: how many; ``floats`` that tie stitches together;
    ``rest_nc`` (n, 3) float, m; ``yarn_n``, ``row_n``, ``column_n`` (n,) int, row 0 at the bottom and column 0 at the
    left of the face; ``neighbour_n4`` (n, 4) int: left, right, down, up, -1 where there is none;
    ``shift_n42`` (n, 4, 2) int; ``period_a`` (2,) float, m: rest width and height of the cell, or None;
    ``stitch_width``, ``row_height``, ``thickness`` m; ``floats_longer``: yarn in the floats over span x (1 + slack);
    ``grip``: how the cell of a ``repeat`` is pulled, if it is; ``standing``: which stitch stands on which, where rows
    differ in their count: then ``stitches`` are those of the first row, and a drawn-up top is a row of one;
    ``needle_i`` (rows,): how many times as wide and high as the gauge's the stitches of each row are, on needles of
    their own; None where all rows are worked on the gauge's.
    """

    case: Case
    rest_nc: Floats
    yarn_n: Ints
    row_n: Ints
    column_n: Ints
    neighbour_n4: Ints
    shift_n42: Ints
    period_a: Floats | None
    floats: FloatTable
    rows: int
    stitches: int
    stitch_width: float
    row_height: float
    thickness: float
    floats_longer: float = 1.0
    grip: Grip | None = None
    standing: Standing | None = None
    needle_i: Floats | None = None

    def __repr__(self) -> str:
        return f"<Mesh: {self.case}, {self.rows} rows of {self.stitches} stitches, {len(self.floats)} floats>"


def on_needles(mesh: Mesh, needle_i: Floats) -> Mesh:
    """Return the mesh with rows (rows,) so many times as wide and high as its gauge has them, their floats too."""
    table = mesh.floats
    times_f = needle_i[mesh.row_n[table.node_f2[:, 0]]]
    floats = replace(table, span_f=table.span_f * times_f, length_f=table.length_f * times_f)
    return replace(mesh, floats=floats, needle_i=needle_i)


def spiral_radius(stitches: int, stitch_width: float, row_height: float) -> float:
    """Return the radius (m) of the spiral on which neighbouring stitches of a round lie one stitch width apart.

    A step turns by 2 pi / stitches and climbs row_height / stitches; its chord is the stitch width (derived).
    """
    level = np.sqrt(stitch_width**2 - (row_height / stitches) ** 2)
    return float(level / (2.0 * np.sin(np.pi / stitches)))


def _rest_positions(case: Case, row_n: Ints, column_n: Ints, stitches: int, w: float, c: float) -> Floats:
    if case == "round":
        # Worked right to left: within a round the fabric climbs towards the left, by one row height in all.
        # The join lies at the left: neither the face seen in front nor the inside seen behind is cut by it.
        angle_n = 2.0 * np.pi * column_n / stitches - 0.5 * np.pi
        height_n = c * (row_n + (stitches - 1 - column_n) / stitches)
        radius = spiral_radius(stitches, w, c)
        return np.column_stack([radius * np.sin(angle_n), height_n, radius * np.cos(angle_n)])
    return np.column_stack([w * column_n, c * row_n, np.zeros(len(row_n))])


def _step(case: Case, row: Ints, column: Ints, rows: int, stitches: int) -> tuple[Ints, Ints]:
    """Return the node (or -1) and shift of each stitch at a possibly outlying row and column."""
    shift = np.zeros((*row.shape, 2), dtype=np.intp)
    turn = column // stitches
    if case == "round":
        row, column = row - turn, column - turn * stitches
    elif case == "repeat":
        lift = row // rows
        shift[..., 0], shift[..., 1] = turn, lift
        row, column = row - lift * rows, column - turn * stitches
    inside = (row >= 0) & (row < rows) & (column >= 0) & (column < stitches)
    return np.where(inside, row * stitches + column, -1), shift


def inside_out_factor(case: Case, stitches: int, stitch_width: float, thickness: float, inside_out: bool) -> float:
    """Return how much longer floats get when a tube is worked inside out: 1 + 2 pi t / circumference (derived)."""
    if case != "round" or not inside_out:
        return 1.0
    return 1.0 + inside_out_gain(thickness, stitches * stitch_width)


def build_mesh(
    grid_ij: Ints,
    floats: tuple[Float, ...],
    case: Case,
    *,
    stitch_width: float,
    row_height: float,
    thickness: float,
    inside_out: bool = False,
) -> Mesh:
    """Return the mesh of a fabric whose stitch (row i, column j) is worked in yarn ``grid_ij[i, j]``.

    ``grid_ij`` (rows, stitches) int, row 0 at the bottom, column 0 at the left of the face. ``floats`` must have been
    found with ``CLOSING[case]``. A tube needs three stitches to be one.
    """
    rows, stitches = grid_ij.shape
    row_n, column_n = (a.ravel() for a in np.indices((rows, stitches)))
    longer = inside_out_factor(case, stitches, stitch_width, thickness, inside_out)
    node_parts, shift_parts = [], []
    for d_row, d_column in ((0, -1), (0, 1), (-1, 0), (1, 0)):
        node, shift = _step(case, row_n + d_row, column_n + d_column, rows, stitches)
        node_parts.append(node)
        shift_parts.append(shift)
    return Mesh(
        case=case,
        rest_nc=_rest_positions(case, row_n, column_n, stitches, stitch_width, row_height),
        yarn_n=grid_ij.ravel().astype(np.intp),
        row_n=row_n,
        column_n=column_n,
        neighbour_n4=np.stack(node_parts, axis=1),
        shift_n42=np.stack(shift_parts, axis=1),
        period_a=np.array([stitches * stitch_width, rows * row_height]) if case == "repeat" else None,
        floats=_float_table(floats, case, rows, stitches, longer),
        rows=rows,
        stitches=stitches,
        stitch_width=stitch_width,
        row_height=row_height,
        thickness=thickness,
        floats_longer=longer,
    )


def _float_table(floats: tuple[Float, ...], case: Case, rows: int, stitches: int, longer: float) -> FloatTable:
    def ints(name: str) -> Ints:
        return np.array([getattr(f, name) for f in floats], dtype=np.intp)

    row_f, start_f, direction_f, gap_f = ints("row"), ints("start"), ints("direction"), ints("gap")
    first, first_shift = _step(case, row_f, start_f, rows, stitches)
    last, last_shift = _step(case, row_f, start_f + direction_f * (gap_f + 1), rows, stitches)
    leftward = direction_f < 0  # store every float left end first, whichever way it was worked
    node_f2 = np.where(leftward[:, None], np.stack([last, first], 1), np.stack([first, last], 1))
    shift_f2 = np.where(leftward[:, None], first_shift - last_shift, last_shift - first_shift)
    if (node_f2 < 0).any():
        raise ValueError(f"a float ends outside the fabric: it was not found for the case {case!r}")
    return float_table(floats, node_f2, shift_f2, longer)


def float_table(floats: tuple[Float, ...], node_f2: Ints, shift_f2: Ints, longer: float) -> FloatTable:
    """Return ``floats`` as ties between stitches, their yarn ``longer`` than span and slack make it."""

    def ints(name: str) -> Ints:
        return np.array([getattr(f, name) for f in floats], dtype=np.intp)

    def reals(name: str) -> Floats:
        return np.array([getattr(f, name) for f in floats], dtype=np.float64)

    span_f, slack_f = reals("span"), reals("slack")
    return FloatTable(
        node_f2=node_f2,
        shift_f2=shift_f2,
        yarn_f=ints("yarn"),
        gap_f=ints("gap"),
        layer_f=ints("layer"),
        span_f=span_f,
        slack_f=slack_f,
        length_f=span_f * (1.0 + slack_f) * longer,
    )
