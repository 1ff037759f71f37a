"""The map of the back: mirrored, every float a line, every catch a mark, the key beside the chart."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection, PathCollection
from matplotlib.colors import to_rgba
from matplotlib.markers import MarkerStyle

from fabricsim.design.catches.plan import plan_of
from fabricsim.design.floats.of_scene import floats_of_chart
from fabricsim.design.scene.model import Scene
from fabricsim.render.basics.files import figure_image
from fabricsim.render.basics.palette import PAPER
from fabricsim.render.chart.back_map import DASHES, HIGHEST, LANES, LINE, MARKED, MARKS, OVER, SHORT, catch_map
from tests.design.scenes import YARNS, scene, scene_table

THREE = (*YARNS, {"symbol": "B", "name": "r$u$t", "colour": "#8a3b12", "tex": 500})


def marks(read: Scene, inside: str) -> list[tuple[float, float]]:
    """Return where the diamonds of this filling are drawn."""
    (axes,) = catch_map(read, plan_of(read)).axes
    found = [one for one in axes.collections if isinstance(one, PathCollection) and one.get_zorder() == 6]
    return [
        tuple(place)
        for one in found
        if np.allclose(np.asarray(one.get_facecolor())[0], to_rgba(inside))
        for place in np.asarray(one.get_offsets()).tolist()
    ]


def test_stitch_1_of_the_face_is_at_the_left() -> None:
    read = scene(
        ["A......A..AAAA", "A...........AA"],
        floats={"longest_gap": 5, "longest_cm": 9.0, "catches": [{"row": 1, "stitch": 3}]},
    )
    plan = plan_of(read)
    assert plan.planned
    # places are (stitch from the right of the face, row from the bottom): the right of the face is drawn at the left
    assert sorted(marks(read, "white")) == sorted((14.0 - hold.column, hold.row + 1.0) for hold in plan.planned)
    assert marks(read, "black") == [(3.0, 1.0)]


def test_of_several_strands_the_one_that_is_caught_has_a_dot() -> None:
    rows = ["ABBBBBBBBBBBB.", "A............."]
    read = scene(rows, yarns=THREE, floats={"longest_gap": 5, "longest_cm": 9.0}, worked="flat")
    plan = plan_of(read)
    (axes,) = catch_map(read, plan).axes
    dots = [one for one in axes.collections if isinstance(one, PathCollection) and one.get_zorder() == 6.5]
    drawn = {
        (*np.round(place).tolist(), to_rgba(read.yarns[yarn].colour))
        for yarn in range(3)
        for one in dots
        if np.allclose(np.asarray(one.get_facecolor())[0], to_rgba(read.yarns[yarn].colour))
        for place in np.asarray(one.get_offsets())
    }
    several = {hold for hold in plan.planned if hold.row == 1}  # in the other row but one strand passes
    assert {hold.yarn for hold in several} == {0, 1}
    assert drawn == {(14.0 - hold.column, 2.0, to_rgba(read.yarns[hold.yarn].colour)) for hold in several}
    key = [" ".join(text.get_text().split()) for text in axes.get_legend().get_texts()]
    assert "the strand that is caught, of several" in key


@pytest.mark.parametrize(("worked", "across"), [("round", 1), ("round", 3), ("flat", 1), ("flat", 2)])
def test_every_float_is_a_line_as_long_as_itself_but_for_its_ends(worked: str, across: int) -> None:
    read = scene(["AB.....A..ABAA", ".....A.....BAA"], yarns=THREE, worked=worked, across=across)
    plan = plan_of(read)
    drawn = lines_of(read)
    length = sum(abs(line[1][0] - line[0][0]) for line in drawn)
    wanted = [
        one.gap + 1 - SHORT * ((not one.caught_start) + (not one.caught_end))
        for one in floats_of_chart(read, plan.caught)
    ]
    assert length == pytest.approx(sum(wanted))
    assert all(0.5 <= x <= 14.5 for line in drawn for x, _ in line)


def lines_of(read: Scene) -> list[np.ndarray]:
    """Return the lines of the floats as they are drawn."""
    (axes,) = catch_map(read, plan_of(read)).axes
    drawn = [one for one in axes.collections if isinstance(one, LineCollection) and one.get_zorder() == 4]
    return [line for one in drawn for line in one.get_segments()]


@pytest.mark.parametrize("rows", [["A...A...A..."], ["A...A.A.BB.."], ["A..........."]])
def test_no_two_floats_read_as_one(rows: list[str]) -> None:
    """At the middle of every stitch the yarn that makes it has a gap in its lane; elsewhere its floats have none."""
    read = scene(rows, yarns=THREE, across=2, floats={"longest_gap": 20})
    chart_j = read.chart_rows()[0]
    found = floats_of_chart(read)
    lanes = {one.yarn: round(1.0 + HIGHEST - LANES * one.layer, 9) for one in found}
    spans: dict[float, list[tuple[float, float]]] = {}
    for line in lines_of(read):
        (left, y), (right, _) = sorted(map(tuple, line.tolist()))
        spans.setdefault(round(y, 9), []).append((left, right))
    for yarn, lane in lanes.items():
        for column, made_by in enumerate(chart_j):
            middle = len(chart_j) - column
            near = 0.1 if made_by == yarn else 0.0  # a gap that is seen
            over = [1 for left, right in spans[lane] if left < middle + near and middle - near < right]
            assert len(over) == (0 if made_by == yarn else 1), (yarn, column)


def test_a_square_caught_for_its_float_and_at_the_join_shows_both() -> None:
    catches = [
        {"row": 1, "stitch": 5, "yarn": "A"},
        {"row": 1, "stitch": 5, "yarn": "B", "repeat": "first"},
        {"row": 1, "stitch": 5, "yarn": "B", "repeat": "last"},
    ]
    floats = {"longest_gap": 99, "catches": catches}
    read = scene(["A.............", "A..B.........."], yarns=THREE, across=3, floats=floats)
    figure = catch_map(read, plan_of(read))
    (axes,) = figure.axes
    FigureCanvasAgg(figure).draw()
    found = [one for one in axes.collections if isinstance(one, PathCollection) and one.get_zorder() == 6]
    boxes = [one.get_datalim(axes.transData).transformed(axes.transData) for one in found]
    assert len(boxes) == 3
    square = [axes.transData.transform(place) for place in ((4.5, 0.5), (5.5, 1.5))]
    for number, box in enumerate(boxes):
        middle = 0.5 * (box.x0 + box.x1), 0.5 * (box.y0 + box.y1)
        assert square[0][0] < middle[0] < square[1][0]
        assert square[0][1] < middle[1] < square[1][1]
        for other in boxes[:number]:  # each one's middle, where its filling and dot are, lies free of the others
            assert abs(0.5 * (other.x0 + other.x1) - middle[0]) > 0.45 * box.width
    said = [text.get_text().replace("\n", " ") for text in axes.get_legend().get_texts()]
    assert {"catch, as listed", "only in the first repeat of a round", "only in the last repeat of a round"} <= set(
        said
    )
    dots = [one for one in axes.collections if isinstance(one, PathCollection) and one.get_zorder() == 6.5]
    assert sum(len(np.asarray(one.get_offsets())) for one in dots) == 3


def test_no_paper_is_left_empty_beside_the_key() -> None:
    read = scene(["AB.....A..ABAA"] * 3, yarns=THREE, across=2)
    figure = catch_map(read, plan_of(read))
    FigureCanvasAgg(figure).draw()
    (axes,) = figure.axes
    words = [text.get_window_extent() for text in [axes.title, *axes.get_legend().get_texts()]]
    right = max(box.x1 for box in (*words, axes._left_title.get_window_extent()))  # type: ignore[attr-defined]
    assert right > figure.bbox.x1 - 0.5 * figure.dpi
    drawn = np.asarray(figure_image(figure)).astype(int)
    paper = (np.abs(drawn - np.array(PAPER)).max(axis=2) <= 2).all(axis=0)
    longest = max(len(part) for part in "".join("x" if blank else "." for blank in paper).split("."))
    assert longest < 0.12 * len(paper)


def test_rows_have_the_numbers_of_the_pattern() -> None:
    for below, rows, numbers in ((0, 3, ["1", "2", "3"]), (4, 3, ["5", "6", "7"]), (4, 200, ["5", "10", "15"])):
        read = scene(["A....A....AA"] * rows, plain_below=below)
        (axes,) = catch_map(read, plan_of(read)).axes
        labels = [text.get_text() for text in axes.get_yticklabels()]
        assert labels[:3] == numbers
        assert axes.get_yticks()[0] == float(numbers[0]) - below


def test_a_yarn_that_makes_no_stitch_is_not_in_the_key() -> None:
    read = scene(["A....A....AA"], yarns=THREE)
    (axes,) = catch_map(read, plan_of(read)).axes
    assert not any("r$u$t" in text.get_text() for text in axes.get_legend().get_texts())


def test_what_stays_open_stands_out() -> None:
    table: Any = scene_table(["A....A....AA"])
    for item, open_left in (("baby socks", True), ("hat", False)):
        read = Scene.model_validate(table | {"item": item})
        (axes,) = catch_map(read, plan_of(read)).axes
        key = [text.get_text() for text in axes.get_legend().get_texts()]
        assert ("open over your limit" in key) == open_left
        assert OVER.startswith("#")


def test_the_key_lies_beside_the_chart_and_the_words_on_the_paper() -> None:
    read = scene(["AB.....A..ABAA"] * 3, yarns=THREE, across=2)
    figure = catch_map(read, plan_of(read))
    FigureCanvasAgg(figure).draw()
    (axes,) = figure.axes
    legend = axes.get_legend()
    assert legend.get_window_extent().x0 > axes.get_window_extent().x1
    assert "stitch of r$u$t" in [text.get_text() for text in legend.get_texts()]
    title = axes._left_title  # type: ignore[attr-defined]
    for part in (legend, title, axes.xaxis.label, axes.yaxis.label):
        extent = part.get_window_extent()
        assert extent.x0 >= 0.0
        assert extent.x1 <= figure.bbox.x1
        assert extent.y0 >= 0.0
        assert extent.y1 <= figure.bbox.y1
    assert "mirrored" in axes.get_title(loc="left")


@pytest.mark.parametrize("title", ["Short", "A title that is " + "very " * 30 + "long"])
def test_the_title_has_the_room_that_it_needs_and_no_more(title: str) -> None:
    read = scene(["AB.....A..ABAA"] * 3, yarns=THREE, across=2).model_copy(update={"title": title})
    figure = catch_map(read, plan_of(read))
    FigureCanvasAgg(figure).draw()
    (axes,) = figure.axes
    box = axes._left_title.get_window_extent()  # type: ignore[attr-defined]
    assert axes.get_window_extent().y1 < box.y0 < box.y1 < figure.bbox.y1
    assert figure.bbox.y1 - box.height - axes.get_window_extent().y1 < 2.5 * LINE * figure.dpi


def test_stitches_have_the_shape_of_the_gauge_and_fill_the_frame() -> None:
    read = scene(["AB.....A..ABAA"] * 3, yarns=THREE)
    figure = catch_map(read, plan_of(read))
    (axes,) = figure.axes
    assert (axes.get_xlim(), axes.get_ylim()) == ((0.5, 14.5), (0.5, 3.5))
    wide, tall = figure.get_size_inches() * axes.get_position().size
    shape = read.gauge.row_height / read.gauge.stitch_width
    assert tall / 3 / (wide / 14) == pytest.approx(shape)


def test_each_yarn_has_a_mark_and_a_line_of_its_own_in_grey_print() -> None:
    assert len(set(MARKS)) == len(MARKS)
    assert len({str(one) for one in DASHES}) == len(DASHES)
    assert all(MarkerStyle(mark) for mark in MARKS if mark)
    rows = ["AB.....A..ABAA", "BB...........A"]
    read = scene(rows, yarns=THREE)
    (axes,) = catch_map(read, plan_of(read)).axes
    marked = [one for one in axes.collections if isinstance(one, PathCollection) and one.get_zorder() == 1]
    chart_ij = read.chart_rows()
    wanted = [
        sorted(
            (14.0 - column, row + 1.0 + MARKED)
            for row in range(2)
            for column in range(14)
            if chart_ij[row][column] == yarn
        )
        for yarn in (1, 2)  # the first has none
    ]
    assert [sorted(map(tuple, np.asarray(one.get_offsets()).tolist())) for one in marked] == wanted
    one, other = (one.get_paths()[0].vertices for one in marked)
    assert one.shape != other.shape or not np.allclose(one, other)
