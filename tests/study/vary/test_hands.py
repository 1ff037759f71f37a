"""Hands that vary: the same ones whoever draws them, spread as said, and what they do to a fabric."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.design.scene.choices import Case
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.study.vary.hands import INPUTS, LEFT, Hand, Spreads, child, drawn, in_hand, slack_in_hand, steady
from tests.support.scenes import scene_of

CHART = ("#.....", ".....#", "..#...", "......")


def fabric(case: Case = "repeat", slack: float = -0.05, inside_out: bool = False) -> Fabric:
    return set_up(scene_of(CHART, slack, chart={"across": 3}), case, inside_out=inside_out)


@pytest.mark.parametrize("number", [0, 1, 17])
def test_hands_are_those_that_numpy_would_spawn(number: int) -> None:
    spawned = np.random.SeedSequence(5).spawn(2)[1].spawn(number + 1)[number]
    np.testing.assert_array_equal(drawn(fabric(), child(5, 1, number)).floats, drawn(fabric(), spawned).floats)


def test_deviates_are_standard_normal() -> None:
    """Mean and variance of many within four of their standard errors."""
    hands = [drawn(fabric(), child(0, 0, number)) for number in range(400)]
    for name in INPUTS:
        values = np.concatenate([np.atleast_1d(getattr(one, name)) for one in hands])
        assert abs(values.mean()) < 4.0 / len(values) ** 0.5
        assert abs(values.var() - 1.0) < 4.0 * (2.0 / len(values)) ** 0.5


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_a_steady_hand_knits_what_is_written(case: Case) -> None:
    plain = fabric(case)
    knitted = in_hand(plain, steady(plain), Spreads())
    assert knitted.stiffness == plain.stiffness
    for name in ("length_f", "slack_f", "span_f"):
        np.testing.assert_array_equal(getattr(knitted.mesh.floats, name), getattr(plain.mesh.floats, name))
    np.testing.assert_array_equal(knitted.mesh.rest_nc, plain.mesh.rest_nc)


def test_each_spread_moves_what_it_says() -> None:
    plain = fabric("round", 0.0)
    none = Spreads(0.0, 0.0, 0.0, 0.0, 1.0)
    hand = drawn(plain, child(1, 0, 0))
    row_f = np.array([one.row for one in plain.floats])
    for spreads, moved_f in (
        (replace(none, slack=0.01), 0.01 * hand.slack),
        (replace(none, rows=0.01), 0.01 * hand.rows[row_f]),
        (replace(none, floats=0.01), 0.01 * hand.floats),
    ):
        np.testing.assert_allclose(slack_in_hand(plain, hand, spreads), moved_f, atol=1e-15)
    wider = in_hand(plain, hand, replace(none, gauge=0.02))
    assert wider.mesh.stitch_width == pytest.approx(np.exp(0.02 * hand.gauge) * plain.mesh.stitch_width)
    assert wider.stiffness == plain.stiffness
    stiffer = in_hand(plain, hand, replace(none, factor=2.0)).stiffness
    sd = np.log(2.0) / 3.0**0.5
    assert np.log(stiffer.stretch_across / plain.stiffness.stretch_across) == pytest.approx(sd * hand.stretch)
    assert np.log(stiffer.bend_up / plain.stiffness.bend_up) == pytest.approx(sd * hand.bending)
    assert stiffer.poisson_across == plain.stiffness.poisson_across


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
@given(by=st.floats(min_value=0.8, max_value=1.25))
def test_stitches_scaled_are_those_of_another_gauge(case: Case, by: float) -> None:
    """As if the scene had been written so, with the thickness kept; inside out too."""
    inside_out = case == "round"
    scene = scene_of(CHART, -0.05, chart={"across": 3})
    plain = set_up(scene, case, inside_out=inside_out)
    gauge = scene.gauge.model_copy(update={"stitches": scene.gauge.stitches / by, "rows": scene.gauge.rows / by})
    thick = scene.fabric.model_copy(update={"thickness_mm": plain.mesh.thickness * 1e3})
    other = set_up(scene.model_copy(update={"gauge": gauge, "fabric": thick}), case, inside_out=inside_out)
    scaled = plain.with_stitches_scaled(by)
    np.testing.assert_allclose(scaled.mesh.rest_nc, other.mesh.rest_nc, rtol=1e-12, atol=1e-15)
    np.testing.assert_allclose(scaled.mesh.floats.length_f, other.mesh.floats.length_f, rtol=1e-12)
    np.testing.assert_allclose(scaled.mesh.floats.span_f, other.mesh.floats.span_f, rtol=1e-12)
    assert scaled.mesh.floats_longer == pytest.approx(other.mesh.floats_longer, rel=1e-12)
    if other.mesh.period_a is not None and scaled.mesh.period_a is not None:
        np.testing.assert_allclose(scaled.mesh.period_a, other.mesh.period_a, rtol=1e-12)


def test_no_hand_takes_a_floats_last_yarn() -> None:
    plain = fabric()
    hand = Hand(-100.0, 0.0, 0.0, 0.0, np.zeros(plain.mesh.rows), np.zeros(len(plain.floats)))
    np.testing.assert_allclose(slack_in_hand(plain, hand, Spreads()), LEFT * 0.95 - 1.0)
