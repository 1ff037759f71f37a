"""Marks on the squares of a chart: what is drawn where, from a chart that is made up, in columns and rows."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from matplotlib.collections import LineCollection, PathCollection, PolyCollection
from matplotlib.colors import to_rgba
from matplotlib.figure import Figure

from fabricsim.design.floats.on_paper import Charted, PastLimit
from fabricsim.render.basics.palette import INK, shares
from fabricsim.render.chart.layout import SheetLayout, Tile
from fabricsim.render.chart.squares import (
    APART,
    BELOW,
    CASED,
    EDGE_THICK,
    FLOAT_THICK,
    FRAME_SHARE,
    GRID,
    HEAVY,
    HEAVY_SHARE,
    RING,
    RING_THICK,
    STEEK,
    STRAND_THICK,
    THICK,
    THIN,
    ChartAxes,
    ChartSquare,
    draw_frame,
    draw_size_line,
    draw_squares,
    ring_parts,
    squares_on,
)
from fabricsim.render.layout.paper import POINT

WIDE, TALL = 8.0, 6.0
"""Of a square, mm."""
PALE, DARK = ChartSquare("o", (240.0, 240.0, 230.0)), ChartSquare("x", (20.0, 20.0, 60.0))
ROWS, STITCHES = 7, 12
PLAIN = Charted(
    yarn_ij=((0,) * STITCHES,) * ROWS,
    caught_ij=((False,) * STITCHES,) * ROWS,
    strands={},
    passed=(),
    long=0,
    repeat=(0, ROWS, 0, STITCHES),
    from_right_i=(True,) * ROWS,
    whole=True,
)


def place_of(rows: tuple[int, int] = (0, ROWS), columns: tuple[int, int] = (0, STITCHES)) -> ChartAxes:
    """Return a place on a sheet of 210 x 297 mm for a part of the chart, 20 mm from the left, 30 mm from above."""
    tile = Tile(rows, columns, 0, 0)
    layout = SheetLayout((210.0, 297.0), WIDE, TALL, (tile,))
    figure = Figure(figsize=(210.0 / 25.4, 297.0 / 25.4))
    return squares_on(figure, layout, tile, 20.0, 30.0)


def drawn(chart: Charted, kind: type, **where: Any) -> list[Any]:
    place = place_of(**where)
    draw_squares(place, chart, [PALE, DARK])
    return [one for one in place.axes.collections if type(one) is kind]


def row_of(*dark: int) -> tuple[int, ...]:
    return tuple(int(column in dark) for column in range(STITCHES))


def test_squares_lie_where_the_sheet_has_them() -> None:
    place = place_of((2, 6), (3, 10))
    assert place.side == min(WIDE, TALL)
    figure = place.axes.figure
    per_mm = figure.dpi / 25.4
    (left, top), (right, bottom) = (place.axes.transData.transform(one) / per_mm for one in ((3, 6), (10, 2)))
    assert (left, 297.0 - top) == pytest.approx((20.0, 30.0))
    assert (right - left, top - bottom) == pytest.approx((7 * WIDE, 4 * TALL))


def test_every_fifth_line_is_heavier_counted_from_the_first_stitch_and_row() -> None:
    chart = replace(PLAIN, steek=(3, 1))
    thin, heavy, *_ = drawn(chart, LineCollection, rows=(1, 7), columns=(0, STITCHES))
    found = {}
    for name, lines in (("thin", thin), ("heavy", heavy)):
        ends = np.array(lines.get_segments())
        level = ends[:, 0, 1] == ends[:, 1, 1]
        assert (np.ptp(ends[level][..., 0], axis=1) == STITCHES).all()
        assert (np.ptp(ends[~level][..., 1], axis=1) == 6).all()
        found[name] = (sorted(ends[level][:, 0, 1]), sorted(ends[~level][:, 0, 0]))
        assert np.allclose(lines.get_colors(), to_rgba(GRID))
    # the first stitch beside the steek is the ninth from the left
    assert found["heavy"] == ([5], [4, 9])
    assert found["thin"] == ([1, 2, 3, 4, 6, 7], [0, 1, 2, 3, 5, 6, 7, 8, 10, 11, 12])
    assert thin.get_linewidths() == [THIN]
    assert heavy.get_linewidths() == [min(HEAVY, HEAVY_SHARE * TALL / POINT)]


def test_symbols_stand_in_the_middle_in_the_ink_that_is_seen() -> None:
    chart = replace(PLAIN, yarn_ij=(row_of(), row_of(4, 5), *PLAIN.yarn_ij[2:]))
    pale, dark = drawn(chart, PathCollection, rows=(1, 3), columns=(3, 7))
    assert sorted(map(tuple, dark.get_offsets())) == [(4.5, 1.5), (5.5, 1.5)]
    assert len(pale.get_offsets()) == 6
    assert np.allclose(pale.get_facecolor()[0][:3], shares(PALE.ink))
    assert np.allclose(dark.get_facecolor()[0][:3], shares(DARK.ink))
    assert PALE.ink != DARK.ink


def test_a_corner_is_filled_in_the_squares_of_a_steek() -> None:
    chart = replace(PLAIN, yarn_ij=(row_of(0), *PLAIN.yarn_ij[1:]), steek=(1, 2))
    (corners,) = drawn(chart, PolyCollection, rows=(0, 2))
    shapes = [path.vertices[:3] for path in corners.get_paths()]
    assert len(shapes) == 2 * 3
    assert {(one[0, 0], one[0, 1]) for one in shapes} == {(x, y) for x in (0, 1, 11) for y in (1, 2)}
    for one in shapes:  # as long on paper both ways
        assert (one[1] - one[0]) * (WIDE, TALL) == pytest.approx((STEEK * TALL, 0.0))
        assert (one[2] - one[0]) * (WIDE, TALL) == pytest.approx((0.0, -STEEK * TALL))
    inks = corners.get_facecolor()[:, :3]
    (lone,) = [k for k, one in enumerate(shapes) if tuple(one[0]) == (0, 1)]
    assert np.allclose(inks[lone], shares(DARK.ink))
    assert np.allclose(np.delete(inks, lone, axis=0), shares(PALE.ink))
    assert drawn(PLAIN, PolyCollection) == []


def test_a_long_float_is_a_line_low_in_its_squares() -> None:
    chart = replace(PLAIN, yarn_ij=(row_of(), row_of(4), *PLAIN.yarn_ij[2:]), passed=(PastLimit(1, 3, 5, 2),))
    *_, lines = drawn(chart, LineCollection)
    height = 1 + BELOW + 2 * APART
    assert [one.tolist() for one in lines.get_segments()] == [[[x, height], [x + 1.0, height]] for x in (3, 4, 5)]
    assert np.allclose(lines.get_colors()[:, :3], [shares(one.ink) for one in (PALE, DARK, PALE)])
    assert lines.get_linewidths() == [FLOAT_THICK * TALL / POINT]


@pytest.mark.parametrize(("rows", "columns"), [((0, 3), (0, 5)), ((3, 7), (4, 12)), ((1, 5), (3, 9))])
def test_a_sheet_holds_the_lines_of_its_own_squares_and_of_those_that_border_on_them(
    rows: tuple[int, int], columns: tuple[int, int]
) -> None:
    passed = (PastLimit(0, 0, 11, 0), PastLimit(2, 3, 6, 0), PastLimit(3, 0, 2, 1), PastLimit(6, 8, 11, 0))
    *_, lines = drawn(replace(PLAIN, passed=passed), LineCollection, rows=rows, columns=columns)
    there = {(int(y), int(x)) for (x, y), _ in (one.tolist() for one in lines.get_segments())}
    all_of_them = {(one.row, column) for one in passed for column in range(one.first, one.last + 1)}

    def within(border: int) -> set[tuple[int, int]]:
        (low, high), (first, last) = ((start - border, stop + border) for start, stop in (rows, columns))
        return {(i, j) for i, j in all_of_them if low <= i < high and first <= j < last}

    assert within(0) <= there == within(1) != all_of_them


def test_a_catch_is_a_ring_in_ink_or_in_its_strands() -> None:
    caught = tuple(tuple((row, column) in ((1, 3), (2, 4)) for column in range(STITCHES)) for row in range(ROWS))
    chart = replace(PLAIN, caught_ij=caught, strands={(2, 4): (1, 0)})
    _, plain, edge, first, second = drawn(chart, PathCollection)
    ink = shares(PALE.ink)
    for ring, middle, thick, colour in (
        (plain, (3.5, 1.5), RING_THICK, ink),
        (edge, (4.5, 2.5), STRAND_THICK + EDGE_THICK, ink),
        (first, (4.5, 2.5), STRAND_THICK, shares(DARK.rgb)),
        (second, (4.5, 2.5), STRAND_THICK, shares(PALE.rgb)),
    ):
        assert ring.get_offsets().tolist() == [list(middle)]
        assert ring.get_linewidths() == [thick * TALL / POINT]
        assert np.allclose(ring.get_edgecolor()[0][:3], colour)
        assert np.allclose(np.hypot(*ring.get_paths()[0].vertices[0]), 0.5 * RING)
    left, right = first.get_paths()[0].vertices, second.get_paths()[0].vertices
    assert left[0] == pytest.approx((0.0, 0.5 * RING), abs=1e-12)  # from the top round the left
    assert left[:, 0].max() < 1e-9
    assert right[:, 0].min() > -1e-9
    turns = [part[:2] for part in ring_parts([ink] * 3, ink)[1:]]
    np.testing.assert_allclose(turns, [(0.25 + k / 3, 0.25 + (k + 1) / 3) for k in range(3)])


@pytest.mark.parametrize(
    ("repeat", "rows", "columns", "lines"),
    [
        ((0, 7, 0, 12), (0, 7), (0, 12), {((0, 12), (0, 0)), ((0, 12), (7, 7)), ((0, 0), (0, 7)), ((12, 12), (0, 7))}),
        ((2, 5, 3, 9), (0, 7), (0, 12), {((3, 9), (2, 2)), ((3, 9), (5, 5)), ((3, 3), (2, 5)), ((9, 9), (2, 5))}),
        ((2, 5, 3, 9), (2, 4), (3, 6), {((3, 6), (2, 2)), ((3, 3), (2, 4))}),  # cut off above and at the right
        ((2, 5, 3, 9), (4, 5), (6, 9), {((6, 9), (5, 5)), ((9, 9), (4, 5))}),
        ((2, 5, 3, 9), (3, 4), (4, 8), set()),  # all inside
        ((2, 5, 3, 9), (5, 7), (3, 9), set()),  # beside it
        ((2, 5, 3, 9), (2, 5), (9, 12), set()),
    ],
)
def test_of_the_frame_is_drawn_what_lies_on_the_sheet(
    repeat: tuple[int, int, int, int],
    rows: tuple[int, int],
    columns: tuple[int, int],
    lines: set[tuple[tuple[int, int], tuple[int, int]]],
) -> None:
    place = place_of(rows, columns)
    draw_frame(place, replace(PLAIN, repeat=repeat))
    found = [(tuple(one.get_xdata()), tuple(one.get_ydata()), one) for one in place.axes.lines]
    assert {(x, y) for x, y, _ in found} == lines
    thick = min(THICK, FRAME_SHARE * TALL / POINT)
    inside = repeat != (0, 7, 0, 12)
    looks = [(one.get_linewidth(), one.get_color()) for _, _, one in found]
    assert looks == [(thick * CASED / THICK, "white")] * (len(lines) * inside) + [(thick, INK)] * len(lines)


def test_a_size_ends_at_a_dashed_line_on_white() -> None:
    place = place_of((2, 6))
    draw_size_line(place, 5)
    cased, dashed = place.axes.lines
    for line, width, colour in ((cased, CASED, "white"), (dashed, THICK, INK)):
        assert (tuple(line.get_xdata()), tuple(line.get_ydata())) == ((5, 5), (2, 6))
        assert (line.get_linewidth(), line.get_color()) == (width, colour)
    assert cased.get_linestyle() == "-"
    assert dashed.get_linestyle() == "--"
