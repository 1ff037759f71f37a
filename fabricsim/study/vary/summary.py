"""A sample summed up: mean, quantiles, and how well each is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.study.hands.quantiles import quantiles

QUANTILES = (0.05, 0.25, 0.50, 0.75, 0.95)
"""Which are told (chosen: half of all lie between the second and the fourth, nine in ten between first and last)."""


@dataclass(frozen=True)
class Summary:
    """Of ``count`` values: ``mean`` with its standard ``error``, their standard ``deviation``, the ``quantiles`` and
    the standard error of each, None where there are too few values to tell."""

    count: int
    mean: float
    error: float | None
    deviation: float | None
    quantiles: tuple[float, ...]
    errors: tuple[float | None, ...]


def summary(values: Sequence[float]) -> Summary:
    """Return what at least one value comes to."""
    value_k = np.asarray(values, dtype=np.float64)
    several = len(value_k) > 1
    deviation = float(value_k.std(ddof=1)) if several else None
    return Summary(
        count=len(value_k),
        mean=float(value_k.mean()),
        error=None if deviation is None else deviation / len(value_k) ** 0.5,
        deviation=deviation,
        quantiles=tuple(quantiles(value_k, QUANTILES).tolist()),
        errors=tuple(quantile_error(value_k, share) for share in QUANTILES),
    )


def quantile_error(value_k: Floats, share: float) -> float | None:
    """Return the standard error of the quantile at ``share``, from the order statistics.

    After Maritz and Jarrett 1978, J. Am. Stat. Assoc. 73, 194: what endlessly many bootstrap samples would show (of 40
    normal values up to a fifth too large, of 200 a tenth: measured). None where so few values lie beyond the quantile
    that it can't be told.
    """
    from scipy.stats import mstats

    count = len(value_k)
    rank = int(share * count + 0.5)
    if not 1 < rank < count:
        return None
    # about one of them, so that equal values leave no round-off
    return float(mstats.mjci(value_k - value_k[0], [share])[0])
