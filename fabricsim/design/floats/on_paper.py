"""What a chart on paper shows besides its colours: the repeat, catches, long floats, on which side a row is begun."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fabricsim.design.catches.plan import Held, held_in_repeat
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.found import Float
from fabricsim.design.floats.of_scene import floats, floats_of_chart
from fabricsim.design.rows.squares import Square
from fabricsim.design.scene.chart import Rows, RowsOfMarks
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError


@dataclass(frozen=True)
class PastLimit:
    """Stitches of ``row``, columns ``first`` to ``last``, behind which a float past the limit runs.

    ``level``: 0 in a row of two yarns, else the rank of its yarn among those of the row, so that two floats behind the
    same stitches are told apart.
    """

    row: int
    first: int
    last: int
    level: int


@dataclass(frozen=True)
class Charted:
    """A chart as it goes on paper: row 0 at the bottom, column 0 at the left, as in ``Rows``.

    ``caught_ij``: where something is caught; ``strands``: which yarns, where it isn't all that pass there.
    ``repeat``: the lowest row and rightmost repeat, as rows (from, to) and columns (from, to), ends left out.
    ``first``: the number of its lowest row in the piece; ``edges``: seam stitches at its right and left, ``steek``:
    those for cutting.
    ``from_right_i``: whether a row is read from the right. ``whole``: the whole piece, not one repeat. ``long``: how
    many floats pass the limit.
    """

    yarn_ij: Rows
    caught_ij: RowsOfMarks
    strands: Mapping[Square, tuple[int, ...]]
    passed: tuple[PastLimit, ...]
    long: int
    repeat: tuple[int, int, int, int]
    from_right_i: tuple[bool, ...]
    whole: bool
    first: int = 1
    edges: tuple[int, int] = (0, 0)
    steek: tuple[int, int] = (0, 0)

    def is_steek(self, column: int) -> bool:
        """Return whether a column is one of the steek."""
        right, left = self.steek
        return not left <= column < len(self.yarn_ij[0]) - right


def charted_repeat(scene: Scene) -> Charted:
    """Return one repeat of the chart, as it lies among its copies, with the steek that begins and ends a round at its
    sides; its rows are counted as in the piece."""
    yarn_ij = scene.chart_rows()
    held = held_in_repeat(scene)
    found = floats_of_chart(scene)
    repeat = 0, len(yarn_ij), 0, len(yarn_ij[0])
    chart = _charted(scene, yarn_ij, held, found, repeat, scene.chart.plain_below, whole=False)
    if scene.steek is None:
        return chart
    right, left = scene.beside
    beside = _between_edges(chart, right, left)
    return replace(beside, yarn_ij=scene.with_steek(yarn_ij, scene.chart.plain_below), edges=(0, 0), steek=scene.beside)


def charted_piece(scene: Scene, edges: tuple[int, int] = (0, 0)) -> Charted:
    """Return the whole piece, plain rows and all, and of its catches those that hold a float; ``edges``: seam stitches
    at the right and at the left, each in the colour of the stitch beside it."""
    if scene.shaping is not None:
        raise InputError(
            scene.where("shaping"), "a shaped piece", "the repeat of its chart", "leave --piece out: its rows differ"
        )
    yarn_ij, chart, found = scene.knitted_rows(), scene.chart, floats(scene)
    right, left = scene.beside
    low, stitches = chart.plain_below, scene.stitches_per_repeat
    held: dict[Square, frozenset[int]] = {}
    for one in found:
        if one.caught_end:
            held[one.end_row, one.end] = held.get((one.end_row, one.end), frozenset()) | {one.yarn}
    end = len(yarn_ij[0]) - right
    repeat = low, low + len(scene.chart_rows()), end - stitches, end
    made = _charted(scene, yarn_ij, held, found, repeat, 0, whole=True)
    return replace(_between_edges(made, *edges), steek=(right, left))


def _between_edges(chart: Charted, right: int, left: int) -> Charted:
    """Return the same with stitches at its sides."""
    bottom, top, begin, end = chart.repeat
    return replace(
        chart,
        yarn_ij=[(yarn_j[0],) * left + tuple(yarn_j) + (yarn_j[-1],) * right for yarn_j in chart.yarn_ij],
        caught_ij=[(False,) * left + tuple(caught_j) + (False,) * right for caught_j in chart.caught_ij],
        strands={(row, column + left): yarns for (row, column), yarns in chart.strands.items()},
        passed=tuple(replace(one, first=one.first + left, last=one.last + left) for one in chart.passed),
        repeat=(bottom, top, begin + left, end + left),
        edges=(right, left),
    )


def _charted(
    scene: Scene,
    yarn_ij: Rows,
    held: Held,
    found: Sequence[Float],
    repeat: tuple[int, int, int, int],
    rows_below: int,
    *,
    whole: bool,
) -> Charted:
    over = [one.float for one in faults(found, scene.limits)]
    flat = scene.worked == "flat"
    return Charted(
        yarn_ij=yarn_ij,
        caught_ij=[[(row, column) in held for column in range(len(yarn_j))] for row, yarn_j in enumerate(yarn_ij)],
        strands={
            (row, column): tuple(sorted(yarns))
            for (row, column), yarns in held.items()
            if len(yarns) < len(set(yarn_ij[row]) - {yarn_ij[row][column]})
        },
        passed=tuple(
            part
            for one in over
            for part in _passed(one, one.layer if len(set(yarn_ij[one.row % len(yarn_ij)])) > 2 else 0, len(yarn_ij))
        ),
        long=len(over),
        repeat=repeat,
        from_right_i=tuple(not flat or (rows_below + row) % 2 == 0 for row in range(len(yarn_ij))),
        whole=whole,
        first=rows_below + 1,
    )


def _passed(one: Float, level: int, rows: int) -> list[PastLimit]:
    """Return the stitches that a float passes in a chart of so many ``rows``, cut where it runs off the chart's edge
    and on at the other, in a row of the next repeat up if need be."""
    parts: dict[int, list[int]] = {}
    for step in range(1, one.gap + 1):
        past, column = divmod(one.start + one.direction * step, one.stitches)
        parts.setdefault(past, []).append(column)
    return [
        PastLimit((one.row + (past != 0 and one.kind == "round join")) % rows, min(columns), max(columns), level)
        for past, columns in parts.items()
    ]
