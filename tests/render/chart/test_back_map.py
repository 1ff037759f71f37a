"""The map of the back: mirrored, every float a line, every catch a mark, the key beside the chart."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection, PathCollection
from matplotlib.colors import to_rgba

from fabricsim.design.catches.plan import plan_of
from fabricsim.design.floats.found import floats_of_chart
from fabricsim.design.scene.model import Scene
from fabricsim.render.chart.back_map import OVER, catch_map
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


@pytest.mark.parametrize(("worked", "across"), [("round", 1), ("round", 3), ("flat", 1), ("flat", 2)])
def test_every_float_is_a_line_as_long_as_itself(worked: str, across: int) -> None:
    read = scene(["AB.....A..ABAA", ".....A.....BAA"], yarns=THREE, worked=worked, across=across)
    plan = plan_of(read)
    (axes,) = catch_map(read, plan).axes
    drawn = [one for one in axes.collections if isinstance(one, LineCollection) and one.get_zorder() == 4]
    length = sum(abs(line[1][0] - line[0][0]) for one in drawn for line in one.get_segments())
    assert length == pytest.approx(sum(one.gap + 1 for one in floats_of_chart(read, plan.caught)))
    assert all(0.5 <= x <= 14.5 for one in drawn for line in one.get_segments() for x, _ in line)


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
    for part in (legend, axes.title, axes.xaxis.label, axes.yaxis.label):
        extent = part.get_window_extent()
        assert extent.x0 >= 0.0
        assert extent.x1 <= figure.bbox.x1
        assert extent.y0 >= 0.0
        assert extent.y1 <= figure.bbox.y1
    assert "mirrored" in axes.get_title(loc="left")
