"""Sizes by the forecast: what is told from two tubes, against tubes brought to rest themselves."""

from __future__ import annotations

from typing import Any

import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.design.sizes.every_size import Lost, plan_of
from fabricsim.study.forecast import sizes
from fabricsim.study.forecast.forecast import forecast
from fabricsim.study.forecast.sizes import LossCurve, draw_in, sizes_of
from tests.support.scenes import scene_of

ROWS = ["#..#..", ".##..."]


def scene(slack: float = -0.05, **more: Any) -> Scene:
    given = {"item": "hat", "sizes": {"bodies": [26.0, 40.0]}, **more}
    return scene_of(ROWS, slack, **given)


def piece(across: int) -> Scene:
    """The same chart as a tube of twelve rounds."""
    return scene_of(ROWS, -0.05, chart={"across": across, "up": 6})


def tube(across: int) -> float:
    return forecast(piece(across), "round", band=False).draw_in.nominal


@pytest.fixture(scope="module")
def curve() -> LossCurve:
    """What is told from the tubes of 8 and 14 repeats."""
    return draw_in(plan_of(scene()), 8, 14)


def test_two_tubes_tell_those_between(curve: LossCurve) -> None:
    assert len(curve.lost) == 2
    assert curve.at(8 * 6).nominal == pytest.approx(tube(8), abs=1e-6)
    assert curve.at(10 * 6).nominal == pytest.approx(tube(10), abs=1e-3)
    assert 0 < curve.at(8 * 6).nominal < curve.at(14 * 6).nominal < forecast(scene(), "repeat", band=False).draw_in.high


def test_where_the_smallest_loses_nothing_the_straight_begins_above_it() -> None:
    curve = draw_in(plan_of(scene()), 4, 14)
    assert curve.per_stitch == pytest.approx((1 / 84, 1 / 36))
    assert curve.at(4 * 6).nominal == 0.0
    assert curve.at(10 * 6).nominal == pytest.approx(tube(10), abs=4e-3)


def test_the_band_goes_around_every_count(curve: LossCurve) -> None:
    whole, told = forecast(piece(8), "round").draw_in, curve.at(8 * 6)
    assert (told.low, told.high) == pytest.approx((whole.low, whole.high), abs=4e-3)
    assert told.low <= told.nominal <= told.high


def test_a_straight_that_leads_on_never_loses_more_than_there_is() -> None:
    tight = LossCurve((0.01, 0.02), (Lost(0.9, 0.9, 0.9), Lost(0.5, 0.5, 0.5)))
    assert tight.at(200) == Lost(1.0, 1.0, 1.0)


def test_loose_floats_draw_in_nothing() -> None:
    found = sizes_of(scene(0.05))
    assert found.forecast
    for one in found.sizes:
        assert one.counted is not None
        assert one.counted.lost.nominal == pytest.approx(0, abs=1e-9)


def test_finished_widths_are_those_of_the_forecast() -> None:
    found = sizes_of(scene(sizes={"bodies": [26.0, 40.0]}))
    for one in found.sizes:
        assert one.counted is not None
        plain = one.counted.repeats * 6 * 0.1 / 19
        assert one.counted.finished == pytest.approx(plain * (1 - tube(one.counted.repeats)), rel=1e-3)
        assert one.counted.narrowest < one.counted.finished <= one.counted.widest


def test_flat_pieces_lie_as_the_repeat_does() -> None:
    found = sizes_of(scene(worked="flat"))
    band = forecast(scene(worked="flat"), "repeat").draw_in
    for one in found.sizes:
        assert one.counted is not None
        assert one.counted.lost == Lost(band.low, band.nominal, band.high)


def test_what_is_too_large_lies_between_a_tube_and_the_endless_repeat(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sizes, "LARGEST_TUBE", 10 * 6 * 12)
    curve = draw_in(plan_of(scene()), 8, 30)
    assert curve.per_stitch == pytest.approx((0.0, 1 / 60, 1 / 48))
    endless = forecast(scene(), "repeat", band=False).draw_in.nominal
    assert curve.at(60).nominal < curve.at(180).nominal < endless


def test_straight_in_one_over_stitches() -> None:
    curve = LossCurve((0.01, 0.02), (Lost(0.0, 0.04, 0.08), Lost(0.0, 0.02, 0.06)))
    assert curve.at(100).nominal == pytest.approx(0.04)
    assert curve.at(75).nominal == pytest.approx(0.04 - 0.02 / 3)
    assert curve.at(20).nominal == 0.0  # never below nothing


def test_where_nothing_fits_nothing_is_brought_to_rest() -> None:
    def stage(*_: object) -> None:
        raise AssertionError("nothing to solve")

    found = sizes_of(scene(gauge={"stitches": 1, "rows": 1}, sizes={"bodies": [35.0]}), stage)
    assert found.sizes[0].counted is None
