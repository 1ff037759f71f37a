"""What measurements tell of hands and fabric: the best fit, and how surely each number is known.

Each guess is brought to rest and measured as the swatch was; the guess that fits best, what was likely before included,
is found by least squares (residuals over their uncertainty). Its uncertainty is that of the normal distribution there
(Laplace): covariance (J'J)^-1 with J the derivatives of the residuals, ends at 1.96 deviations, of the normal and not
of Student's distribution because the uncertainties are stated and not taken from the scatter. A response may have one
side only (slack above 0 draws nothing in), so for the slack and the stiffnesses both ends are tried: the best fit with
the value held there must be worse by 1.96^2 / 2; where it isn't, the end is moved to where it is (profile).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Self

import numpy as np
from scipy.optimize import OptimizeResult, brentq

from fabricsim.arrays import Floats
from fabricsim.design.scene.knitter import Known
from fabricsim.study.calibrate.misfit import Misfit

DEVIATIONS = 1.96
"""Standard deviations to either side that hold 95 % of a normal distribution."""
WORSE = 0.5 * DEVIATIONS**2
"""By how much half the sum of squares is more at the ends."""
ALIKE = (0.7, 1.4)
"""Shares of ``WORSE`` between which the normal distribution's end will do (chosen: a tenth or two of a deviation)."""
TRIED = ("stretch", "bending", "unevenness", "short")
"""Whose ends are tried where anything was learnt of them."""
NOT_TOLD = 0.8
"""Share of the width of an interval before, above which nothing was learnt (chosen)."""
LOOSE = 0.35
"""Slack that no hand exceeds: what fits as well there has no upper end (chosen: 25 to 30 % is baggy, memory)."""


@dataclass(frozen=True)
class Span:
    """A parameter's likeliest value, its ends, and how it is known."""

    value: float
    low: float
    high: float
    known: Known


@dataclass(frozen=True, eq=False)
class Posterior:
    """The normal distribution about the ``best`` fit of a ``misfit``; ``inverse`` of J'J there is its covariance."""

    misfit: Misfit
    best: OptimizeResult
    inverse: Floats

    @classmethod
    def of(cls, misfit: Misfit, best: OptimizeResult) -> Self:
        return cls(misfit, best, np.linalg.inv(best.jac.T @ best.jac))

    def span(self, name: str) -> Span:
        """Return the value of a parameter with its ends, tried by profile where it matters to the knitter."""
        k = self.misfit.names.index(name)
        value, deviation = float(self.best.x[k]), float(self.inverse[k, k]) ** 0.5
        ends = [value - DEVIATIONS * deviation, value + DEVIATIONS * deviation]
        if name in ("unevenness", "short"):
            ends = np.clip(ends, self.misfit.floor[k], self.misfit.roof[k]).tolist()
        before = 2.0 * DEVIATIONS * float(self.misfit.deviation[k])
        if name == "slack" or (name in TRIED and ends[1] - ends[0] <= NOT_TOLD * before):
            ends = [self._end(k, end) for end in ends]
        known: Known = "measured" if ends[1] - ends[0] <= NOT_TOLD * before else "not told"
        if name == "slack" and known == "measured" and self._any_looser(k):
            known = "at least"
        return Span(value, min(ends[0], value), max(ends[1], value), known)

    def _any_looser(self, k: int) -> bool:
        """Return whether the measurements alone fit as well with floats as loose as can be."""
        if self.best.x[k] + 4.0 * self.inverse[k, k] ** 0.5 < 0.0:
            return False
        start = (
            self.best.x.copy()
        )  # all else as it is: along what goes with slack, unevenness would be beyond any hand's
        start[k] = LOOSE
        loose = self.misfit.fit(start, held=k, precise=False)
        likely, loosest = (
            0.5 * ((at - self.misfit.mean[k]) / self.misfit.deviation[k]) ** 2 for at in (self.best.x[k], LOOSE)
        )
        # what was likely of the slack before is no measurement, so it does not count
        return float((loose.cost - loosest) - (self.best.cost - likely)) < WORSE

    def _along(self, k: int, value: float) -> Floats:
        """Return the likeliest others with parameter ``k`` at ``value``, by the normal distribution."""
        theta = self.best.x + self.inverse[:, k] / self.inverse[k, k] * (value - self.best.x[k])
        theta = np.clip(theta, self.misfit.floor + 1e-9, self.misfit.roof - 1e-9)
        theta[k] = value
        return np.asarray(theta)

    def _end(self, k: int, end: float) -> float:
        """Return where the fit is worse by ``WORSE``, near or beyond ``end``."""

        reckoned = self.misfit.residuals(self._along(k, end))
        at = float(0.5 * reckoned @ reckoned - self.best.cost) / WORSE
        if ALIKE[0] <= at <= ALIKE[1]:  # as the normal distribution has it
            return end

        def over(value: float) -> float:
            held = self.misfit.fit(self._along(k, value), held=k, precise=False)
            return float(held.cost - self.best.cost) / WORSE - 1.0

        return _crossing(over, float(self.best.x[k]), end, float(self.misfit.floor[k]), float(self.misfit.roof[k]))

    def yarn_span(self, yarn: int) -> Span:
        """Return the slack of one yarn, by the normal distribution."""
        share = self.misfit.share_of(yarn)
        value, deviation = float(share @ self.best.x), float(np.sqrt(share @ self.inverse @ share))
        before = float(np.sqrt(share**2 @ self.misfit.deviation**2))
        known: Known = "measured" if deviation <= NOT_TOLD * before else "not told"
        return Span(value, value - DEVIATIONS * deviation, value + DEVIATIONS * deviation, known)

    def goes_with(self, names: tuple[str, ...]) -> Floats:
        """Return by how much slack is likely more for each of those ``names`` that is more by one, the others as they
        are: regression in the normal distribution (textbook). Nought for what is no parameter."""
        found = np.zeros(len(names))
        at = [self.misfit.names.index(name) for name in names if name in self.misfit.names]
        slack = self.misfit.names.index("slack")
        if at:
            found[[name in self.misfit.names for name in names]] = np.linalg.solve(
                self.inverse[np.ix_(at, at)], self.inverse[at, slack]
            )
        return found

    def apart(self, one: str, other: str) -> float:
        """Return the standard deviation of the difference of two parameters."""
        a, b = self.misfit.names.index(one), self.misfit.names.index(other)
        return float(np.sqrt(self.inverse[a, a] + self.inverse[b, b] - 2.0 * self.inverse[a, b]))


def _crossing(over: Callable[[float], float], inside: float, end: float, floor: float, roof: float) -> float:
    """Return where ``over`` turns from -1 at ``inside`` to nought, beginning with a try at ``end``."""
    low, high = ALIKE
    end = min(max(end, floor), roof)
    at = over(end)
    if low - 1.0 <= at <= high - 1.0 or end == inside:
        return end
    near = inside
    while at < 0.0 and floor < end < roof:
        near, end = end, min(max(end + 1.0 * (end - inside), floor), roof)
        at = over(end)
    if at < 0.0:
        return end
    return float(brentq(over, near, end, xtol=1e-3, rtol=1e-3))
