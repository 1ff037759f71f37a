"""The small plan on every sheet of a chart too large for one: where this sheet lies among the others."""

from __future__ import annotations

import pytest

from fabricsim.cli.commands.chart.words import sheet_of
from fabricsim.design.floats.on_paper import charted_repeat
from fabricsim.render.chart import sheet as sheets
from fabricsim.render.chart.layout import SheetLayout, Tile
from fabricsim.render.chart.sheet import MARGIN, _plan, chart_figures, chart_layout
from fabricsim.render.layout.paper import Paper
from tests.design.floats.test_on_paper import scene

A4 = (210.0, 297.0)


class Drawn(Paper):
    """A sheet that notes what is drawn on it: lines by their ends, filled boxes by their left, top, width, height."""

    def __init__(self) -> None:
        super().__init__(None, A4)
        self.ends: list[tuple[tuple[float, float], tuple[float, float]]] = []
        self.filled: list[tuple[float, float, float, float]] = []

    def line(self, begin: tuple[float, float], end: tuple[float, float], *_: object) -> None:
        self.ends.append((begin, end))

    def fill(self, left: float, top: float, wide: float, tall: float, *_: object) -> None:
        self.filled.append((left, top, wide, tall))


def layout_of(across: int, up: int) -> SheetLayout:
    """Return sheets of ten stitches and rows each, from the bottom right as charts are read."""
    tiles = [
        Tile((10 * row, 10 * row + 10), (10 * (across - 1 - column), 10 * (across - column)), column, row)
        for row in range(up)
        for column in range(across)
    ]
    return SheetLayout(A4, 3.0, 2.0, tuple(tiles))


@pytest.mark.parametrize(("across", "up"), [(2, 1), (3, 2), (13, 2), (1, 7)])
def test_every_sheet_is_a_box_of_the_plan_and_this_one_is_filled(across: int, up: int) -> None:
    layout = layout_of(across, up)
    boxes = set()
    for tile in layout.tiles:
        paper = Drawn()
        _plan(paper, layout, tile)
        ((left, top, wide, tall),) = paper.filled
        assert wide == tall
        # beside the margin of the corner, no larger than the head of the sheet has room for
        assert left + (tile.across + 1) * wide == pytest.approx(A4[0] - MARGIN)
        assert top - (up - 1 - tile.up) * tall == pytest.approx(MARGIN)
        assert across * wide <= 26.0 + 1e-9
        assert up * tall <= 10.0 + 1e-9
        boxes.add((round(left, 6), round(top, 6)))
        corners = [(left, top), (left + wide, top), (left + wide, top + tall), (left, top + tall)]
        sides = {_side(one, other) for one, other in zip(corners, [*corners[1:], corners[0]], strict=True)}
        drawn = [_side(*ends) for ends in paper.ends]
        assert len(drawn) == 4 * across * up
        assert sides <= set(drawn)
        assert all(abs(x0 - x1) + abs(y0 - y1) == pytest.approx(wide) for (x0, y0), (x1, y1) in paper.ends)
    assert len(boxes) == across * up


def test_a_chart_on_one_sheet_has_no_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    planned: list[Tile] = []
    monkeypatch.setattr(sheets, "_plan", lambda paper, layout, tile: planned.append(tile))
    for stitches, several in ((4, False), (120, True)):
        chart = charted_repeat(scene(["ab" * (stitches // 2)]))
        told, _ = sheet_of(scene(["ab" * (stitches // 2)]), chart, square=False, marks=False)
        layout = chart_layout(told, chart)
        assert (len(layout.tiles) > 1) is several
        assert len(list(chart_figures(told, chart, layout))) == len(layout.tiles)
        assert planned == (list(layout.tiles) if several else [])


def _side(one: tuple[float, float], other: tuple[float, float]) -> frozenset[tuple[float, float]]:
    return frozenset((round(x, 6), round(y, 6)) for x, y in (one, other))
