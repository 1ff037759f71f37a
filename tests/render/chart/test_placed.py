"""Where things stand on the sheets of a chart: numbers at their rows and stitches, the key in columns, sizes at their
ends, the plan of all sheets in its corner."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from fabricsim.design.floats.on_paper import Charted, PastLimit
from fabricsim.render.basics.palette import INK, rgb
from fabricsim.render.chart.layout import SheetLayout, Tile
from fabricsim.render.chart.sheet import (
    GUTTER,
    KEY_SQUARE,
    LEVEL,
    MARGIN,
    ChartSheet,
    KeyYarn,
    SizeLine,
    chart_figures,
    chart_layout,
    in_grey,
)
from fabricsim.render.chart.squares import ChartSquare
from fabricsim.render.layout.paper import A4
from fabricsim.units import MM_PER_INCH
from tests.render.written import Word, assert_tidy, lines_on, word

YARNS = tuple(
    KeyYarn(ChartSquare(symbol, colour), name, f"{name} said", listed=listed)
    for symbol, colour, name, listed in (
        (".", (240.0, 230.0, 220.0), "milk", True),
        ("x", (30.0, 40.0, 90.0), "ink", True),
        ("o", (200.0, 0.0, 0.0), "never", False),
        ("+", (0.0, 150.0, 0.0), "moss", True),
        ("-", (90.0, 90.0, 0.0), "mud", True),
    )
)
SHEET = ChartSheet(
    title="Hat band",
    about="How it is read",
    repeat="repeat of it",
    yarns=YARNS,
    long="what the line means",
    caught="what the ring means",
    framed="what the frame means",
    joins="what is caught at the join",
    foot="At the foot.",
    row="round",
    shape=0.8,
)


def chart(rows: int, stitches: int, *, flat: bool = False, marked: bool = False) -> Charted:
    yarn_ij = tuple(tuple((i + j) % 2 for j in range(stitches)) for i in range(rows))
    return Charted(
        yarn_ij=yarn_ij,
        caught_ij=[[marked] * stitches for _ in range(rows)],
        strands={},
        passed=(PastLimit(0, 0, 1, 0),) if marked else (),
        long=0,
        repeat=(0, rows, 0, stitches),
        from_right_i=tuple(not flat or row % 2 == 0 for row in range(rows)),
        whole=False,
    )


def made(one: Charted, sheet: ChartSheet = SHEET) -> tuple[SheetLayout, list[Figure]]:
    layout = chart_layout(sheet, one)
    return layout, list(chart_figures(sheet, one, layout))


def squares_of(figure: Figure) -> tuple[float, float, float, float]:
    """Return left, right, top and bottom of the squares, mm."""
    wide, tall = figure.get_size_inches() * MM_PER_INCH
    box = figure.axes[0].get_position()
    return box.x0 * wide, box.x1 * wide, (1.0 - box.y1) * tall, (1.0 - box.y0) * tall


def numbers(words: list[Word]) -> dict[str, list[Word]]:
    found: dict[str, list[Word]] = {}
    for one in words:
        if one.text.isdigit():
            found.setdefault(one.text, []).append(one)
    return found


@pytest.mark.parametrize("flat", [False, True])
def test_numbers_stand_by_the_middle_of_their_row_where_it_is_begun_and_under_their_stitch(flat: bool) -> None:
    layout, (figure,) = made(chart(8, 13, flat=flat))
    words = assert_tidy(figure, MARGIN - 2.0)
    left, right, top, bottom = squares_of(figure)
    assert (right - left, bottom - top) == pytest.approx((13 * layout.wide, 8 * layout.tall))
    room_left, room_right = MARGIN + (GUTTER if flat else 0.0), A4[0] - MARGIN - GUTTER
    assert 0.5 * (left + right) == pytest.approx(0.5 * (room_left + room_right))
    for row in range(8):
        middle = bottom - (row + 0.5) * layout.tall
        (beside,) = (one for one in numbers(words)[str(row + 1)] if abs(0.5 * (one.top + one.bottom) - middle) < 0.6)
        if flat and row % 2 == 1:
            assert 0.5 < left - beside.right < 2.0
        else:
            assert 0.5 < beside.left - right < 2.0
    below = [one for found in numbers(words).values() for one in found if bottom < one.top < bottom + 4.0]
    assert sorted(int(one.text) for one in below) == [1, 5, 10, 13]
    for one in below:
        assert 0.5 * (one.left + one.right) == pytest.approx(right - (int(one.text) - 0.5) * layout.wide, abs=0.4)
    assert word(words, "repeat of it").right == pytest.approx(right, abs=0.4)
    assert 0.0 < top - word(words, "repeat of it").bottom < 2.5
    assert word(words, "Hat band").bottom < word(words, "How it is read").bottom < top


@pytest.mark.parametrize(("stitches", "shown"), [(7, [1, 5]), (8, [1, 5, 8]), (4, [1, 4]), (2, [1]), (12, [1, 5, 10])])
def test_stitches_are_numbered_by_fives_and_at_ends_where_there_is_room(stitches: int, shown: list[int]) -> None:
    _, (figure,) = made(chart(6, stitches))
    bottom = squares_of(figure)[3]
    words = assert_tidy(figure, MARGIN - 2.0)
    assert sorted(int(one.text) for one in words if one.text.isdigit() and one.top > bottom) == shown


def test_the_key_stands_in_columns_below_each_yarn_by_its_square() -> None:
    _, (figure,) = made(chart(6, 12, marked=True))
    words = assert_tidy(figure, MARGIN - 2.0)
    bottom = squares_of(figure)[3]
    assert not any("never" in one.text for one in words)
    step = (A4[0] - 2 * MARGIN) / 3
    tall = figure.get_size_inches()[1] * MM_PER_INCH
    rectangles = {
        (round(one.get_x() * A4[0], 2), round(tall * (1.0 - one.get_y() - one.get_height()), 2)): one
        for one in figure.get_children()
        if isinstance(one, Rectangle) and one is not figure.patch
    }
    for number, yarn in enumerate(one for one in YARNS if one.listed):
        said = word(words, yarn.said)
        name = next(one for one in words if one.text == yarn.name)
        left = MARGIN + number % 3 * step
        assert name.left == pytest.approx(left + KEY_SQUARE + 2.0, abs=0.4)
        assert said.left == pytest.approx(name.left, abs=0.3)
        assert bottom < name.top < name.bottom < said.bottom < name.bottom + 4.0
        place, patch = min(rectangles.items(), key=lambda one: np.hypot(one[0][0] - left, one[0][1] - name.top + 0.3))
        assert place[0] == pytest.approx(left)
        assert place[1] == pytest.approx(name.top, abs=1.2)
        assert patch.get_facecolor()[:3] == pytest.approx(tuple(part / 255.0 for part in yarn.square.rgb))
        assert patch.get_width() * A4[0] == pytest.approx(KEY_SQUARE)
    marks = [word(words, text) for text in ("what the frame", "what the line", "what the ring")]
    assert [one.left for one in marks] == pytest.approx([MARGIN + KEY_SQUARE + 2.0] * 3, abs=0.4)
    assert np.diff([one.bottom for one in marks]).min() > 4.0
    foot = next(one for one in words if "At the foot." in one.text)
    assert foot.text.startswith("Squares ")
    assert foot.top > word(words, "what is caught at the join").bottom > marks[-1].bottom
    _, (unmarked,) = made(chart(6, 12))
    shown = [one.text for one in assert_tidy(unmarked, MARGIN - 2.0) if one.text.startswith("what ")]
    assert shown == ["what the frame means", "what is caught at the join"]  # no key for what is not drawn
    bare = replace(SHEET, long=None, caught=None, framed=None, joins=None)
    _, (without,) = made(chart(6, 12), bare)
    assert not any("what " in one.text for one in assert_tidy(without, MARGIN - 2.0))


def test_sizes_end_at_lines_each_under_its_label() -> None:
    sizes = (SizeLine("small", 10), SizeLine("large", 20), SizeLine("far", 40))
    layout, (figure,) = made(chart(6, 24), replace(SHEET, sizes=sizes))
    words = assert_tidy(figure, MARGIN - 2.0)
    _, right, top, _ = squares_of(figure)
    drawn = lines_on(figure)
    for level, size in enumerate(sizes[:2], start=1):
        x = right - size.stitches * layout.wide
        label = word(words, size.label)
        assert 0.2 < label.left - x < 1.5
        assert top - 1.6 - level * LEVEL - label.bottom == pytest.approx(0.0, abs=0.9)
        line = next(one for one in drawn if abs(one[0] - x) < 1e-6 and one[0] == one[1])
        assert line[3] == pytest.approx(top)
        assert line[2] == pytest.approx(label.bottom, abs=1.6)
        dashed = [
            one for one in figure.axes[0].lines if set(np.ravel(one.get_xdata()).tolist()) == {24 - size.stitches}
        ]
        assert len(dashed) == 2  # the line, and the white that it stands on
    assert not any("far" in one.text for one in words)


def test_of_several_sheets_each_is_told_and_marked_on_a_plan() -> None:
    layout, figures = made(chart(90, 150))
    assert len(figures) == len(layout.tiles) > 2
    wide, tall = layout.sheet
    cells = []
    for number, (figure, tile) in enumerate(zip(figures, layout.tiles, strict=True), start=1):
        words = assert_tidy(figure, MARGIN - 2.0)
        said = word(words, "Page ")
        first, last = 150 - tile.columns[1] + 1, 150 - tile.columns[0]
        assert said.text == (
            f"Page {number} of {len(figures)}: rounds {tile.rows[0] + 1} to {tile.rows[1]}, stitches {first} to "
            f"{last}. The plan on the right shows where it lies."
        )
        filled = [
            one
            for one in figure.get_children()
            if isinstance(one, Rectangle) and one is not figure.patch
            and one.get_facecolor()[:3] == pytest.approx(tuple(part / 255.0 for part in rgb(INK)))
        ]  # fmt: skip
        (mark,) = (one for one in filled if tall * (1.0 - one.get_y()) < 30.0)
        side = mark.get_width() * wide
        assert mark.get_height() * tall == pytest.approx(side)
        cells.append((round((wide - MARGIN - mark.get_x() * wide) / side), round((1.0 - mark.get_y()) * tall, 3)))
        plan = [one for one in lines_on(figure) if one[3] < MARGIN + side * layout.up + 0.1 and one[1] > wide - 60.0]
        assert min(one[0] for one in plan) == pytest.approx(wide - MARGIN - side * layout.across)
        assert max(one[1] for one in plan) == pytest.approx(wide - MARGIN)
        assert min(one[2] for one in plan) == pytest.approx(MARGIN)
        assert max(one[3] for one in plan) == pytest.approx(MARGIN + side * layout.up)
        assert all(one.right < wide - MARGIN - side * layout.across for one in words if one.top < MARGIN + 8.0)
        assert {round(max(one[1] - one[0], one[3] - one[2]) / side, 6) for one in plan} == {1.0}
    assert [one[0] - 1 for one in cells] == [tile.across for tile in layout.tiles]
    assert len(set(cells)) == len(cells)
    lowest = max(low for _, low in cells)
    assert [low == lowest for _, low in cells] == [tile.up == 0 for tile in layout.tiles]


def test_a_repeat_too_long_for_the_squares_begins_at_the_margin() -> None:
    _, (figure,) = made(chart(60, 3), replace(SHEET, repeat="a repeat " * 14))
    assert word(assert_tidy(figure, MARGIN - 2.0), "a repeat").left == pytest.approx(MARGIN, abs=0.4)


def test_greys_are_as_light_as_the_colours() -> None:
    shades = [one.square.rgb for one in in_grey(SHEET).yarns]
    assert all(len(set(np.round(shade, 6))) == 1 for shade in shades)
    assert [one.name for one in in_grey(SHEET).yarns] == [one.name for one in SHEET.yarns]
    assert shades[0][0] > shades[3][0] > shades[1][0]


def test_tiles_follow_the_knitting() -> None:
    layout = chart_layout(SHEET, chart(90, 150))
    assert layout.tiles[0].columns[1] == 150
    assert layout.tiles[0].rows[0] == 0
    covered = np.zeros((90, 150), dtype=int)
    for tile in layout.tiles:
        covered[slice(*tile.rows), slice(*tile.columns)] += 1
    assert (covered == 1).all()
    assert isinstance(layout.tiles[0], Tile)
