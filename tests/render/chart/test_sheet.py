"""Charts on paper as they are seen: legible, every mark in its square, every word beside them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection, PathCollection
from matplotlib.colors import to_rgba
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, PathPatch, Rectangle

from fabricsim.cli.commands.chart.words import sheet_of
from fabricsim.design.floats.on_paper import Charted, charted_piece, charted_repeat
from fabricsim.design.scene.model import Scene
from fabricsim.render.basics.eyes import contrast
from fabricsim.render.basics.files import figure_image
from fabricsim.render.chart.layout import LEAST, SheetLayout
from fabricsim.render.chart.sheet import MARGIN, NUMBERS, ChartSheet, chart_figures, chart_layout, in_grey, size_lines
from fabricsim.render.chart.squares import (
    BELOW,
    DARK,
    FLOAT_THICK,
    GRID,
    HEAVY,
    LIGHT,
    RING,
    RING_THICK,
    STEEK,
    THIN,
    ChartSquare,
    key_catch,
    key_frame,
    key_long,
    key_steek,
)
from fabricsim.render.layout.paper import DPI, POINT, Paper, blank
from tests.design.floats.test_on_paper import scene
from tests.render.written import lines_on

LEGIBLE_PT = 6.5
"""Smallest letters, points: x-height 1.25 mm, as in a small-print book (chosen)."""


def made(
    of: Scene,
    *,
    piece: bool = False,
    marks: bool = False,
    square: bool = False,
    sizes: tuple[tuple[str, int], ...] = (),
) -> tuple[ChartSheet, Charted, SheetLayout, list[Figure]]:
    chart = charted_piece(of) if piece else charted_repeat(of)
    sheet, _ = sheet_of(of, chart, square=square, marks=False)
    sheet = replace(sheet, sizes=size_lines(sizes))
    layout = chart_layout(sheet, chart)
    return sheet, chart, layout, list(chart_figures(sheet, chart, layout))


def pixels(figure: Figure) -> np.ndarray:
    return np.asarray(figure_image(figure)).astype(np.int16)  # signed, and no larger than need be: 9 million dots


def at(figure: Figure, shown: np.ndarray, x: float, y: float) -> np.ndarray:
    """Return the pixel at a place in columns and rows of the chart."""
    across, up = figure.axes[0].transData.transform((x, y))
    return np.asarray(shown[int(shown.shape[0] - up), int(across)])


def close(one: object, other: object) -> bool:
    return bool(np.abs(np.asarray(one) - np.asarray(other)).max() <= 3)


RANDOM = np.random.default_rng(3)
LARGE = ["".join("abc"[k] for k in RANDOM.integers(0, 3, 100)) for _ in range(120)]
SMALL = ["abcaab", "aaaaab", "bbbaaa", "aabbaa"]


@pytest.mark.parametrize("worked", ["round", "flat"])
@pytest.mark.parametrize("square", [False, True])
def test_every_square_has_its_colour_and_a_symbol_that_shows_on_it(worked: str, square: bool) -> None:
    sheet, chart, layout, figures = made(scene(SMALL, worked), square=square)
    shown = pixels(figures[0])
    for i, yarn_j in enumerate(chart.yarn_ij):
        for j, yarn in enumerate(yarn_j):
            own = sheet.yarns[yarn].square
            assert close(at(figures[0], shown, j + 0.08, i + 0.90), own.rgb)
            left, low = figures[0].axes[0].transData.transform((j + 0.1, i + 0.3))
            right, high = figures[0].axes[0].transData.transform((j + 0.75, i + 0.95))
            middle = shown[int(shown.shape[0] - high) : int(shown.shape[0] - low), int(left) : int(right)].reshape(
                -1, 3
            )
            inked = np.abs(middle - np.array(own.ink)).max(axis=1) <= 3
            assert 0.02 < inked.mean() < 0.6
    shape = 1.0 if square else 20 / 26
    assert layout.tall / layout.wide == pytest.approx(shape)


@pytest.mark.parametrize(
    "rgb", [(255, 255, 255), (0, 0, 0), (128, 128, 128), (200, 30, 30), (250, 220, 40), (99, 99, 99)]
)
def test_symbols_are_light_or_dark_whichever_shows_better(rgb: tuple[int, int, int]) -> None:
    ink = ChartSquare("x", rgb).ink
    assert contrast(ink, rgb) == max(contrast(DARK, rgb), contrast(LIGHT, rgb))
    assert contrast(ink, rgb) > 3.7  # the least possible with these two, in the middle greys


def test_a_large_chart_stays_legible_and_is_split_without_overlap() -> None:
    sheet, _, layout, figures = made(scene(LARGE))
    assert len(figures) == len(layout.tiles) > 2
    assert min(layout.wide, layout.tall) >= LEAST
    seen = np.zeros((120, 100), dtype=int)
    for number, (figure, tile) in enumerate(zip(figures, layout.tiles, strict=True), start=1):
        seen[slice(*tile.rows), slice(*tile.columns)] += 1
        said = [text.get_text() for text in figure.texts]
        label = f"Page {number} of {len(figures)}: rounds {tile.rows[0] + 1} to {tile.rows[1]}, "
        label += f"stitches {101 - tile.columns[1]} to {100 - tile.columns[0]}. "
        assert any(one.startswith(label) for one in said)
        assert figure.get_size_inches() * 25.4 == pytest.approx(layout.sheet)
        axes = figure.axes[0]
        drawn = axes.get_position()
        wide = drawn.width * layout.sheet[0] / (tile.columns[1] - tile.columns[0])
        assert wide == pytest.approx(layout.wide)
    assert (seen == 1).all()
    assert sheet.yarns[0].said.startswith("#eeeae0, ")


@pytest.mark.parametrize(
    ("rows", "worked", "piece"),
    [
        (SMALL, "round", False),
        (SMALL, "flat", True),
        ([row[:70] for row in LARGE[:90]], "round", False),
        (["ab" * 40], "flat", False),
    ],
)
def test_words_are_legible_and_stand_beside_the_squares(rows: list[str], worked: str, piece: bool) -> None:
    catches = "planned" if rows is SMALL else []  # to plan a large chart takes long, and it has words enough
    of = scene(rows, worked, gap=2, catches=catches, across=2, up=3, plain_below=3)
    _, _, layout, figures = made(of, piece=piece, sizes=(("small: 4 sts", 4), ("large", 9), ("none here", 10_000)))
    for figure in figures:
        FigureCanvasAgg(figure)  # measures letters without drawing it all
        squares = figure.axes[0].get_window_extent()
        assert len(figure.texts) > 8
        for text in figure.texts:
            box = text.get_window_extent()
            assert text.get_fontsize() >= LEGIBLE_PT
            assert not box.overlaps(squares), text.get_text()
            assert box.x0 >= (MARGIN - 0.5) / 25.4 * DPI
            assert box.x1 <= (layout.sheet[0] - MARGIN + 0.5) / 25.4 * DPI
            assert box.y0 >= (MARGIN - 2.0) / 25.4 * DPI
        for one, other in zip(figure.texts[:-1], figure.texts[1:], strict=True):
            assert not one.get_window_extent().overlaps(other.get_window_extent()), (one.get_text(), other.get_text())
        numbers = [text for text in figure.texts if text.get_text().isdigit()]
        assert min(text.get_fontsize() for text in numbers) * POINT < layout.tall  # rows' numbers keep apart


def test_numbers_of_rows_are_where_the_rows_begin() -> None:
    for of, right in (
        (scene(SMALL), [1, 2, 3, 4]),
        (scene(SMALL, "flat"), [1, 3]),
        (scene(SMALL, "flat", plain_below=1), [3, 5]),
    ):
        _, _, _, figures = made(of)
        first = 1 + of.chart.plain_below  # as in the piece
        box = figures[0].axes[0].get_position()
        beside = {}
        for text in figures[0].texts:
            x, y = text.get_position()
            if text.get_text().isdigit() and box.y0 < y < box.y1:
                beside[int(text.get_text())] = "right" if x > box.x1 else "left"
                assert int((y - box.y0) / box.height * 4) + first == int(text.get_text())
        assert sorted(beside) == list(range(first, first + 4))
        assert [row for row, side in sorted(beside.items()) if side == "right"] == right


def test_stitches_are_numbered_from_the_right() -> None:
    _, _, layout, figures = made(scene(["ab" * 12]))
    box = figures[0].axes[0].get_position()
    found = {}
    for text in figures[0].texts:
        x, y = text.get_position()
        if text.get_text().isdigit() and y < box.y0:
            found[int(text.get_text())] = x
            assert 0.0 < (box.y0 - y) * layout.sheet[1] < NUMBERS  # in the room that is kept for them
    assert sorted(found) == [1, 5, 10, 15, 20, 24]
    for stitch, x in found.items():
        assert (box.x1 - x) * layout.sheet[0] / layout.wide == pytest.approx(stitch - 0.5)


def test_long_floats_and_catches_are_drawn_in_their_squares_and_explained() -> None:
    of = scene(["baaaaaaaaa", "bababababa"], gap=4, catches=[{"row": 2, "stitch": 2}])
    sheet, chart, _, figures = made(of)
    shown = pixels(figures[0])
    for j in range(10):
        inked = close(at(figures[0], shown, j + 0.5, 1.0 + BELOW), DARK)
        assert inked == any(one.first <= j <= one.last for one in chart.passed)
        assert not close(at(figures[0], shown, j + 0.5, BELOW), DARK)
    assert chart.long == 1
    ringed = []
    for j in range(10):
        on_the_ring = at(figures[0], shown, j + 0.5, 1.5 + 0.5 * RING)
        ringed.append(not close(on_the_ring, sheet.yarns[chart.yarn_ij[1][j]].square.rgb))
    assert ringed == [False] * 8 + [True, False]
    said = " ".join(text.get_text() for text in figures[0].texts)
    assert "past the limit of 4 stitches or 50\u00a0cm (1 float in the repeat)." in said
    assert "catch here" in said
    _, _, _, plain = made(scene(["ab"]))
    said = " ".join(text.get_text() for text in plain[0].texts)
    assert "limit" not in said
    assert "catch" not in said


def test_the_repeat_is_framed_and_named() -> None:
    of = scene(["ab", "ba", "bb"], across=8, up=2, plain_below=3, plain_above=2)
    _, chart, layout, figures = made(of, piece=True)
    shown, axes = pixels(figures[0]), figures[0].axes[0]
    bottom, top, left, right = chart.repeat
    for x, y in ((left, bottom + 1.5), (right, bottom + 1.5), (right - 1.4, bottom), (right - 1.4, top)):
        assert close(at(figures[0], shown, x, y), [44, 42, 40])
    assert not close(at(figures[0], shown, left - 2, bottom + 1.5), [44, 42, 40])
    said = [text.get_text() for text in figures[0].texts]
    assert "repeat 2 sts x 3 rounds, 8 times across, twice up" in said
    assert "The frame holds one repeat." in said
    assert axes.get_xlim() == (0, 16)
    assert layout.tiles[0].rows == (0, 11)


def test_sizes_end_in_a_line_with_a_label_above() -> None:
    sizes = (("L: 20 sts", 20), ("S: 12 sts", 12))
    _, _, layout, figures = made(scene(["ab" * 10] * 5), sizes=sizes)
    shown = pixels(figures[0])

    def inked(column: float) -> float:
        down = [close(at(figures[0], shown, column, y), [44, 42, 40]) for y in np.linspace(0.05, 4.95, 200)]
        return float(np.mean(down))

    assert 0.4 < inked(8) < 0.8  # dashes
    assert inked(6) == inked(10) == 0.0
    assert inked(0) > 0.95  # the frame of the repeat is over it
    assert [one.stitches for one in size_lines(sizes)] == [12, 20]  # from the smallest
    box = figures[0].axes[0].get_position()
    for label, stitches in sizes:
        text = next(one for one in figures[0].texts if one.get_text() == label)
        x, y = text.get_position()
        assert y > box.y1
        assert (box.x1 - x) * layout.sheet[0] == pytest.approx(stitches * layout.wide, abs=1.0)


def test_in_grey_the_symbols_still_tell_the_yarns_apart() -> None:
    of = scene(SMALL).model_copy(deep=True)
    same = tuple(
        yarn.model_copy(update={"colour": colour})
        for yarn, colour in zip(of.yarns, ("#cc4444", "#5f7f3f", "#3f6fdf"), strict=True)
    )
    of = of.model_copy(update={"yarns": same})
    chart = charted_repeat(of)
    sheet = in_grey(sheet_of(of, chart, square=False, marks=True)[0])
    layout = chart_layout(sheet, chart)
    figure = next(chart_figures(sheet, chart, layout))
    shown = pixels(figure)
    assert np.ptp(shown, axis=2).max() <= 16  # letters and lines of all pages are a little warm
    shades = [one.square.rgb[0] for one in sheet.yarns]
    assert np.ptp(shades) < 20  # the colours alone would not
    looks = {}
    for i, yarn_j in enumerate(chart.yarn_ij):
        for j, yarn in enumerate(yarn_j):
            left, low = figure.axes[0].transData.transform((j + 0.15, i + 0.25))
            top = int(shown.shape[0] - low)
            looks.setdefault(yarn, shown[top - 60 : top, int(left) : int(left) + 60, 0])
    inks = [np.abs(look - look[0, 0]) > 40 for _, look in sorted(looks.items())]
    for one, other in ((0, 1), (0, 2), (1, 2)):
        assert (inks[one] ^ inks[other]).sum() > 0.3 * (inks[one] | inks[other]).sum()


def test_names_with_any_letters_are_written_as_they_are() -> None:
    of = scene(SMALL)
    names = ("$\\frac$ of $x^2$", "<&> % # _ ~", "two\nlines 編 \U0001faa1")
    yarns = tuple(yarn.model_copy(update={"name": name}) for yarn, name in zip(of.yarns, names, strict=True))
    _, _, _, figures = made(of.model_copy(update={"yarns": yarns, "title": "$\\alpha$ 編"}))
    pixels(figures[0])  # warnings are errors
    said = [text.get_text() for text in figures[0].texts]
    assert {"$\\frac$ of $x^2$", "<&> % # _ ~", "two lines ? ?", "$\\alpha$ ?"} <= set(said)


LARGER = [row[:66] for row in LARGE[:80]]


@pytest.mark.parametrize(("rows", "strands"), [(SMALL, False), (SMALL, True), (LARGER, True)])
def test_rings_are_large_round_the_symbol_and_cut_by_nothing(rows: list[str], strands: bool) -> None:
    """Also in the squares at the frame, on sheets where squares are smallest."""
    stitches = len(rows[0])
    catches = [
        {"row": len(rows), "stitch": stitch, **({"yarn": yarn} if strands else {})}
        for stitch, own in enumerate(reversed(rows[0]), start=1)
        for yarn in sorted(set(rows[0]) - {own})[:1]
    ]
    of = scene(rows, catches=catches, across=2, up=2, plain_below=1)
    _, chart, layout, figures = made(of, piece=True)
    side = min(layout.wide, layout.tall) / 25.4 * DPI
    seen = 0
    for figure, tile in zip(figures, layout.tiles, strict=True):
        axes = figure.axes[0]
        frame = max((line.get_linewidth() for line in axes.lines), default=0.0) / 72.0 * DPI
        symbols, rings = [
            [one for one in axes.collections if isinstance(one, PathCollection) and one.get_zorder() == level]
            for level in (1, 5)
        ]
        assert symbols
        for one in rings:
            assert len(np.asarray(one.get_facecolor())) == 0  # its symbol is seen through it
            thick = float(np.asarray(one.get_linewidths())[0]) / 72.0 * DPI
            offsets = np.asarray(one.get_offsets())
            radius = 0.5 * one.get_paths()[0].get_extents().width * side
            assert 0.5 * side - radius - 0.5 * thick > 0.5 * frame - 1.0  # to a dot of the print
            for x, y in offsets:
                seen += 1
                assert tile.columns[0] < x < tile.columns[1]
                assert tile.rows[0] < y < tile.rows[1]
                assert (x % 1.0, y % 1.0) == (0.5, 0.5)
        reach = max(np.hypot(*one.get_paths()[0].vertices.T).max() for one in symbols)
        assert reach < 0.5 * RING - 0.5 * 0.08
    assert RING * min(layout.wide, layout.tall) >= 2.0  # mm
    assert seen >= sum(map(sum, chart.caught_ij)) > stitches


@pytest.mark.parametrize("symbol", [".", "a", "g", "-", "'", "M"])
def test_every_symbol_stands_in_the_middle_of_its_square(symbol: str) -> None:
    square = ChartSquare(symbol, (255.0, 255.0, 255.0))
    figure = blank((20.0, 20.0))
    square.on(Paper(figure, (20.0, 20.0)), 2.0, 2.0, 16.0)
    shown = pixels(figure)
    inner = shown[40:-40, 40:-40].min(axis=2) < 128
    rows, columns = np.nonzero(inner)
    for found in (rows, columns):
        assert 0.5 * (found.min() + found.max() + 1) == pytest.approx(0.5 * len(inner), abs=1.5)


def test_the_key_explains_what_is_drawn_on_its_sheet_alone() -> None:
    of = scene(SMALL, across=20, plain_above=200, gap=90)
    _, _, _, figures = made(of, piece=True)
    framed = [any("frame holds one repeat" in text.get_text() for text in figure.texts) for figure in figures]
    assert framed == [bool(figure.axes[0].lines) for figure in figures]
    assert any(framed)
    assert not all(framed)
    only_join = scene(["a" + "b" * 9], across=2, gap=99, catches=[{"row": 1, "stitch": 5, "repeat": "first"}])
    sheet, _, _, figures = made(only_join)
    assert sheet.caught is None
    assert sheet.joins is not None
    assert any("first repeat of a round" in text.get_text() for text in figures[0].texts)
    circles = [one for one in figures[0].findobj(Circle) if isinstance(one, Circle)]
    assert not circles


@pytest.mark.parametrize("rows", [SMALL, ["ab" * 12] * 11, LARGER])
def test_every_fifth_line_is_heavier_counted_from_the_bottom_right(rows: list[str]) -> None:
    """Also on sheets that begin in the middle of the chart."""
    _, _, layout, figures = made(scene(rows))
    for figure, tile in zip(figures, layout.tiles, strict=True):
        (low, high), (first, last) = tile.rows, tile.columns
        grids = [
            one for one in figure.axes[0].collections
            if isinstance(one, LineCollection) and one.get_segments()
            and np.allclose(np.asarray(one.get_colors())[0], to_rgba(GRID))
        ]  # fmt: skip
        thin, heavy = sorted(grids, key=lambda one: float(np.asarray(one.get_linewidths())[0]))
        assert float(np.asarray(thin.get_linewidths())[0]) == THIN
        assert THIN < float(np.asarray(heavy.get_linewidths())[0]) <= HEAVY
        drawn = {}
        for one, is_heavy in ((thin, False), (heavy, True)):
            for (x, y), (to_x, to_y) in (line.tolist() for line in one.get_segments()):
                if y == to_y:
                    assert (x, to_x) == (first, last)
                    drawn["up", y] = is_heavy
                else:
                    assert (x, y, to_y) == (to_x, low, high)
                    drawn["across", len(rows[0]) - x] = is_heavy
        wanted = [("up", y) for y in range(low, high + 1)]
        wanted += [("across", len(rows[0]) - x) for x in range(first, last + 1)]
        assert drawn == {(way, at): at % 5 == 0 for way, at in wanted}


def test_the_squares_of_the_key_look_as_those_of_the_chart() -> None:
    figure = blank((60.0, 40.0))
    paper = Paper(figure, (60.0, 40.0))
    for number, draw in enumerate((key_frame, key_long, key_catch)):
        draw(paper, 2.0 + 20.0 * number, 4.0, 16.0)
    squares = [one for one in figure.get_children() if isinstance(one, Rectangle) and one is not figure.patch]
    lefts = [one.get_x() * 60.0 for one in squares]
    assert lefts == pytest.approx([2.0, 22.0, 42.0])
    assert [one.get_facecolor() for one in squares] == [to_rgba("white")] * 3
    assert squares[0].get_linewidth() > 2.0 * squares[1].get_linewidth()  # the frame is the heaviest line
    assert lines_on(figure) == [pytest.approx((23.6, 36.4, 4.0 + 16.0 * (1.0 - BELOW), 4.0 + 16.0 * (1.0 - BELOW)))]
    (line,) = (one for one in figure.get_children() if isinstance(one, Line2D))
    assert line.get_linewidth() * POINT == pytest.approx(FLOAT_THICK * 16.0)
    (ring,) = (one for one in figure.findobj(Circle) if isinstance(one, Circle))
    assert not ring.get_fill() or ring.get_facecolor()[3] == 0.0
    box = ring.get_window_extent()
    assert box.width / DPI * 25.4 == pytest.approx(RING * 16.0, abs=2.0 * RING_THICK * 16.0)
    assert 0.5 * (box.x0 + box.x1) / DPI * 25.4 == pytest.approx(50.0, abs=0.1)
    assert ring.get_linewidth() * POINT == pytest.approx(RING_THICK * 16.0)


def test_the_key_shows_a_steek_by_the_corner_that_its_squares_have_in_the_chart() -> None:
    figure = blank((60.0, 40.0))
    key_steek(Paper(figure, (60.0, 40.0)), 2.0, 4.0, 16.0)
    (corner,) = figure.findobj(PathPatch)
    box = corner.get_window_extent()
    left, right, below, top = (one / DPI * 25.4 for one in (box.x0, box.x1, box.y0, box.y1))
    assert (left, right) == pytest.approx((2.0, 2.0 + STEEK * 16.0))
    assert (40.0 - top, 40.0 - below) == pytest.approx((4.0, 4.0 + STEEK * 16.0))
