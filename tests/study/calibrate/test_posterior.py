"""Best fits and their intervals, from made-up responses whose posterior is known."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import OptimizeResult

from fabricsim.arrays import Floats
from fabricsim.design.swatch.measured import Measured
from fabricsim.study.calibrate.misfit import FAR, Misfit
from fabricsim.study.calibrate.posterior import NOT_TOLD, Posterior
from fabricsim.study.calibrate.prior import Prior
from fabricsim.study.calibrate.responses import Guess
from tests.recovery.trials import CHART
from tests.study.calibrate.made_up import JUST_SO, MadeUp, Said, in_yarns, inverse_of, misfit, widths
from tests.support.scenes import scene_of

EVENLY = {"unevenness": 0.0, "short_mm": 0.0}
"""What a scene says of hands of which neither is sought."""

# ---- what is sought ------------------------------------------------------------------------------


def test_what_is_sought_follows_what_was_measured() -> None:
    plain = {"plain": {"rows": 10, "height_cm": 4.0}}
    in_colours = {"colourwork": {"rows": 10, "height_cm": 4.0}}
    for measured, names in (
        (widths((2.0, 0.3)), ("slack", "stretch", "bending", "gauge")),
        (in_yarns(), ("slack", "slack of #", "stretch", "bending", "gauge")),
        (in_yarns(weighed={"grams": 9.0}), ("slack", "slack of #", "stretch", "bending", "weight", "gauge")),
        (Measured.model_validate(plain), ("slack", "stretch", "bending", "gauge", "row gauge")),
        (Measured.model_validate(in_colours), ("slack", "stretch", "bending", "gauge", "row gauge")),
    ):
        assert misfit(measured, lambda _: ()).names == names
    one_yarn = Measured.model_validate({"floats": [{"gap": 5, "yarn_cm": 2.0, "yarn": "."}]})
    alone = Misfit(scene_of(["......"], floats=EVENLY), one_yarn, MadeUp(one_yarn, lambda _: ()), Prior())
    assert alone.names == ("slack", "stretch", "bending", "gauge")  # a single yarn has no other to differ from


def test_what_the_scene_does_not_say_of_hands_is_sought() -> None:
    measured = widths((2.0, 0.3))
    for floats, names in (
        ({}, ("slack", "unevenness", "short", "stretch", "bending", "gauge")),
        ({"unevenness": 0.03}, ("slack", "short", "stretch", "bending", "gauge")),
        ({"short_mm": 0.4}, ("slack", "unevenness", "stretch", "bending", "gauge")),
    ):
        scene = scene_of(CHART, floats=floats)
        found = Misfit(scene, measured, MadeUp(measured, lambda _: (), scene), Prior())
        assert found.names == names
        theta = np.array([0.01, *(0.5 for _ in names[1:])])
        guess = found.hands(theta)
        assert guess.unevenness == (pytest.approx(0.03 * np.exp(0.5)) if "unevenness" in names else None)
        assert guess.short == (pytest.approx(0.5e-3) if "short" in names else None)
        # never below nothing nor as much as a stitch; never above what a scene may say
        if "short" in names:
            at = names.index("short")
            assert (found.floor[at], found.roof[at]) == (0.0, pytest.approx(1e3 * scene.gauge.stitch_width))
        if "unevenness" in names:
            assert 0.03 * np.exp(found.roof[names.index("unevenness")]) == pytest.approx(0.30)


def test_two_motifs_tell_slack_and_what_floats_fall_short_apart() -> None:
    """Two straight responses, the second with floats a third as long: by hand, and with one alone hardly at all."""
    scene = scene_of(CHART)
    measured = Measured.model_validate({"floats": [{"gap": 5, "yarn_cm": 1.0, "uncertain_cm": 0.01}]})

    def lost_of(span_mm: float) -> Said:
        def said(guess: Guess) -> tuple[float, ...]:
            assert guess.short is not None
            return (1.0 + guess.slack - 1e3 * guess.short / span_mm + 0.046,)

        return said

    first, second = MadeUp(measured, lost_of(30.0), scene), MadeUp(measured, lost_of(10.0), scene)
    prior = Prior(slack_doubt=1.0, short_doubt=1e-3)
    both = Misfit(scene, measured, first, prior, second)
    assert both.names[-2:] == ("gauge", "second gauge")
    assert [one.key for one in both.measurements] == ["floats (no. 1).yarn_cm", "second swatch: floats (no. 1).yarn_cm"]
    best = both.best()
    # slack - short / 30 = slack - short / 10 = -0.046, so short is nought: its floor
    assert dict(zip(both.names, best.x.tolist(), strict=True))["short"] == pytest.approx(0.0, abs=0.05)
    assert Posterior.of(both, best).span("short").known == "measured"
    alone = Misfit(scene, measured, first, Prior(slack_doubt=1.0, short_doubt=1e-4))
    best = alone.best()
    assert Posterior.of(alone, best).span("short").known == "not told"
    # along the line on which the one measurement lies: 1 / 30 of slack for each mm
    assert Posterior.of(alone, best).goes_with(("unevenness", "short")) == pytest.approx([0.0, 1.0 / 30.0], abs=1e-4)


def test_a_second_swatch_has_a_gauge_of_its_own_and_the_same_hands() -> None:
    measured = widths((1.0, 0.3))
    found = Misfit(JUST_SO, measured, MadeUp(measured, lambda _: ()), Prior(), MadeUp(measured, lambda _: ()))
    assert found.names == ("slack", "stretch", "bending", "gauge", "second gauge")
    theta = np.array([-0.04, *np.log([2.0, 3.0, 0.9, 1.1])])
    one, other = found.hands(theta), found.second_hands(theta)
    assert (one.slack_y, other.slack_y) == ((-0.04, -0.04), (-0.04, -0.04))
    assert (other.stretch, other.bending) == pytest.approx((2.0, 3.0))
    assert (one.gauge, other.gauge) == pytest.approx((0.9, 1.1))


def test_before_anything_is_measured_each_is_as_the_prior_has_it() -> None:
    prior = Prior(slack=0.03, slack_doubt=0.2, yarns=0.04, stiffness=3.0, weight=0.1, gauge=0.07)
    everything = in_yarns(weighed={"grams": 9.0}, plain={"rows": 10, "height_cm": 4.0})
    found = misfit(everything, lambda _: (), prior)
    assert found.names == ("slack", "slack of #", "stretch", "bending", "weight", "gauge", "row gauge")
    np.testing.assert_array_equal(found.mean, [0.03, 0, 0, 0, 0, 0, 0])
    np.testing.assert_allclose(found.deviation, [0.2, 0.04, np.log(3.0), np.log(3.0), 0.1, 0.07, 0.07])
    assert (found.floor < found.mean).all()
    assert (found.mean < found.roof).all()
    # bounds lie far outside what is likely, so that they decide nothing; only stiffness may be anything
    free = [name for name, roof in zip(found.names, found.roof.tolist(), strict=True) if roof >= FAR]
    assert free == ["slack of #", "stretch", "bending"]
    assert (found.roof - found.mean > 3.0 * found.deviation).all()


def test_hands_are_what_the_parameters_stand_for() -> None:
    """Slacks as they are, differences that cancel, all else as logarithms; what is not sought is 1."""
    found = misfit(in_yarns(weighed={"grams": 9.0}), lambda _: ())
    theta = np.array([0.05, 0.02, np.log(2.0), np.log(3.0), np.log(1.1), np.log(0.9)])
    hands = found.hands(theta)
    assert hands.slack == 0.05
    assert hands.slack_y == pytest.approx((0.03, 0.07))
    assert (hands.stretch, hands.bending, hands.weight) == pytest.approx((2.0, 3.0, 1.1))
    assert (hands.gauge, hands.row_gauge) == pytest.approx((0.9, 1.0))
    every = misfit(in_yarns(weighed={"grams": 9.0}, plain={"rows": 10, "height_cm": 4.0}), lambda _: ())
    hands = every.hands(np.array([0.0, 0.0, *np.log([2.0, 3.0, 1.1, 0.9, 0.8])]))
    each = (hands.stretch, hands.bending, hands.weight, hands.gauge, hands.row_gauge)
    assert each == pytest.approx((2.0, 3.0, 1.1, 0.9, 0.8))
    theta[:2] = -0.4, 4.0
    assert found.hands(theta).slack_y == (-0.9, 1.0)  # no yarn less than none, whatever the fit tries


# ---- straight responses: the normal distribution, by hand ------------------------------------------


def straight(prior: Prior) -> tuple[Misfit, OptimizeResult]:
    """Three sums of slack, stretch and bending, and one float that only the gauge is in."""
    measured = widths((0.9, 0.02), (1.2, 0.1), (1.5, 0.05), (1.02, 0.01))

    def said(hands: Guess) -> tuple[float, ...]:
        stretch, bending = float(np.log(hands.stretch)), float(np.log(hands.bending))
        return (1.0 + hands.slack, 1.0 + stretch - bending, 1.5 + stretch, 1.0 + float(np.log(hands.gauge)))

    found = misfit(measured, said, prior)
    return found, found.best()


A = np.array([[1.0, 0, 0, 0], [0, 1, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]])


def test_the_fit_of_straight_responses_is_that_of_normal_distributions() -> None:
    """Covariance (A'WA + P)^-1, mean from the normal equations (textbook)."""
    prior = Prior()
    found, best = straight(prior)
    weight = np.diag(np.array([0.02, 0.1, 0.05, 0.01]) ** -2.0)
    before = np.diag(np.array([0.10, np.log(2.0), np.log(2.0), 0.05]) ** -2.0)
    covariance = np.linalg.inv(A.T @ weight @ A + before)
    off = np.array([-0.1, 0.2, 0.0, 0.02])
    want = covariance @ (A.T @ weight @ off + before @ [0, 0, 0, 0])
    np.testing.assert_allclose(best.x, want, atol=1e-5)
    np.testing.assert_allclose(inverse_of(best), covariance, rtol=1e-6, atol=1e-12)
    for k, name in enumerate(found.names):
        span, deviation = Posterior.of(found, best).span(name), covariance[k, k] ** 0.5
        assert span.value == pytest.approx(want[k], abs=1e-5)
        assert (span.low, span.high) == pytest.approx(
            (want[k] - 1.96 * deviation, want[k] + 1.96 * deviation), abs=1e-4
        )
        assert span.known == "measured"
    apart = np.sqrt(covariance[1, 1] + covariance[2, 2] - 2.0 * covariance[1, 2])
    assert Posterior.of(found, best).apart("stretch", "bending") == pytest.approx(apart)


def test_what_nothing_was_measured_of_stays_as_it_was_and_is_not_told() -> None:
    found = misfit(widths((1.0, 0.02)), lambda hands: (1.0 + hands.slack,))
    best = found.best()
    for name, deviation in (("stretch", np.log(2.0)), ("bending", np.log(2.0)), ("gauge", 0.05)):
        span = Posterior.of(found, best).span(name)
        assert (span.value, span.known) == (pytest.approx(0.0, abs=1e-9), "not told")
        assert span.high - span.low == pytest.approx(2.0 * 1.96 * deviation)


@pytest.mark.parametrize(("off", "known"), [(0.9, "measured"), (1.7, "not told")])
def test_an_interval_hardly_narrower_than_before_counts_as_nothing_told(off: float, known: str) -> None:
    """A measurement ``off`` times as uncertain as what is likely: width over width before is off / sqrt(1 + off^2)."""
    assert (off / (1.0 + off**2) ** 0.5 <= NOT_TOLD) == (known == "measured")
    stretch = float(np.log(2.0))
    found = misfit(widths((2.0, off * stretch)), lambda hands: (2.0 + float(np.log(hands.stretch)),))
    best = found.best()
    assert Posterior.of(found, best).span("stretch").known == known
    of_slack = misfit(widths((2.0, off * 0.1)), lambda hands: (2.0 + hands.slack,))
    best = of_slack.best()
    assert Posterior.of(of_slack, best).span("slack").known == known
    both = misfit(in_yarns(), lambda hands: tuple(20.0 * one for one in hands.slack_y))
    wide = np.diag(both.deviation**2) * off**2 / (1.0 + off**2)
    best = OptimizeResult(x=np.zeros(len(both.names)))
    assert Posterior(both, best, wide).yarn_span(0).known == known


def test_the_slack_of_a_yarn_is_mean_and_difference_with_what_they_share() -> None:
    found = misfit(in_yarns(), lambda _: (0.0, 0.0))
    best = OptimizeResult(x=np.array([0.05, 0.02, 0.0, 0.0, 0.0]))
    inverse = np.diag([0.01**2, 0.02**2, 1.0, 1.0, 1.0])
    inverse[0, 1] = inverse[1, 0] = 0.5 * 0.01 * 0.02
    for yarn, value, sign in ((0, 0.03, -1.0), (1, 0.07, 1.0)):
        deviation = (0.01**2 + 0.02**2 + sign * 0.01 * 0.02) ** 0.5  # variance of a sum, of a difference
        span = Posterior(found, best, inverse).yarn_span(yarn)
        assert span.value == pytest.approx(value)
        assert (span.low, span.high) == pytest.approx((value - 1.96 * deviation, value + 1.96 * deviation))


# ---- where a fit begins, and what it asks for


@pytest.mark.parametrize("deeper", ["tight", "loose"])
def test_of_a_tight_and_a_loose_fit_the_better_counts(deeper: str) -> None:
    """Two valleys, at -0.10 and at 0.30, with a step between them: no slope leads from one to the other."""
    tight_off, loose_off = (0.0, 0.2) if deeper == "tight" else (0.2, 0.0)

    def said(hands: Guess) -> tuple[float, ...]:
        tight = hands.slack < 0.0
        return (1.0 + hands.slack + (0.1 if tight else -0.3), 1.0 + (tight_off if tight else loose_off))

    found = misfit(widths((1.0, 0.1), (1.0, 0.1)), said, Prior(slack=0.28, slack_doubt=5.0))
    assert found.best().x[0] == pytest.approx(-0.1 if deeper == "tight" else 0.3, abs=2e-3)
    # alone, one of them would have ended where it began
    assert found.fit(found._guess()).x[0] == pytest.approx(-0.1, abs=2e-3)
    assert found.fit(found.mean).x[0] == pytest.approx(0.3, abs=2e-3)


def test_a_fit_that_is_tight_for_sure_is_not_made_again() -> None:
    fits: list[Floats] = []

    class Counting(Misfit):
        def fit(self, start: Floats, held: int | None = None, precise: bool = True) -> OptimizeResult:
            fits.append(start)
            return super().fit(start, held, precise)

    for value, often in ((0.9, 1), (0.97, 2)):  # ten deviations below nought, and three
        fits.clear()
        responses = MadeUp(widths((value, 0.01)), lambda hands: (1.0 + hands.slack,))
        found = Counting(responses.scene, responses.measured, responses, Prior())
        assert found.best().x[0] == pytest.approx(value - 1.0, abs=2e-3)
        assert len(fits) == often
        if often == 2:
            assert fits[1][0] == pytest.approx(0.0, abs=1e-9)  # from what was likely before


def test_the_guess_is_read_off_what_was_measured() -> None:
    """Gauge from the plain part, slack from how much narrower colourwork is, or from the yarn in floats."""
    stitch = scene_of(CHART).gauge.stitch_width * 100.0
    plain = {"plain": {"stitches": 20, "width_cm": 20 * stitch * 1.1}}
    drawn = {"colourwork": {"stitches": 30, "width_cm": 30 * stitch * 1.1 * 0.92}}
    short = {"floats": [{"gap": 5, "yarn_cm": 6 * stitch * 1.1 * by} for by in (0.85, 0.89)]}
    for given, slack, gauge in (
        (plain | drawn | short, -0.08, np.log(1.1)),
        (drawn, 1.1 * 0.92 - 1.0, 0.0),
        (plain | short, -0.13, np.log(1.1)),
        (plain, -0.05, np.log(1.1)),
        ({"colourwork": {"stitches": 30, "width_cm": 30 * stitch * 0.5}}, -0.3, 0.0),
        ({"plain": {"stitches": 20, "width_cm": 20 * stitch * 3.0}}, -0.05, 0.5),
        ({"plain": {"stitches": 20, "width_cm": 20 * stitch / 3.0}}, -0.05, -0.5),
    ):
        found = misfit(Measured.model_validate(given), lambda _: ())
        guess = dict(zip(found.names, found._guess().tolist(), strict=True))
        # a guess is always tight: from above nought no slope leads back
        assert guess["slack"] == pytest.approx(min(slack, -0.01))
        assert guess["gauge"] == pytest.approx(gauge)
        assert guess["stretch"] == guess["bending"] == 0.0


def test_derivatives_keep_within_the_bounds_and_are_those_of_the_residuals() -> None:
    asked: list[Guess] = []

    def said(hands: Guess) -> tuple[float, ...]:
        asked.append(hands)
        return (hands.slack + 2.0 * float(np.log(hands.stretch)) - 3.0 * float(np.log(hands.bending)),)

    found = misfit(widths((1.0, 0.5)), said)
    for slack in (0.05, found.roof[0] - 1e-9, found.floor[0] + 1e-9):
        theta = np.array([slack, 0.0, 0.0, 0.0])
        jacobian = found.jacobian(theta)
        np.testing.assert_allclose(jacobian[0], np.array([1.0, 2.0, -3.0, 0.0]) / 0.5, atol=1e-9)
        np.testing.assert_allclose(jacobian[1:], np.diag(1.0 / found.deviation))
    assert all(found.floor[0] <= one.slack <= found.roof[0] for one in asked)
    # fabric that lies is asked about one ratio for both stiffnesses: up to round-off the same fabric
    near = asked[:5]
    assert near[2].bending / near[2].stretch == pytest.approx(near[3].bending / near[3].stretch, rel=1e-12)


def test_the_same_guess_is_brought_to_rest_once_until_the_piece_was_looked_at() -> None:
    asked: list[Guess] = []

    def said(hands: Guess) -> tuple[float, ...]:
        asked.append(hands)
        return (float(len(asked)),)

    lying = {"colourwork": {"stitches": 12, "width_cm": 1.0, "uncertain_cm": 0.5}}
    measured = Measured.model_validate(lying)
    responses = MadeUp(measured, said)
    found = Misfit(responses.scene, measured, responses, Prior())
    theta = np.array([0.01, 0.0, 0.0, 0.0])
    assert found.data(theta).tolist() == found.data(theta).tolist() == [0.0]
    assert len(asked) == 1
    assert not found.correct(theta)  # endless as it is
    responses.case = "swatch"
    assert found.correct(theta)
    assert [one.slack for one in responses.looked] == [0.01]
    assert found.data(theta).tolist() == [(2.0 - 1.0) / 0.5]


def test_one_that_is_held_stays_and_the_others_are_the_likeliest() -> None:
    """Of two that are known only together: with one held the other takes all (by hand), by the fit and by the normal
    distribution alike."""
    measured = widths((1.1, 0.01))
    found = misfit(measured, lambda hands: (1.0 + hands.slack + float(np.log(hands.gauge)),), Prior(slack=0.0))
    best = found.best()
    start = Posterior.of(found, best)._along(0, 0.02)
    weight = np.array([0.01, 0.05]) ** -2.0
    want = weight[0] * (0.1 - 0.02) / weight.sum()
    assert start[0] == 0.02
    assert start[3] == pytest.approx(want, abs=1e-4)
    assert start[1:3] == pytest.approx([0.0, 0.0], abs=1e-9)
    away = start.copy()
    away[3] = -0.3
    held = found.fit(away, held=0)
    assert len(held.x) == 3
    assert held.x[2] == pytest.approx(want, abs=1e-4)
    beyond = Posterior.of(found, best)._along(0, 3.0)
    assert beyond[0] == 3.0
    assert (found.floor[1:] < beyond[1:]).all()
    assert (beyond[1:] < found.roof[1:]).all()
