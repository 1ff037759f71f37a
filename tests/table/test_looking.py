"""What is looked for when somebody asks: told as it is found, stopped with what was found, tried and taken back."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.support.laying import NEVER
from tests.support.little import little
from tests.table.visiting import Served, Visitor, served

ROWS = ("bb......", "..bb....", "....bb..", "......bb")
"""Floats of six over a limit of three."""


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("looking")
    scene = folder / "scene.toml"
    scene.write_text(little(ROWS, floats="slack = -0.05\nlongest_gap = 3"), encoding="utf-8")
    with served(folder / "state", str(scene), still=NEVER) as one:
        yield one


def sought(page: Visitor, what: str, **more: Any) -> tuple[Any, list[Any]]:
    """Return how a search ended, and all that was told of it."""
    page.ask(kind="seek", what=what, **more)
    page.until("seeking", what=what, ended=None)  # what was told before is of a search before
    told: list[Any] = []
    while True:
        one = page.hear()
        if isinstance(one, tuple) or one.kind not in ("seeking", "costs", "ways"):
            continue
        if one.kind == "seeking" and one.ended is not None:
            return one.ended, told
        told.append(one)


def test_what_pulls_is_told_float_by_float_and_adds_up(table: Served) -> None:
    with table.visit() as page:
        state = page.until("scene").state
        ended, told = sought(page, "costs")
        (costs,) = [one for one in told if one.kind == "costs"]
        assert (ended, costs.state) == ("found", state)
        assert costs.loss_percent > 1.0
        assert sum(one.share for one in costs.floats) == pytest.approx(1.0)
        rows = dict(costs.rows)
        for row in range(len(ROWS)):
            assert rows[row] == pytest.approx(sum(one.share for one in costs.floats if one.row == row))
        counts = {(one.row, one.column, one.gap, one.yarn) for one in page_counts(page)}
        assert {(one.row, one.column, one.gap, one.yarn) for one in costs.floats} <= counts
        assert any("of the loss" in line or "cost about alike" in line for line in costs.words)


def page_counts(page: Visitor) -> Any:
    """Return the floats of the repeat as counting tells them."""
    page.ask(kind="set", values={"title": "Counted"})
    found = page.until("counts").repeat
    page.ask(kind="undo")
    return found


def test_changes_are_told_way_by_way_tried_and_taken_back(table: Served) -> None:
    with table.visit() as page:
        before = page.until("scene")
        ended, told = sought(page, "changes", may_lose=50.0)
        ways = [one for one in told if one.kind == "ways"]
        assert ended == "found"
        assert [len(one.ways) for one in ways] == sorted(len(one.ways) for one in ways)
        assert ways[0].ways == ()
        assert "no float over your limit" in ways[-1].wanted
        assert ways[-1].now.over > 0
        there = [way for way in ways[-1].ways if way.there]
        assert there
        for way in there:
            assert (way.does, way.came.over) == (True, 0)
        page.ask(kind="advice", id=there[0].id)
        after = page.until("scene")
        assert after.undo == before.undo + 1
        assert page.until("counts", revision=after.revision).over == 0
        page.ask(kind="undo")
        assert page.until("scene").chart == before.chart


def test_the_motif_is_placed_otherwise(table: Served) -> None:
    with table.visit() as page:
        before = page.until("scene")
        ended, told = sought(page, "places")
        ways = [one for one in told if one.kind == "ways"][-1]
        assert (ended, ways.what) == ("found", "places")
        assert ways.notes
        for way in ways.ways:
            page.ask(kind="advice", id=way.id)
            shifted = page.until("scene")
            assert shifted.chart == way.chart
            page.ask(kind="undo")
            assert page.until("scene").chart == before.chart


def test_a_search_that_is_left_keeps_what_it_found_and_another_can_be_begun(table: Served) -> None:
    with table.visit() as page:
        page.until("scene")
        page.ask(kind="seek", what="changes", may_lose=0.0)
        found = page.until("ways")
        page.ask(kind="leave")
        assert page.until("seeking", ended="stopped").what == "changes"
        with table.visit() as other:  # a page that comes later hears of it too
            assert other.until("ways").state == found.state
        assert sought(page, "costs")[0] == "found"


def test_work_goes_on_while_something_is_looked_for(table: Served) -> None:
    with table.visit() as page:
        state = page.until("scene").state
        page.ask(kind="seek", what="changes", may_lose=0.0)
        page.until("seeking")
        page.ask(kind="paint", squares=[(0, 4, 1)])
        assert page.until("scene").state != state
        assert page.until("ways").state == state  # of the piece as it lay
        page.ask(kind="leave")
        page.until("seeking", ended="stopped")
        page.ask(kind="undo")
        page.until("scene")
