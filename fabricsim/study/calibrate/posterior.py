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

import numpy as np
from scipy.optimize import OptimizeResult, brentq, least_squares

from fabricsim.arrays import Floats
from fabricsim.design.scene.knitter import Known
from fabricsim.design.scene.model import Scene
from fabricsim.design.swatch.measured import Measured
from fabricsim.study.calibrate.responses import Guess, Responses, measurements

DEVIATIONS = 1.96
"""Standard deviations to either side that hold 95 % of a normal distribution."""
WORSE = 0.5 * DEVIATIONS**2
"""By how much half the sum of squares is more at the ends."""
ALIKE = (0.7, 1.4)
"""Shares of ``WORSE`` between which the normal distribution's end will do (chosen: a tenth or two of a deviation)."""
NOT_TOLD = 0.8
"""Share of the width of an interval before, above which nothing was learnt (chosen)."""
LOOSE = 0.35
"""Slack that no hand exceeds: what fits as well there has no upper end (chosen: 25 to 30 % is baggy, memory)."""
STEPS = {"stretch": -0.02, "bending": 0.02}
"""Steps of the derivatives, of equal size and opposite ways, for fabric that lies depends on their difference alone."""
STEP = 1e-3
"""Step of the other derivatives (chosen: far above what the solver leaves, far below what hands do)."""


OF = "slack of "
"""Begins the name of how far a yarn's slack lies from the mean; its symbol follows."""


@dataclass(frozen=True)
class Prior:
    """What is likely before anything is measured: mean and standard deviation of the slack, deviations of the rest.

    ``yarns``: of one yarn's slack from the mean; ``stiffness``: a factor, of stretch and of bending; ``weight`` and
    ``gauge``: shares.
    """

    slack: float = 0.0
    """Of hands that nobody has measured: "neither loose nor taut" (common practice, as taught)."""
    slack_doubt: float = 0.10
    """Chosen: beginners are up to 20 % tighter (memory), baggy floats as much looser."""
    yarns: float = 0.05
    """Chosen: two hands differ by less than two knitters."""
    stiffness: float = 2.0
    """Chosen: the uncertainty of the defaults."""
    weight: float = 0.15
    """Chosen: labels, and yarn in a loop."""
    gauge: float = 0.05
    """Chosen: the gauge of a scene is that of another swatch, of the same hands."""


@dataclass(frozen=True)
class Span:
    """A parameter's likeliest value, its ends, and how it is known."""

    value: float
    low: float
    high: float
    known: Known


class Misfit:
    """The residuals, and what is known of their parameters; factors are taken as logarithms."""

    def __init__(self, scene: Scene, measured: Measured, responses: Responses, prior: Prior) -> None:
        self.scene, self.responses = scene, responses
        self.measurements = measurements(measured)
        deviations = {"slack": prior.slack_doubt}
        if len(scene.yarns) > 1 and any(one.yarn is not None for one in measured.floats):
            deviations |= {OF + symbol: prior.yarns for symbol in scene.symbols[1:]}
        deviations |= {"stretch": float(np.log(prior.stiffness)), "bending": float(np.log(prior.stiffness))}
        if measured.weighed.grams is not None:
            deviations["weight"] = prior.weight
        deviations["gauge"] = prior.gauge
        if measured.plain.rows is not None or measured.colourwork.rows is not None:
            deviations["row gauge"] = prior.gauge
        self.names = tuple(deviations)
        self.mean = np.array([prior.slack if name == "slack" else 0.0 for name in self.names])
        self.deviation = np.array(list(deviations.values()))
        self.value = np.array([one.value for one in self.measurements])
        self.uncertain = np.array([one.uncertain for one in self.measurements])
        self.floor = np.array([_BOUNDS[name][0] if name in _BOUNDS else -FAR for name in self.names])
        self.roof = np.array([_BOUNDS[name][1] if name in _BOUNDS else FAR for name in self.names])
        self._memory: dict[bytes, Floats] = {}

    def hands(self, theta: Floats) -> Guess:
        """Return the guess that parameters stand for."""
        of = dict(zip(self.names, theta.tolist(), strict=True))
        slack = of["slack"]
        slack_y = tuple(min(max(float(self.share_of(y) @ theta), -0.9), 1.0) for y in range(len(self.scene.yarns)))
        factors = ("stretch", "bending", "weight", "gauge", "row gauge")
        return Guess(slack, slack_y, *(float(np.exp(of.get(name, 0.0))) for name in factors))

    def correct(self, theta: Floats) -> None:
        """Let the responses look at the whole piece; what they said before no longer holds."""
        self.responses.correct(self.hands(theta))
        self._memory.clear()

    def data(self, theta: Floats) -> Floats:
        """Return how far measurements are from the guess, in their uncertainties."""
        key = theta.tobytes()
        if key not in self._memory:
            self._memory[key] = (np.array(self.responses.of(self.hands(theta))) - self.value) / self.uncertain
        return self._memory[key]

    def residuals(self, theta: Floats) -> Floats:
        return np.concatenate([self.data(theta), (theta - self.mean) / self.deviation])

    def jacobian(self, theta: Floats) -> Floats:
        here = self.data(theta)
        columns = []
        for k, name in enumerate(self.names):
            step = STEPS.get(name, STEP)
            if not self.floor[k] <= theta[k] + step <= self.roof[k]:
                step = -step
            moved = theta.copy()
            moved[k] += step
            columns.append((self.data(moved) - here) / step)
        return np.vstack([np.column_stack(columns), np.diag(1.0 / self.deviation)])

    def fit(self, start: Floats, held: int | None = None, precise: bool = True) -> OptimizeResult:
        """Return the best fit from ``start``, with one parameter ``held`` there if asked for."""
        free = np.array([k != held for k in range(len(start))])

        def whole(part: Floats) -> Floats:
            theta = start.copy()
            theta[free] = part
            return theta

        def residuals(part: Floats) -> Floats:
            return self.residuals(whole(part))

        def jacobian(part: Floats) -> Floats:
            return np.asarray(self.jacobian(whole(part))[:, free])

        return least_squares(
            residuals,
            np.clip(start, self.floor + 1e-9, self.roof - 1e-9)[free],
            jacobian,
            bounds=(self.floor[free], self.roof[free]),
            x_scale="jac",
            ftol=1e-6 if precise else 1e-3,
            xtol=1e-5 if precise else 1e-3,
            gtol=1e-6 if precise else 1e-3,
            max_nfev=60 if precise else 12,
        )

    def best(self, start: Floats | None = None) -> OptimizeResult:
        """Return the best of the fits from ``start`` or a tight guess and, unless that is tight for sure, a loose one.

        Between them lies slack 0, above which a width says nothing and a slope shows no way back.
        """
        k = self.names.index("slack")
        tight = self._guess() if start is None else start
        found = self.fit(tight)
        deviation = float(np.linalg.inv(found.jac.T @ found.jac)[k, k]) ** 0.5
        if found.x[k] + 4.0 * deviation < 0.0:
            return found
        loose = tight.copy()
        loose[k] = max(found.x[k] + deviation, self.mean[k])
        other = self.fit(loose)
        return other if other.cost < found.cost else found

    def _guess(self) -> Floats:
        """Return a tight guess: floats as much too short as the colourwork is narrow, and somewhat more."""
        guess = self.mean.copy()
        measured, width = self.responses.measured, self.scene.gauge.stitch_width
        if measured.plain.stitches is not None and measured.plain.width_cm is not None:
            width = measured.plain.width_cm / measured.plain.stitches / 100.0
            guess[self.names.index("gauge")] = np.clip(np.log(width / self.scene.gauge.stitch_width), -0.5, 0.5)
        slack = -0.05
        if measured.colourwork.stitches is not None and measured.colourwork.width_cm is not None:
            slack = measured.colourwork.width_cm / measured.colourwork.stitches / 100.0 / width - 1.0
        elif measured.floats:
            spans = [(one.gap + 1) * width * 100.0 for one in measured.floats]
            slack = float(np.mean([one.yarn_cm / span for one, span in zip(measured.floats, spans, strict=True)])) - 1.0
        guess[self.names.index("slack")] = np.clip(slack, -0.3, -0.01)
        return guess

    def span(self, best: OptimizeResult, inverse: Floats, name: str) -> Span:
        """Return the value of a parameter with its ends, tried by profile where it matters to the knitter."""
        k = self.names.index(name)
        value, deviation = float(best.x[k]), float(inverse[k, k]) ** 0.5
        ends = [value - DEVIATIONS * deviation, value + DEVIATIONS * deviation]
        before = 2.0 * DEVIATIONS * float(self.deviation[k])
        if name == "slack" or (name in ("stretch", "bending") and ends[1] - ends[0] <= NOT_TOLD * before):
            ends = [self._end(best, inverse, k, end) for end in ends]
        known: Known = "measured" if ends[1] - ends[0] <= NOT_TOLD * before else "not told"
        if name == "slack" and known == "measured" and self._any_looser(best, inverse, k):
            known = "at least"
        return Span(value, min(ends[0], value), max(ends[1], value), known)

    def _any_looser(self, best: OptimizeResult, inverse: Floats, k: int) -> bool:
        """Return whether the measurements alone fit as well with floats as loose as can be."""
        if best.x[k] + 4.0 * inverse[k, k] ** 0.5 < 0.0:
            return False
        loose = self.fit(self._along(best, inverse, k, LOOSE), held=k, precise=False)
        likely, loosest = (0.5 * ((at - self.mean[k]) / self.deviation[k]) ** 2 for at in (best.x[k], LOOSE))
        # what was likely of the slack before is no measurement, so it does not count
        return float((loose.cost - loosest) - (best.cost - likely)) < WORSE

    def _along(self, best: OptimizeResult, inverse: Floats, k: int, value: float) -> Floats:
        """Return the likeliest others with parameter ``k`` at ``value``, by the normal distribution."""
        theta = best.x + inverse[:, k] / inverse[k, k] * (value - best.x[k])
        theta = np.clip(theta, self.floor + 1e-9, self.roof - 1e-9)
        theta[k] = value
        return np.asarray(theta)

    def _end(self, best: OptimizeResult, inverse: Floats, k: int, end: float) -> float:
        """Return where the fit is worse by ``WORSE``, near or beyond ``end``."""

        reckoned = self.residuals(self._along(best, inverse, k, end))
        at = float(0.5 * reckoned @ reckoned - best.cost) / WORSE
        if ALIKE[0] <= at <= ALIKE[1]:  # as the normal distribution has it
            return end

        def over(value: float) -> float:
            held = self.fit(self._along(best, inverse, k, value), held=k, precise=False)
            return float(held.cost - best.cost) / WORSE - 1.0

        return _crossing(over, float(best.x[k]), end, float(self.floor[k]), float(self.roof[k]))

    def share_of(self, yarn: int) -> Floats:
        """Return how the slack of a yarn is made of the parameters: the mean and its own difference, of the first yarn
        what makes the differences cancel, so that the mean is that of these very yarns."""
        own = OF + self.scene.symbols[yarn]
        share = np.array([1.0 if name in ("slack", own) else 0.0 for name in self.names])
        if yarn == 0:
            share -= np.array([float(name.startswith(OF)) for name in self.names])
        return share

    def yarn_span(self, best: OptimizeResult, inverse: Floats, yarn: int) -> Span:
        """Return the slack of one yarn, by the normal distribution."""
        share = self.share_of(yarn)
        value, deviation = float(share @ best.x), float(np.sqrt(share @ inverse @ share))
        before = float(np.sqrt(share**2 @ self.deviation**2))
        known: Known = "measured" if deviation <= NOT_TOLD * before else "not told"
        return Span(value, value - DEVIATIONS * deviation, value + DEVIATIONS * deviation, known)

    def apart(self, inverse: Floats, one: str, other: str) -> float:
        """Return the standard deviation of the difference of two parameters."""
        a, b = self.names.index(one), self.names.index(other)
        return float(np.sqrt(inverse[a, a] + inverse[b, b] - 2.0 * inverse[a, b]))


FAR = 5.0
"""How far logarithms of factors and differences of slack may go: far beyond any fabric (chosen)."""
_BOUNDS = {"slack": (-0.40, 0.80), "gauge": (-0.7, 0.7), "row gauge": (-0.7, 0.7), "weight": (-2.0, 2.0)}
"""Bounds of the others (chosen; below the first fabrics crumple)."""


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
