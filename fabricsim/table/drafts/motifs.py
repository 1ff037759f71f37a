"""What may be done with a part of a chart; parts run over the edge of the repeat and on at its other side."""

from __future__ import annotations

from collections.abc import Iterator

from fabricsim.design.scene.chart import Rows
from fabricsim.errors import InputError
from fabricsim.table.messages.asked import AskMotif, Box


def with_motif(chart_ij: Rows, asked: AskMotif) -> Rows:
    """Return the chart after what is ``asked`` for; raises ``InputError`` for what can't be."""
    rows, stitches = len(chart_ij), len(chart_ij[0])
    box = asked.box
    if box.rows > rows or box.columns > stitches:
        raise InputError(
            "motif",
            f"{box.rows} rows of {box.columns} stitches",
            f"at most the whole chart: {rows} rows of {stitches}",
            "choose a smaller part",
        )
    part = [[chart_ij[row][column] for column in columns] for row, columns in _squares(box, rows, stitches)]
    if asked.do == "copy":
        if asked.to is None:
            raise InputError("motif", "a copy to nowhere", "the square where it goes", "say where it goes")
        return _put(chart_ij, part, box.model_copy(update={"row": asked.to[0], "column": asked.to[1]}))
    if asked.do == "shift":
        by_row, by_column = asked.by or (0, 0)
        height, width = box.rows, box.columns
        moved = [[part[(i - by_row) % height][(j - by_column) % width] for j in range(width)] for i in range(height)]
    elif asked.do == "mirror across":
        moved = [row[::-1] for row in part]
    elif asked.do == "mirror up":
        moved = part[::-1]
    else:
        if asked.quarters != 2 and box.rows != box.columns:
            raise InputError(
                "motif",
                f"a quarter turn of {box.rows} rows of {box.columns} stitches",
                "as many rows as stitches, or half a turn",
                "choose a square part",
            )
        moved = part
        for _ in range(asked.quarters):  # to the left, seen from the face: what was at the right comes to the top
            moved = [[row[column] for row in moved[::-1]] for column in range(len(moved[0]))]
    return _put(chart_ij, moved, box)


def resized(
    chart_ij: Rows, rows: int, stitches: int, yarn: int, *, keep_bottom: bool, keep_left: bool
) -> tuple[tuple[int, ...], ...]:
    """Return the chart with so many ``rows`` and ``stitches``; what is new is of ``yarn``."""
    more, wider = rows - len(chart_ij), stitches - len(chart_ij[0])
    below, left = (0 if keep_bottom else more), (0 if keep_left else wider)

    def at(row: int, column: int) -> int:
        row, column = row - below, column - left
        return chart_ij[row][column] if 0 <= row < len(chart_ij) and 0 <= column < len(chart_ij[0]) else yarn

    return tuple(tuple(at(row, column) for column in range(stitches)) for row in range(rows))


def _squares(box: Box, rows: int, stitches: int) -> Iterator[tuple[int, list[int]]]:
    """Yield each row of the ``box`` and its columns, round the edges of the chart."""
    for row in range(box.rows):
        yield (box.row + row) % rows, [(box.column + column) % stitches for column in range(box.columns)]


def _put(chart_ij: Rows, part: Rows, box: Box) -> Rows:
    changed = [list(row) for row in chart_ij]
    for (row, columns), yarns in zip(_squares(box, len(chart_ij), len(chart_ij[0])), part, strict=True):
        for column, yarn in zip(columns, yarns, strict=True):
            changed[row][column] = yarn
    return tuple(map(tuple, changed))
