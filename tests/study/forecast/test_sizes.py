"""Sizes by the forecast: what is told from two tubes, against tubes brought to rest themselves."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.design.sizes.every_size import Lost, plan_of
from fabricsim.study.forecast import sizes
from fabricsim.study.forecast.forecast import Band, forecast
from fabricsim.study.forecast.sizes import LossCurve, _moved, draw_in, sizes_of
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


# ---- which fabrics tell it, from made-up forecasts --------------------------------------------------

Asked = tuple[int, int, str, bool]
"""Repeats across, rounds or rows, load case, and whether its band was asked for."""


def told_by(
    monkeypatch: pytest.MonkeyPatch, fewest: int, most: int, *, largest: int = 100, loss: float = 0.1, **more: Any
) -> tuple[LossCurve, list[Asked], list[tuple[str, int, int]]]:
    """Return the curve where a tube of n stitches loses ``loss`` less 3 / n (nothing below nought), with a band of 3 %
    either way; and what was asked, what was announced. ``largest``: repeats of the largest tube."""
    asked: list[Asked] = []
    announced: list[tuple[str, int, int]] = []

    def made_up(piece: Scene, case: str, *, band: bool, stage: Any) -> Any:
        across, rounds = piece.chart.across, len(piece.piece_rows())
        asked.append((across, rounds, case, band))
        assert stage("forecast", 2, 7) == "told"
        lost = loss - (0.0 if case == "repeat" else 3.0 / (6 * across))
        ends = (-0.03, 0.0, 0.03) if band else (0.0, 0.0, 0.0)
        return SimpleNamespace(draw_in=Band(*(lost + end for end in ends)))

    def stage(name: str, number: int, of: int) -> Any:
        announced.append((name, number, of))
        return "told"

    monkeypatch.setattr(sizes, "forecast", made_up)
    monkeypatch.setattr(sizes, "LARGEST_TUBE", 12 * 6 * largest + 1)
    return draw_in(plan_of(scene(**more)), fewest, most, stage), asked, announced


def test_the_largest_tube_comes_with_its_band_and_the_smallest_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    curve, asked, announced = told_by(monkeypatch, 10, 20, chart={"across": 3, "up": 1, "plain_above": 4})
    assert asked == [(20, 12, "round", True), (10, 12, "round", False)]
    assert announced == [("tube of 120 stitches, forecast", 2, 7), ("tube of 60 stitches, forecast", 2, 7)]
    assert curve.per_stitch == (1 / 120, 1 / 60)
    # one is moved along to the other: slack that is off moves both alike
    assert curve.lost == (Lost(*approx(0.045, 0.075, 0.105)), Lost(*approx(0.02, 0.05, 0.08)))


def approx(*values: float) -> tuple[Any, ...]:
    return tuple(pytest.approx(one) for one in values)


def test_of_one_count_another_tells_the_slope(monkeypatch: pytest.MonkeyPatch) -> None:
    for largest, across in ((100, [11, 10]), (10, [10, 9])):
        _, asked, _ = told_by(monkeypatch, 10, 10, largest=largest)
        assert [one[0] for one in asked] == across


def test_narrow_tubes_are_no_narrower_than_a_tube_may_be(monkeypatch: pytest.MonkeyPatch) -> None:
    curve, asked, _ = told_by(monkeypatch, 1, 1, largest=1, loss=0.9)
    assert [one[0] for one in asked] == [1]  # six stitches are the fewest; there is no other
    assert curve.per_stitch == (1 / 6,)
    assert curve.at(60) == curve.at(6)


def test_too_large_ones_lie_between_the_largest_and_the_repeat(monkeypatch: pytest.MonkeyPatch) -> None:
    curve, asked, announced = told_by(monkeypatch, 10, 30, largest=20)
    assert asked == [(20, 12, "round", True), (10, 12, "round", False), (1, 12, "repeat", True)]
    assert announced[-1][0] == "endless repeat, forecast"
    assert curve.per_stitch == (0.0, 1 / 120, 1 / 60)
    assert curve.at(180).nominal == pytest.approx(0.1 - 3.0 / 180)
    _, asked, _ = told_by(monkeypatch, 30, 40, largest=20)
    assert [one[0] for one in asked] == [20, 1]


@pytest.mark.parametrize("more", [{"worked": "flat"}, {}])
def test_flat_pieces_and_charts_too_large_for_any_tube_are_the_repeat(
    monkeypatch: pytest.MonkeyPatch, more: dict[str, Any]
) -> None:
    curve, asked, _ = told_by(monkeypatch, 10, 30, largest=20 if more else 0, **more)
    assert asked == [(1, 12, "repeat", True)]
    assert curve.at(10) == curve.at(1000) == Lost(*approx(0.07, 0.1, 0.13))


def test_where_the_smallest_loses_nothing_one_between_takes_its_place(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half way in 1 / stitches: of 5 and 20 repeats 8. It loses 3.75 %, the largest 7.5 %; where it begins is read off
    the straight."""
    curve, asked, _ = told_by(monkeypatch, 5, 20)
    assert [one[0] for one in asked] == [20, 5, 8]
    assert curve.per_stitch == (1 / 120, 1 / 48)
    assert curve.at(30).nominal == pytest.approx(0.0, abs=1e-12)
    _, asked, _ = told_by(monkeypatch, 5, 20, loss=0.1003)
    assert [one[0] for one in asked] == [20, 5]  # it loses just something
    _, asked, _ = told_by(monkeypatch, 4, 5, loss=0.103)
    assert [one[0] for one in asked] == [5, 4]  # there is none between
    curve, asked, _ = told_by(monkeypatch, 5, 20, loss=0.0)
    assert [one[0] for one in asked] == [20, 5]  # where none loses anything there is nothing to find
    assert {one.nominal for one in curve.lost} == {0.0}
    assert min(one.low for one in curve.lost) == 0.0


def test_a_band_that_is_moved_stays_within_nothing_and_all() -> None:
    band = Lost(0.01, 0.05, 0.98)
    assert _moved(band, 0.02) == Lost(*approx(0.0, 0.02, 0.95))
    assert _moved(band, 0.10) == Lost(*approx(0.06, 0.10, 1.0))
    assert _moved(band, -0.3) == Lost(*approx(0.0, 0.0, 0.93))  # fabric that grows loses nothing


def test_beyond_the_ends_the_nearest_two_tell_it() -> None:
    curve = LossCurve((0.0, 0.01, 0.02), (Lost(0.1, 0.2, 0.3), Lost(0.05, 0.1, 0.2), Lost(0.0, 0.04, 0.18)))
    assert curve.at(200) == Lost(*approx(0.075, 0.15, 0.25))
    assert curve.at(100) == Lost(*approx(0.05, 0.1, 0.2))
    assert curve.at(40) == Lost(*approx(0.0, 0.01, 0.17))
