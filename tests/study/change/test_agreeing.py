"""Bands that differ in width: which they are, by how much, and ways that were tried in the very piece."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.study.change import band_ways
from fabricsim.study.change.agreeing import Agreeing, agree, check_free
from fabricsim.study.change.band_pieces import scene_with
from fabricsim.study.change.banding import BandWidths, ChartBand, band_widths, bands_of_chart
from fabricsim.study.forecast.forecast import forecast
from tests.support.scenes import scene_of

CHECKS, LONG = ["#.#.#.", ".#.#.#"], ["#.....", "##...#"]
CHART = [*LONG, *LONG, "......", "......", "......", *CHECKS, *CHECKS]


def _scene(rows: list[str] = CHART, **more: Any) -> Scene:
    return scene_of(rows, -0.05, chart={"across": 6, "plain_below": 2, "plain_above": 2}, **more)


def test_bands_are_parted_by_two_plain_rows_or_more() -> None:
    rows = [[0, 1], [0, 0], [1, 0], [0, 0], [0, 0], [0, 1], [1, 1]]
    assert bands_of_chart(rows) == [ChartBand(0, 2), ChartBand(5, 5)]
    assert bands_of_chart([[0, 0]] * 3) == []


def test_a_band_is_as_wide_as_its_rows_in_every_repeat_up() -> None:
    scene = scene_of(["#.", "..", ".."], chart={"up": 2, "plain_below": 1, "across": 4})
    measured: Any = SimpleNamespace(widths=SimpleNamespace(loss_i=np.array([9.0, 0.1, 0.2, 0.3, 0.5, 0.6, 0.7])))
    found = band_widths(scene, [ChartBand(0, 0), ChartBand(1, 2)], measured)
    assert found.lost_k == pytest.approx((0.3, 0.45))  # rows 1 and 4; 2, 3, 5 and 6
    assert found.apart == pytest.approx(0.15)


@pytest.fixture(scope="module")
def found() -> Agreeing:
    scene = _scene()
    return agree(scene, bands_of_chart(scene.chart_rows()), 0.006, spread=False)


def test_small_checks_draw_in_more_than_long_floats(found: Agreeing) -> None:
    checks, long = found.now.bands.lost_k
    assert checks - long > 0.01
    assert not found.agrees


def test_looser_floats_even_the_bands_out_as_they_are_told_to(found: Agreeing) -> None:
    slack = found.ways[0]
    assert slack.kind == "slack"
    assert slack.tried is not None
    assert slack.looser_k[0] > 0
    assert slack.looser_k[1] == 0
    assert slack.tried.apart <= 0.006
    again = scene_with(found.scene, found.bands, slack.looser_k, slack.sizes_k)
    measured = forecast(again, even=True, band=False, branch=False).measures
    assert band_widths(again, found.bands, measured).lost_k == pytest.approx(slack.tried.bands.lost_k, abs=1e-9)


def test_no_other_whole_per_cent_brings_them_much_nearer(found: Agreeing) -> None:
    """Against every per cent there is: what Newton's method came to is within the half that it aims at."""
    slack = found.ways[0]
    assert slack.tried is not None
    apart = []
    for looser in range(8):
        other = scene_with(found.scene, found.bands, (looser, 0), (0, 0))
        measured = forecast(other, even=True, band=False, branch=False).measures
        apart.append(band_widths(other, found.bands, measured).apart)
    agreeing = [looser for looser, one in enumerate(apart) if one <= 0.006]
    assert slack.looser_k[0] in agreeing
    assert slack.looser_k[0] <= agreeing[0] + 1  # and hardly looser than need be


def test_slopes_are_those_of_differences(found: Agreeing) -> None:
    task = band_ways.AgreeTask("slack", found.scene, found.bands, found.within, found.case, found.now)
    told_kk = band_ways._slopes(task, found.now)
    for band in range(2):
        ends = []
        for by in (0.001, -0.001):
            rows = found.bands[band]
            bands = [{"first": rows.first + 1, "last": rows.last + 1, "looser": by}]
            other = _scene(bands=bands)
            ends.append(band_widths(other, found.bands, forecast(other, even=True, band=False, branch=False).measures))
        slope_k = (np.array(ends[1].lost_k) - np.array(ends[0].lost_k)) / 0.002
        assert told_kk[:, band] == pytest.approx(slope_k, rel=2e-2, abs=5e-3)  # floats turn taut on the way


def test_the_same_ways_for_a_mirrored_chart(found: Agreeing) -> None:
    scene = _scene([row[::-1] for row in CHART])
    other = agree(scene, found.bands, 0.006, spread=False)
    assert other.ways[0].looser_k == found.ways[0].looser_k
    assert other.now.bands.lost_k == pytest.approx(found.now.bands.lost_k, abs=2e-3)  # the spiral leans to one side


def test_needles_for_all_bands_alike_are_never_told(found: Agreeing) -> None:
    assert min(found.ways[2].sizes_k) == 0


def test_an_endless_fabric_has_no_bands() -> None:
    with pytest.raises(InputError, match="equally wide everywhere"):
        agree(_scene(), [ChartBand(0, 3), ChartBand(7, 10)], 0.01, "repeat")


def test_bands_of_a_scene_that_cut_across_those_asked_about_are_refused() -> None:
    scene = _scene(bands=[{"first": 3, "last": 9, "looser": 0.01}])
    with pytest.raises(InputError, match="just the rows asked about"):
        check_free(scene, [ChartBand(0, 3), ChartBand(7, 10)])
    kept = scene_with(_scene(bands=[{"first": 1, "last": 4, "looser": 0.01}]), [ChartBand(0, 3)], (2,), (1,))
    assert [(one.looser, one.needle_sizes) for one in kept.bands] == [(0.03, 1)]


def test_the_widest_and_the_narrowest_count() -> None:
    assert BandWidths((0.03, 0.01, 0.05)).apart == pytest.approx(0.04)
    assert replace(BandWidths((0.0,)), lost_k=(0.02, -0.01)).apart == pytest.approx(0.03)
