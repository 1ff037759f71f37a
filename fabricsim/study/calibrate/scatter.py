"""How uneven floats are, from several that were measured: closed forms of statistics.

Lengths of floats that pass behind as many stitches, each in a row of its own, are normal about their mean, with the
variance of what the hand does (from float to float and from row to row) and of what was read off beside it. Their mean
and how they differ tell of that mean and of that variance, and neither of the other (Cochran's theorem, textbook); the
sum of squares over the variance is chi-square distributed.
"""

from __future__ import annotations

from math import copysign, log, sqrt

from fabricsim.study.hands.prior import ROWS_SHARE

OF_BOTH = sqrt(1.0 + ROWS_SHARE**2)
"""Unevenness of floats in rows of their own over that from float to float (derived)."""
FINEST = 0.1
"""Share of what may be read off below which floats can't be seen to differ (chosen: all alike are so by rounding)."""


def spread_of(unevenness: float, span: float, read_off: float) -> float:
    """Return the standard deviation of such floats' measured lengths, in the unit of ``span`` and ``read_off``."""
    return sqrt((OF_BOTH * unevenness * span) ** 2 + read_off**2)


def unevenness_of(spread: float, span: float, read_off: float) -> float:
    """Return the unevenness from float to float behind such a spread: none where it is what may be read off."""
    return sqrt(max(0.0, spread**2 - read_off**2)) / (OF_BOTH * span)


def residual(spread: float, freedom: int, expected: float) -> float:
    """Return the residual whose half square is by how much less likely a ``spread`` with such a ``freedom`` is where it
    is ``expected`` to be another: the signed root of the deviance of a chi-square variance.

    ``freedom`` times (s2/v - 1 - log(s2/v)), s2 the measured variance and v the expected one (textbook; McCullagh and
    Nelder's gamma deviance, memory). Above nought where it was expected to be more.
    """
    ratio = (spread / expected) ** 2
    return copysign(sqrt(max(0.0, freedom * (ratio - 1.0 - log(ratio)))), expected - spread)


def seen(spread: float, read_off: float) -> float:
    """Return a ``spread`` that may be none, as it was with what is read off: floats all alike are so by rounding."""
    return max(spread, FINEST * read_off)


def variance(spread: float, freedom: int, before: float, worth: float) -> float:
    """Return the likely variance of lengths that differ by ``spread``, where ``before`` (a standard deviation) was
    likely, which is ``worth`` so many degrees of freedom."""
    return (worth * before**2 + freedom * spread**2) / (worth + freedom)


def worth_of(log_deviation: float) -> float:
    """Return how many degrees of freedom a standard deviation is worth that is known to such a deviation of its
    logarithm, whose square is one over twice the degrees (delta method, textbook)."""
    return 0.5 / log_deviation**2
