"""Sizes by the forecast: what is told from two tubes, against tubes brought to rest themselves."""

from __future__ import annotations

from functools import cache
from types import SimpleNamespace
from typing import Any

import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.design.sizes.every_size import Lost
from fabricsim.design.sizes.plan import plan_of
from fabricsim.study.forecast import sizes
from fabricsim.study.forecast.forecast import Band, forecast
from fabricsim.study.forecast.sizes import LARGEST, LossCurve, _moved, draw_in, sizes_of
from tests.support.scenes import scene_of

ROWS = ["#..#..", ".##..."]


JUST_SO = {"short_mm": 0.0}
"""Floats as long as they are told."""


def scene(slack: float = -0.05, **more: Any) -> Scene:
    given = {"item": "hat", "sizes": {"bodies": [26.0, 40.0]}, "floats": JUST_SO, **more}
    return scene_of(ROWS, slack, **given)


def piece(across: int) -> Scene:
    """The same chart as a tube of twelve rounds."""
    return scene_of(ROWS, -0.05, chart={"across": across, "up": 6}, floats=JUST_SO)


def lost_by(of: Scene, case: Any) -> float:
    """What it loses with every float alike, let go at once."""
    return forecast(of, case, even=True, band=False, branch=False).draw_in.nominal


@cache
def tube(across: int) -> float:
    return lost_by(piece(across), "round")


@pytest.fixture(scope="module")
def curve() -> LossCurve:
    """What is told from the tubes of 8 and 14 repeats."""
    return draw_in(plan_of(scene()), 8, 14)


def test_two_tubes_tell_those_between(curve: LossCurve) -> None:
    assert len(curve.lost) == 2
    assert curve.at(8 * 6) == pytest.approx(tube(8), abs=1e-6)
    assert curve.at(10 * 6) == pytest.approx(tube(10), abs=1e-3)
    assert 0 < curve.at(8 * 6) < curve.at(14 * 6) < lost_by(scene(), "repeat")


def test_where_the_smallest_loses_nothing_the_straight_begins_above_it() -> None:
    curve = draw_in(plan_of(scene()), 4, 14)
    assert curve.per_stitch == pytest.approx((1 / 84, 1 / 36))
    assert curve.at(4 * 6) == 0.0
    assert curve.at(10 * 6) == pytest.approx(tube(10), abs=4e-3)


def test_a_straight_that_leads_on_never_loses_more_than_there_is() -> None:
    tight = LossCurve((0.01, 0.02), (0.9, 0.5))
    assert tight.at(200) == 1.0


def test_loose_floats_draw_in_nothing() -> None:
    loose = scene(0.05, chart={"across": 8, "up": 6})
    found = sizes_of(loose, own=forecast(loose, even=True, band=False))
    assert found.forecast
    for one in found.sizes:
        assert one.counted is not None
        assert one.counted.lost.nominal == pytest.approx(0, abs=1e-9)


def test_finished_widths_are_those_of_the_forecast() -> None:
    """From the piece as written, of 8 repeats, each size is moved to what it loses itself."""
    written = scene(chart={"across": 8, "up": 6})
    found = sizes_of(written, own=forecast(written, even=True, band=False))
    counts = set()
    for one in found.sizes:
        assert one.counted is not None
        plain = one.counted.repeats * 6 * 0.1 / 19
        assert one.counted.finished == pytest.approx(plain * (1 - tube(one.counted.repeats)), rel=1e-3)
        counts.add(one.counted.repeats)
    assert len(counts) == 2


def test_what_is_too_large_lies_between_a_tube_and_the_endless_repeat(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sizes, "LARGEST_TUBE", 10 * 6 * 12)
    curve = draw_in(plan_of(scene()), 8, 30)
    assert curve.per_stitch == pytest.approx((0.0, 1 / 60, 1 / 48))
    assert curve.at(60) < curve.at(180) < lost_by(scene(), "repeat")


def test_straight_in_one_over_stitches() -> None:
    curve = LossCurve((0.01, 0.02), (0.04, 0.02))
    assert curve.at(100) == pytest.approx(0.04)
    assert curve.at(75) == pytest.approx(0.04 - 0.02 / 3)
    assert curve.at(20) == 0.0  # never below nothing


# ---- from which forecast they go, made up ------------------------------------------------------------


def forecast_of(stitches: int, low: float, nominal: float, high: float) -> Any:
    mesh = SimpleNamespace(stitches=stitches)
    return SimpleNamespace(draw_in=Band(low, nominal, high), equilibrium=SimpleNamespace(mesh=mesh))


def by_law(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tubes lose 10 % less 3 / stitches."""
    monkeypatch.setattr(
        sizes, "draw_in", lambda *_: SimpleNamespace(at=lambda stitches: max(0.0, 0.1 - 3.0 / stitches))
    )


def test_each_size_is_the_forecast_of_the_piece_moved_by_how_sizes_differ(monkeypatch: pytest.MonkeyPatch) -> None:
    """Uneven floats lose more than even ones: of that, and of its likely range, every size keeps as much."""
    by_law(monkeypatch)
    found = sizes_of(scene(), own=forecast_of(60, 0.02, 0.08, 0.15))
    for one in found.sizes:
        assert one.counted is not None
        more = 3.0 / 60 - 3.0 / (6 * one.counted.repeats)
        lost = one.counted.lost
        assert (lost.low, lost.nominal, lost.high) == pytest.approx((max(0.0, 0.02 + more), 0.08 + more, 0.15 + more))


def test_flat_pieces_of_all_sizes_lose_the_same_share(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object) -> Any:
        raise AssertionError("no tube tells of flat pieces")

    monkeypatch.setattr(sizes, "draw_in", none)
    found = sizes_of(scene(worked="flat"), own=forecast_of(6, -1e-12, 0.08, 0.15))
    for one in found.sizes:
        assert one.counted is not None
        assert one.counted.lost == Lost(0.0, 0.08, 0.15)  # a share below round-off is nothing


@pytest.mark.parametrize(
    ("more", "case", "size"),
    [
        ({"chart": {"across": 8, "up": 3, "plain_above": 4}}, "round", (8, 10)),  # the piece as it is written
        ({"worked": "flat", "chart": {"across": 8, "up": 3}}, "swatch", (8, 6)),
        # too large: the largest tube there is, 2500 stitches of 12 rounds
        ({"chart": {"across": 84, "up": 5}}, "round", (34, 12)),
        ({"chart": {"across": 83, "up": 5}}, "round", (83, 10)),
    ],
)
def test_without_a_forecast_one_is_made_of_the_piece_as_written(
    monkeypatch: pytest.MonkeyPatch, more: dict[str, Any], case: str, size: tuple[int, int]
) -> None:
    asked: list[Any] = []

    def made_up(piece: Scene, case: str, **told: Any) -> Any:
        asked.append((case, (piece.chart.across, len(piece.piece_rows())), told))
        return forecast_of(6 * piece.chart.across, 0.02, 0.08, 0.15)

    by_law(monkeypatch)
    monkeypatch.setattr(sizes, "forecast", made_up)
    sizes_of(scene(**more), print, processes=3, counted=repr)  # type: ignore[arg-type]
    assert asked == [(case, size, {"processes": 3, "stage": print, "counted": repr})]
    assert 83 * 6 * 10 <= LARGEST < 84 * 6 * 10


def test_where_nothing_fits_nothing_is_brought_to_rest() -> None:
    def stage(*_: object) -> None:
        raise AssertionError("nothing to solve")

    found = sizes_of(scene(gauge={"stitches": 1, "rows": 1}, sizes={"bodies": [35.0]}), stage)
    assert found.sizes[0].counted is None


# ---- which fabrics tell it, from made-up forecasts --------------------------------------------------

Asked = tuple[int, int, str]
"""Repeats across, rounds and load case."""


def told_by(
    monkeypatch: pytest.MonkeyPatch, fewest: int, most: int, *, largest: int = 100, loss: float = 0.1, **more: Any
) -> tuple[LossCurve, list[Asked], list[tuple[str, int, int]]]:
    """Return the curve where a tube of n stitches loses ``loss`` less 3 / n, or grows; and what was asked, what was
    announced. ``largest``: repeats of the largest tube."""
    asked: list[Asked] = []
    announced: list[tuple[str, int, int]] = []

    def made_up(piece: Scene, case: str, *, even: bool, band: bool, stage: Any) -> Any:
        across, rounds = piece.chart.across, len(piece.piece_rows())
        asked.append((across, rounds, case))
        assert even
        assert not band
        assert stage("forecast", 2, 7) == "told"
        lost = loss - (0.0 if case == "repeat" else 3.0 / (6 * across))
        return SimpleNamespace(measures=SimpleNamespace(widths=SimpleNamespace(overall=lost)))

    def stage(name: str, number: int, of: int) -> Any:
        announced.append((name, number, of))
        return "told"

    monkeypatch.setattr(sizes, "forecast", made_up)
    monkeypatch.setattr(sizes, "LARGEST_TUBE", 12 * 6 * largest + 1)
    return draw_in(plan_of(scene(**more)), fewest, most, stage), asked, announced


def test_the_largest_tube_and_the_smallest_tell_it(monkeypatch: pytest.MonkeyPatch) -> None:
    curve, asked, announced = told_by(monkeypatch, 10, 20, chart={"across": 3, "up": 1, "plain_above": 4})
    assert asked == [(20, 12, "round"), (10, 12, "round")]
    assert announced == [("tube of 120 stitches, forecast", 2, 7), ("tube of 60 stitches, forecast", 2, 7)]
    assert curve == LossCurve((1 / 120, 1 / 60), approx(0.075, 0.05))


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
    assert asked == [(20, 12, "round"), (10, 12, "round"), (1, 12, "repeat")]
    assert announced[-1][0] == "endless repeat, forecast"
    assert curve.per_stitch == (0.0, 1 / 120, 1 / 60)
    assert curve.at(180) == pytest.approx(0.1 - 3.0 / 180)
    _, asked, _ = told_by(monkeypatch, 30, 40, largest=20)
    assert [one[0] for one in asked] == [20, 1]


def test_charts_too_large_for_any_tube_are_the_repeat(monkeypatch: pytest.MonkeyPatch) -> None:
    curve, asked, _ = told_by(monkeypatch, 10, 30, largest=0)
    assert asked == [(1, 12, "repeat")]
    assert curve.at(10) == curve.at(1000) == pytest.approx(0.1)


def test_where_the_smallest_loses_nothing_one_between_takes_its_place(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half way in 1 / stitches: of 5 and 20 repeats 8. It loses 3.75 %, the largest 7.5 %; where it begins is read off
    the straight."""
    curve, asked, _ = told_by(monkeypatch, 5, 20)
    assert [one[0] for one in asked] == [20, 5, 8]
    assert curve.per_stitch == (1 / 120, 1 / 48)
    assert curve.at(30) == pytest.approx(0.0, abs=1e-12)
    _, asked, _ = told_by(monkeypatch, 5, 20, loss=0.1003)
    assert [one[0] for one in asked] == [20, 5]  # it loses just something
    _, asked, _ = told_by(monkeypatch, 4, 5, loss=0.103)
    assert [one[0] for one in asked] == [5, 4]  # there is none between
    curve, asked, _ = told_by(monkeypatch, 5, 20, loss=0.0)
    assert [one[0] for one in asked] == [20, 5]  # where none loses anything there is nothing to find
    assert curve.lost == (0.0, 0.0)  # fabric that grows loses nothing


def test_a_band_that_is_moved_stays_within_nothing_and_all() -> None:
    band = Lost(0.01, 0.05, 0.98)
    assert _moved(band, -0.03) == Lost(*approx(0.0, 0.02, 0.95))
    assert _moved(band, 0.05) == Lost(*approx(0.06, 0.10, 1.0))
    assert _moved(band, -0.35) == Lost(*approx(0.0, 0.0, 0.63))  # fabric that grows loses nothing


def test_beyond_the_ends_the_nearest_two_tell_it() -> None:
    curve = LossCurve((0.0, 0.01, 0.02), (0.2, 0.1, 0.04))
    assert [curve.at(stitches) for stitches in (200, 100, 40)] == pytest.approx([0.15, 0.1, 0.01])
