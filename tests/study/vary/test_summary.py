"""Quantiles and their errors, against the normal distribution."""

from __future__ import annotations

from statistics import stdev

import numpy as np
import pytest
from scipy.stats import norm

from fabricsim.study.forecast.forecast import likely
from fabricsim.study.vary.summary import QUANTILES, quantile_error, summary


def test_mean_and_quantiles_of_a_normal_sample() -> None:
    """Standard error of a quantile: sqrt(p (1 - p) / n) / density there (textbook, for large n)."""
    count = 4000
    value_k = np.random.default_rng(1).normal(3.0, 2.0, count)
    found = summary(value_k.tolist())
    assert found.count == count
    assert found.deviation == pytest.approx(2.0, rel=4.0 / (2 * count) ** 0.5)
    assert found.error == pytest.approx(2.0 / count**0.5, rel=0.05)
    assert abs(found.mean - 3.0) < 4.0 * 2.0 / count**0.5
    for share, value, error in zip(QUANTILES, found.quantiles, found.errors, strict=True):
        exact = (share * (1.0 - share) / count) ** 0.5 / norm.pdf(norm.ppf(share)) * 2.0
        assert error == pytest.approx(exact, rel=0.25)
        assert abs(value - (3.0 + 2.0 * norm.ppf(share))) < 4.0 * exact


def test_the_error_is_how_far_quantiles_of_many_samples_differ() -> None:
    """With few values, too, where no formula for large samples holds; if anything it is said a little too large."""
    rng = np.random.default_rng(2)
    for count, too_large in ((40, 1.25), (200, 1.15)):
        samples = rng.normal(size=(3000, count))
        for share in QUANTILES:
            differ = np.quantile(samples, share, axis=1).std()
            said = [quantile_error(one, share) for one in samples[:300]]
            assert 0.9 * differ < np.mean([one for one in said if one is not None]) < too_large * differ


def test_equal_values_are_known_exactly_and_too_few_are_not() -> None:
    same = summary([0.1] * 40)
    assert same.errors == (0.0,) * 5
    assert same.deviation == pytest.approx(0.0, abs=1e-16)
    single = summary([0.3])
    assert (single.error, single.deviation, single.errors) == (None, None, (None,) * 5)
    assert single.quantiles == (0.3,) * 5
    few = summary([1.0, 2.0, 4.0, 8.0])
    assert few.deviation == pytest.approx(stdev([1.0, 2.0, 4.0, 8.0]), rel=1e-14)
    assert few.errors[0] is None
    assert few.errors[-1] is None
    assert few.errors[2] is not None


@pytest.mark.parametrize("count", [16, 21, 40])
def test_one_in_twenty_is_the_end_of_a_forecasts_likely_range(count: int) -> None:
    """The first pieces that vary are those of the forecast, and so is what is said of them."""
    value_k = np.random.default_rng(3).gamma(2.0, size=count)
    found = summary(value_k.tolist())
    assert (found.quantiles[0], found.quantiles[-1]) == tuple(likely(value_k))
