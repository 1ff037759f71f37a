"""Hands that vary: the same ones whoever draws them, spread as said, and what they do to a fabric."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.design.scene.choices import Case
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.study.hands.hand import INPUTS, SINGLE, Hand, child, drawn, numbered, steady, typical
from fabricsim.study.hands.knitting import LEFT, in_hand, possible_shift, slack_in_hand, unevenness
from fabricsim.study.hands.prior import EVEN, Hands
from tests.support.scenes import scene_of

CHART = ("#.....", ".....#", "..#...", "......")


def fabric(case: Case = "repeat", slack: float = -0.05, inside_out: bool = False) -> Fabric:
    return set_up(scene_of(CHART, slack, chart={"across": 3}), case, inside_out=inside_out)


@pytest.mark.parametrize("number", [0, 1, 17])
def test_hands_are_those_that_numpy_would_spawn(number: int) -> None:
    spawned = np.random.SeedSequence(5).spawn(2)[1].spawn(number + 1)[number]
    np.testing.assert_array_equal(drawn(fabric(), child(5, 1, number)).floats, drawn(fabric(), spawned).floats)


def test_deviates_have_no_mean_and_a_variance_of_one() -> None:
    """Mean and variance of many within four of their standard errors; single numbers lie evenly within 1.73."""
    hands = [drawn(fabric(), child(0, 0, number)) for number in range(400)]
    for name in INPUTS:
        values = np.concatenate([np.atleast_1d(getattr(one, name)) for one in hands])
        assert abs(values.mean()) < 4.0 / len(values) ** 0.5
        assert abs(values.var() - 1.0) < 4.0 * (2.0 / len(values)) ** 0.5
        if name in SINGLE:
            assert np.abs(values).max() <= 1.0 / EVEN


def test_sixteen_hands_stand_for_all_of_them() -> None:
    """A net of Sobol's sequence: one of 16 points in every sixteenth of each number (Niederreiter's definition of a
    (0, 4, 1)-net), which 16 points at random miss almost surely."""
    single_kd = np.array([[getattr(numbered(fabric(), 0, k), name) for name in SINGLE] for k in range(16)])
    sixteenth_kd = np.floor((single_kd * EVEN + 1.0) * 8.0).astype(int)
    for column in sixteenth_kd.T:
        assert sorted(column) == list(range(16))
    assert numbered(fabric(), 0, 3).slack != numbered(fabric(), 1, 3).slack


def test_floats_of_a_hand_are_the_same_whatever_the_slack_and_the_catches() -> None:
    """Common random numbers, but for what puts their mean and spread right."""
    loose, tight = fabric("round", 0.1), fabric("round", -0.1)
    np.testing.assert_array_equal(typical(loose).floats, typical(tight).floats)
    np.testing.assert_array_equal(numbered(loose, 0, 5).floats, numbered(tight, 0, 5).floats)
    caught = set_up(scene_of(CHART, 0.0, chart={"across": 3}, floats={"catches": [{"row": 4, "stitch": 3}]}), "round")
    begin = {(one.row, one.start): e for one, e in zip(loose.floats, typical(loose).floats, strict=True)}
    other = {(one.row, one.start): e for one, e in zip(caught.floats, typical(caught).floats, strict=True)}
    both = sorted(begin.keys() & other.keys())
    assert len(begin) < len(other)
    assert len(both) == len(begin) - 2  # of the two that run on into the next round the ends moved
    assert np.corrcoef([begin[one] for one in both], [other[one] for one in both])[0, 1] == pytest.approx(1.0)


def test_a_typical_hand_is_uneven_about_the_mean() -> None:
    for hand in (typical(fabric("round")), numbered(fabric("round"), 0, 7)):
        assert hand.floats.mean() == pytest.approx(0.0, abs=1e-12)
        assert hand.floats.std() == pytest.approx(1.0)
    assert all(getattr(typical(fabric()), name) == 0.0 for name in SINGLE)


def test_what_falls_short_is_taken_from_the_ends_that_become_stitches() -> None:
    """1 mm, whatever the span: a half at each end that becomes a stitch, none where it is caught."""
    scene = scene_of(CHART, 0.0, chart={"across": 3}, floats={"catches": [{"row": 4, "stitch": 3}]})
    plain = set_up(scene, "round")
    short = in_hand(plain, steady(plain), Hands(0.0, 0.0, 0.0, 0.0, 1.0, short=0.001))
    less_f = plain.mesh.floats.length_f - short.mesh.floats.length_f
    ends_f = np.array([2 - one.caught_start - one.caught_end for one in plain.floats])
    assert set(ends_f) == {1, 2}
    np.testing.assert_allclose(less_f, 0.0005 * ends_f, rtol=1e-9)


def test_how_uneven_and_how_short_vary_with_the_hand() -> None:
    plain = fabric("round", 0.0)
    hand = replace(drawn(plain, child(1, 0, 0)), unevenness=1.5, short=-9.0)
    hands = Hands(0.0, 0.0, 0.01, 0.0, 1.0, unevenness_log=0.2, short=0.001, short_spread=0.0005)
    assert unevenness(hands, hand) == pytest.approx(0.01 * np.exp(0.3))
    np.testing.assert_allclose(slack_in_hand(plain, hand, hands), unevenness(hands, hand) * hand.floats, atol=1e-15)
    even = slack_in_hand(plain, hand, hands.even())
    np.testing.assert_allclose(even, 0.0, atol=1e-15)


def test_floats_laid_inside_a_tube_are_as_long_as_its_chords() -> None:
    """Of a circle of 18 stitches (but for its rise, 0.03 of a stitch): sin(3 a / 2) / (3 a / 2), a the angle of one."""
    scene = scene_of(CHART, 0.0, chart={"across": 3}, floats={"laid": "inside"})
    plain = set_up(scene, "round")
    table = in_hand(plain, steady(plain), Hands(0.0, 0.0, 0.0, 0.0, 1.0)).mesh.floats
    reach_f = np.array([one.gap + 1 for one in plain.floats])
    chord_f = np.sin(np.pi * reach_f / 18) / np.sin(np.pi / 18) * plain.mesh.stitch_width
    np.testing.assert_allclose(table.length_f, chord_f, rtol=2e-3)
    assert (table.length_f < 0.99 * table.span_f)[reach_f > 2].all()
    flat = set_up(scene, "repeat")
    kept = in_hand(flat, steady(flat), Hands(0.0, 0.0, 0.0, 0.0, 1.0)).mesh.floats
    np.testing.assert_array_equal(kept.length_f, flat.mesh.floats.length_f)


def test_a_shift_never_takes_a_floats_last_yarn() -> None:
    assert possible_shift(-0.03, -0.98) == pytest.approx(-0.01)
    assert possible_shift(-0.03, -0.5) == -0.03
    assert possible_shift(0.03, -0.98) == 0.03


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_a_steady_hand_knits_what_is_written(case: Case) -> None:
    plain = fabric(case)
    knitted = in_hand(plain, steady(plain), Hands())
    assert knitted.stiffness == plain.stiffness
    for name in ("length_f", "slack_f", "span_f"):
        np.testing.assert_array_equal(getattr(knitted.mesh.floats, name), getattr(plain.mesh.floats, name))
    np.testing.assert_array_equal(knitted.mesh.rest_nc, plain.mesh.rest_nc)


def test_each_spread_moves_what_it_says() -> None:
    plain = fabric("round", 0.0)
    none = Hands(0.0, 0.0, 0.0, 0.0, 1.0)
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
    hand = Hand(-100.0, 0.0, 0.0, 0.0, 0.0, 0.0, np.zeros(plain.mesh.rows), np.zeros(len(plain.floats)))
    np.testing.assert_allclose(slack_in_hand(plain, hand, Hands()), LEFT * 0.95 - 1.0)
