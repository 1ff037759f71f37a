"""How uneven floats are, from several that were measured, against textbook statistics."""

from __future__ import annotations

from math import log

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import chi2, gamma

from fabricsim.design.swatch.measured import Measured
from fabricsim.study.calibrate.measurements import measurements
from fabricsim.study.calibrate.misfit import Misfit
from fabricsim.study.calibrate.posterior import DEVIATIONS, Posterior
from fabricsim.study.calibrate.prior import Prior
from fabricsim.study.calibrate.responses import Guess
from fabricsim.study.calibrate.scatter import residual, seen, spread_of, unevenness_of, variance, worth_of
from tests.recovery.trials import CHART
from tests.study.calibrate.made_up import MadeUp
from tests.support.scenes import scene_of

SCENE = scene_of(CHART)
SPAN = 6 * SCENE.gauge.stitch_width * 1e3
"""What a float bridges that passes behind five stitches, mm."""
VAGUE = Prior(slack_doubt=5.0, gauge=1e-6, unevenness_doubt=float(np.exp(50.0)), short_doubt=1e-9)
"""Next to nothing is known before of slack and unevenness, everything of the rest."""


@pytest.mark.parametrize("freedom", [1, 7, 30])
def test_half_the_square_of_a_residual_is_what_the_likelihood_loses(freedom: int) -> None:
    """Of a variance that is a gamma variable, as scipy has it, against its greatest."""
    spread = 1.3
    for expected in (0.5, 1.0, 1.3, 2.0):
        likely = [gamma.logpdf(spread**2, 0.5 * freedom, scale=2.0 * v**2 / freedom) for v in (spread, expected)]
        found = residual(spread, freedom, expected)
        assert 0.5 * found**2 == pytest.approx(likely[0] - likely[1], abs=1e-12)
        assert np.sign(found) == np.sign(expected - spread)


def test_unevenness_is_what_is_left_of_the_spread() -> None:
    """Float to float and half as much from row to row, and what was read off: variances add up."""
    assert spread_of(0.04, 30.0, 0.0) == pytest.approx(30.0 * (0.04**2 + 0.02**2) ** 0.5)
    assert spread_of(0.04, 30.0, 0.5) ** 2 == pytest.approx(900.0 * (0.04**2 + 0.02**2) + 0.25)
    assert unevenness_of(spread_of(0.04, 30.0, 0.5), 30.0, 0.5) == pytest.approx(0.04)
    assert unevenness_of(0.4, 30.0, 0.5) == 0.0  # no more than is read off
    assert seen(0.0, 0.5) == 0.05
    assert seen(0.7, 0.5) == 0.7


def test_what_was_likely_before_counts_as_so_many_floats() -> None:
    assert variance(2.0, 6, 1.0, 2.0) == pytest.approx((2.0 + 6 * 4.0) / 8)
    # of so many degrees of freedom the root of a chi-square variance is known so well (by simulation)
    root = chi2.rvs(200, size=100_000, random_state=1) ** 0.5
    assert worth_of(float(np.std(np.log(root)))) == pytest.approx(200, rel=0.02)


def lengths(unevenness: float, count: int, seed: int, slack: float = 0.03) -> list[float]:
    """Floats of a hand, each in a row of its own, read off exactly."""
    rng = np.random.default_rng(seed)
    uneven = unevenness * (rng.standard_normal(count) + 0.5 * rng.standard_normal(count))
    return [float(SPAN * (1.0 + slack + one) - 0.45) for one in uneven]


def fitted(yarn_mm: list[float], prior: Prior = VAGUE) -> Misfit:
    floats = [{"gap": 5, "yarn_mm": yarn_mm, "uncertain_mm": 0.1}]
    measured = Measured.model_validate({"floats": floats})

    def said(guess: Guess) -> tuple[float, ...]:
        assert guess.unevenness is not None
        assert guess.short is not None
        return (SPAN * (1.0 + guess.slack) - 1e3 * guess.short, spread_of(guess.unevenness, SPAN, 0.1))

    responses = MadeUp(measured, said, SCENE)
    return Misfit(SCENE, measured, responses, prior)


@pytest.mark.parametrize("count", [8, 20])
def test_unevenness_and_its_interval_are_those_of_a_chi_square_variance(count: int) -> None:
    """Both ends where the deviance is 1.96 squared, in closed form; near them those of equal tails."""
    yarn_mm = lengths(0.05, count, 3)
    problem = fitted(yarn_mm)
    best = problem.best()
    span = Posterior.of(problem, best).span("unevenness")
    spread, freedom = float(np.std(yarn_mm, ddof=1)), count - 1
    assert 0.03 * np.exp(span.value) == pytest.approx(unevenness_of(spread, SPAN, 0.1), rel=1e-3)

    def worse(ratio: float) -> float:
        return float(freedom * (ratio - 1.0 - log(ratio)) - DEVIATIONS**2)

    ends = [unevenness_of(spread / brentq(worse, *ends) ** 0.5, SPAN, 0.1) for ends in ((1.0, 20.0), (1e-3, 1.0))]
    found = [0.03 * float(np.exp(one)) for one in (span.low, span.high)]
    # 1.96 squared for the ends to 0.7 to 1.4 of what they should be: of half a square a sixth at the most
    assert found == pytest.approx(ends, rel=0.12)
    tails = [unevenness_of(spread * (freedom / chi2.ppf(at, freedom)) ** 0.5, SPAN, 0.1) for at in (0.975, 0.025)]
    assert found == pytest.approx(tails, rel=0.2)


def test_the_truth_lies_inside_95_times_in_100() -> None:
    """By the deviance alone, of 4,000 sets of eight floats: 95.0 % give or take 1 % (three standard errors), but for
    what the deviance of so few is off (Wilks's theorem holds for many)."""
    rng = np.random.default_rng(2)
    spread_k = np.sqrt(chi2.rvs(7, size=4000, random_state=rng) / 7)
    inside = np.mean([abs(residual(float(one), 7, 1.0)) <= DEVIATIONS for one in spread_k])
    assert inside == pytest.approx(0.95, abs=0.015)


def test_from_the_mean_of_several_comes_the_slack() -> None:
    yarn_mm = lengths(0.05, 12, 4, slack=0.02)
    problem = fitted(yarn_mm)
    best = problem.best()
    span = Posterior.of(problem, best).span("slack")
    mean, spread = float(np.mean(yarn_mm)), float(np.std(yarn_mm, ddof=1))
    assert span.value == pytest.approx((mean + 0.45) / SPAN - 1.0, abs=1e-5)
    assert span.high - span.low == pytest.approx(2.0 * DEVIATIONS * spread / SPAN / 12**0.5, rel=0.02)


def test_a_list_is_two_measurements() -> None:
    """Its mean, as uncertain as what is likely and what was seen make it, and its spread."""
    floats = [{"gap": 5, "yarn_mm": [30.0, 33.0, 36.0], "uncertain_mm": 0.5}]
    mean, spread = measurements(Measured.model_validate({"floats": floats}), SCENE, log(2.0))
    assert (mean.key, mean.value, mean.unit) == ("floats (no. 1).yarn_mm", 33.0, "mm")
    worth = 0.5 / log(2.0) ** 2
    before = spread_of(0.03, SPAN, 0.5)
    assert mean.uncertain == pytest.approx(((worth * before**2 + 2 * 9.0) / (worth + 2) / 3) ** 0.5)
    assert (spread.key, spread.value, spread.freedom) == ("floats (no. 1).spread_mm", 3.0, 2)
    assert spread.uncertain == pytest.approx(3.0 / 2.0)


def test_floats_all_alike_are_as_even_as_can_be_seen() -> None:
    problem = fitted([31.0] * 10)
    best = problem.best()
    span = Posterior.of(problem, best).span("unevenness")
    assert 0.03 * np.exp(span.value) < 0.005
    assert np.isfinite(best.cost)
