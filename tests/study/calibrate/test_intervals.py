"""Intervals where responses have a kink, against a look at all slacks; and how an end is looked for."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.optimize import OptimizeResult
from scipy.stats import norm

from fabricsim.study.calibrate.misfit import Misfit
from fabricsim.study.calibrate.posterior import ALIKE, DEVIATIONS, WORSE, Posterior, _crossing
from fabricsim.study.calibrate.prior import Prior
from tests.study.calibrate.made_up import inverse_of, misfit, widths

# ---- a kink: what is looser than nought says nothing ------------------------------------------------


def kinked(
    width: float, off: float = 0.01, prior: Prior | None = None
) -> tuple[Misfit, OptimizeResult, Callable[[float], float]]:
    """Draw-in that follows the slack below nought and is none above; and half the sum of squares by slack, by hand."""
    prior = prior or Prior()
    found = misfit(widths((width, off)), lambda hands: (1.0 + min(0.0, hands.slack),), prior)

    def cost(slack: float) -> float:
        seen, likely = (1.0 + min(0.0, slack) - width) / off, (slack - prior.slack) / prior.slack_doubt
        return 0.5 * (seen**2 + likely**2)

    return found, found.best(), cost


def ends_by_hand(cost: Callable[[float], float]) -> tuple[float, float, float]:
    """Where the cost is least, and where below and above that it is worse by ``WORSE``: by looking at all slacks."""
    slack_k = np.linspace(-0.4, 0.8, 240_001)
    cost_k = np.array([cost(one) for one in slack_k.tolist()])
    at = int(cost_k.argmin())
    inside_k = np.flatnonzero(cost_k <= cost_k[at] + WORSE)
    return float(slack_k[at]), float(slack_k[inside_k[0]]), float(slack_k[inside_k[-1]])


@pytest.mark.parametrize(
    ("width", "known"), [(0.90, "measured"), (1.0, "at least"), (0.985, "at least"), (1.02, "at least")]
)
def test_ends_beyond_a_kink_are_where_the_fit_is_worse_by_what_it_should(width: float, known: str) -> None:
    found, best, cost = kinked(width)
    value, low, high = ends_by_hand(cost)
    span = Posterior.of(found, best).span("slack")
    assert span.value == pytest.approx(value, abs=2e-4)
    # within ALIKE of what it should be, as much as is asked for
    for end in (span.low, span.high):
        assert ALIKE[0] - 0.02 <= (cost(end) - cost(value)) / WORSE <= ALIKE[1] + 0.02
    assert (span.low, span.high) == pytest.approx((low, high), abs=0.02)
    assert span.known == known


def test_what_was_likely_before_does_not_say_that_slack_has_an_upper_end() -> None:
    """However surely: only what was measured may."""
    found, best, _ = kinked(1.0, prior=Prior(slack=0.0, slack_doubt=0.04))
    assert Posterior.of(found, best).span("slack").known == "at least"


@pytest.mark.parametrize(("from_slack", "known"), [(0.25, "measured"), (0.45, "at least")])
def test_an_upper_end_beyond_what_any_hand_does_is_none(from_slack: float, known: str) -> None:
    """Measurements that fit from nought up to some slack, and beyond it no more."""
    found = misfit(
        widths((1.0, 0.01)),
        lambda hands: (1.0 + min(0.0, hands.slack) + max(0.0, hands.slack - from_slack),),
        Prior(slack=0.1, slack_doubt=1.0),
    )
    best = found.best()
    assert Posterior.of(found, best).span("slack").known == known


def test_ends_of_a_stiffness_are_tried_too_and_those_of_the_gauge_are_not() -> None:
    """Fabric that is stiffer than a little shows it, fabric that is softer doesn't."""
    found = misfit(widths((1.01, 0.02)), lambda hands: (1.0 + max(0.0, 0.1 + float(np.log(hands.stretch))),))
    best = found.best()
    value_k = np.linspace(-3.0, 3.0, 60_001)
    cost_k = 0.5 * (((np.maximum(value_k + 0.1, 0.0) - 0.01) / 0.02) ** 2 + (value_k / np.log(2.0)) ** 2)
    inside_k = value_k[cost_k <= cost_k.min() + WORSE]
    span = Posterior.of(found, best).span("stretch")
    assert (span.low, span.high) == pytest.approx((inside_k[0], inside_k[-1]), abs=0.02)
    # of a stiffness that nothing is told of no end is tried: it stays as it was, whatever shows far off
    untold = misfit(widths((1.0, 0.02)), lambda hands: (1.0 + max(0.0, float(np.log(hands.stretch)) - 1.0),))
    best = untold.best()
    span = Posterior.of(untold, best).span("stretch")
    assert span.known == "not told"
    assert span.high - span.value == pytest.approx(DEVIATIONS * np.log(2.0))
    of_gauge = misfit(widths((1.01, 0.02)), lambda hands: (1.0 + max(0.0, 0.01 + float(np.log(hands.gauge))),))
    best = of_gauge.best()
    inverse = inverse_of(best)
    span = Posterior.of(of_gauge, best).span("gauge")
    assert span.value - span.low == pytest.approx(DEVIATIONS * inverse[3, 3] ** 0.5)


# ---- looking for an end ----------------------------------------------------------------------------


def parabola(deviation: float) -> tuple[Callable[[float], float], list[float]]:
    """By how much more than it should the fit is worse, at 1.96 deviations none; and where it was asked."""
    asked: list[float] = []

    def over(value: float) -> float:
        asked.append(value)
        return (value / deviation / DEVIATIONS) ** 2 - 1.0

    return over, asked


@pytest.mark.parametrize("sign", [-1.0, 1.0])
@pytest.mark.parametrize("tried", [0.05, 0.3, 1.0, 4.0])
def test_an_end_is_found_from_anywhere(tried: float, sign: float) -> None:
    over, _ = parabola(0.1)
    assert _crossing(over, 0.0, sign * tried, -10.0, 10.0) == pytest.approx(sign * 0.196, abs=2e-3)


@pytest.mark.parametrize("at", ALIKE)
def test_an_end_that_is_about_right_is_taken_as_it_is(at: float) -> None:
    over, asked = parabola(0.1)
    for by, taken in ((0.999, at == ALIKE[1]), (1.001, at == ALIKE[0])):
        asked.clear()
        tried = 0.196 * (at * by) ** 0.5
        assert (_crossing(over, 0.0, tried, -1.0, 1.0) == tried) == taken
        assert (len(asked) == 1) == taken


@pytest.mark.parametrize(("low", "high"), [(-0.1, 0.1), (-0.05, 3.0), (-3.0, 0.05)])
def test_an_end_beyond_what_is_allowed_is_what_is_allowed(low: float, high: float) -> None:
    over, asked = parabola(0.1)
    for tried in (-0.02, 0.02, -5.0, 5.0):
        want = max(low, -0.196) if tried < 0.0 else min(high, 0.196)
        assert _crossing(over, 0.0, tried, low, high) == pytest.approx(want, abs=2e-3)
    assert all(low <= one <= high for one in asked)
    assert _crossing(over, 0.0, 0.0, low, high) == 0.0  # no way to go


def test_a_fit_may_begin_at_the_bounds() -> None:
    found = misfit(widths((1.0, 0.02)), lambda hands: (1.0 + hands.slack,))
    for start in (found.floor, found.roof):
        assert found.fit(start).x[0] == pytest.approx(0.0, abs=1e-3)  # where the yarn is, and what is likely before


def test_what_95_in_100_means() -> None:
    assert pytest.approx(norm.ppf(0.975), abs=5e-5) == DEVIATIONS
    assert pytest.approx(0.5 * norm.ppf(0.975) ** 2, abs=1e-4) == WORSE
