"""The same motif placed otherwise: counted and forecast as if it had been drawn so."""

from __future__ import annotations

import pytest

from fabricsim.design.floats.of_scene import floats
from fabricsim.design.scene.shaping import Shaping
from fabricsim.study.change.placing import beginnings, meetings, placings
from fabricsim.study.forecast.forecast import forecast
from tests.support.scenes import scene_of

CHART = ["#....", ".#.#.", "..#.."]


def test_rounds_that_begin_elsewhere_have_the_floats_of_a_chart_drawn_so() -> None:
    scene = scene_of(CHART, chart={"across": 3})
    for one in beginnings(scene):
        by = one.stitch - 1  # the chart read from its right: what came first is knitted last
        turned = [row[len(row) - by :] + row[: len(row) - by] for row in CHART]
        joins = [each for each in floats(scene_of(turned, chart={"across": 3})) if each.kind == "round join"]
        assert one.joins == len(joins)
        assert one.longest == max((each.gap for each in joins), default=0)
        assert one.together == sum(each.gap for each in joins)


def test_the_best_beginning_comes_first() -> None:
    found = beginnings(scene_of(["#........", "....#...."], chart={"across": 2}))
    assert len(found) == 9
    assert [one.order for one in found] == sorted(one.order for one in found)
    assert found[0].longest < max(one.longest for one in found)


def test_flat_work_has_no_rounds_to_begin() -> None:
    assert beginnings(scene_of(CHART, worked="flat")) == []


def test_a_chart_that_stands_alone_is_laid_as_it_is() -> None:
    (only,) = placings(scene_of(CHART, -0.04, chart={"across": 3}))
    assert only.kind == "as it is"
    assert only.lost == pytest.approx(_lost(CHART), abs=1e-9)


def _lost(rows: list[str], across: int = 3) -> float:
    found = forecast(scene_of(rows, -0.04, chart={"across": across}), "repeat", even=True, band=False)
    return found.measures.widths.overall


def test_repeats_above_one_another_are_those_of_charts_drawn_so() -> None:
    found = {(one.kind, one.plain): one for one in placings(scene_of(CHART, -0.04, chart={"across": 3, "up": 4}))}
    assert set(found) == {
        ("as it is", 0), ("half drop", 0), ("mirrored", 0), ("swapped", 0),
        ("plain rows", 1), ("plain rows", 2), ("plain rows", 3),
    }  # fmt: skip
    half = [row[2:] + row[:2] for row in CHART]
    assert found["half drop", 0].lost == pytest.approx(_lost([*half, *CHART]), abs=5e-5)
    swapped = [row.translate(str.maketrans(".#", "#.")) for row in CHART]
    assert found["swapped", 0].lost == pytest.approx(_lost([*swapped, *CHART]), abs=5e-5)
    assert found["plain rows", 2].lost == pytest.approx(_lost([".....", ".....", *CHART]), abs=5e-5)
    lost = [found["plain rows", by].lost for by in (1, 2, 3)]
    assert lost[0] > lost[1] > lost[2]  # type: ignore[operator]  # the more plain rows share the pull


def test_a_motif_of_five_meets_thirteen_stitches() -> None:
    found = meetings(scene_of(CHART, -0.04, chart={"across": 3}), 13)
    assert [(one.stitches, one.repeats, one.wider, one.left) for one in found] == [
        (10, 2, 0, 0), (13, 1, 2, 6), (13, 2, 0, 3), (13, 2, 1, 1), (15, 3, 0, 0),
    ]  # fmt: skip
    for one in found:
        assert one.stitches == one.repeats * (5 + one.wider) + one.left
        assert one.lost is not None
        assert one.around is not None
    whole = found[0]
    assert whole.lost == pytest.approx(_lost(CHART, 2), abs=1e-9)
    beside = next(one for one in found if one.left == 1)
    assert beside.lost == pytest.approx(_lost(["." + ("." + row) * 2 for row in CHART], 1), abs=5e-5)


def test_a_shaped_scene_is_placed_straight() -> None:
    chart = {"across": 4, "up": 4}
    straight = scene_of(["#..", ".#."], -0.04, chart=chart)
    shaped = straight.model_copy(update={"shaping": Shaping(increase_every=4, increases=2)})
    assert placings(shaped) == placings(straight)
    assert beginnings(shaped) == beginnings(straight)
