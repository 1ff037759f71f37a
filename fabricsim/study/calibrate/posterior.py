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
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import OptimizeResult, brentq, least_squares

from fabricsim.arrays import Floats
from fabricsim.design.scene.knitter import Known
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import MOST_UNEVEN
from fabricsim.design.swatch.measured import Measured
from fabricsim.study.calibrate.responses import Guess, Responses, measurements
from fabricsim.study.hands.prior import SHORT, UNEVENNESS
from fabricsim.units import MM

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
STEPS = {"stretch": -0.02, "bending": 0.02, "unevenness": 0.05, "short": 0.02}
"""Steps of some derivatives (chosen); those of stiffness of equal size and opposite ways, for fabric that lies depends
on their difference alone."""
KINK = -0.01
"""Slack from which derivatives change at once, as nothing pulls above nought (chosen: a little below)."""
NEXT_TO = 2e-3
"""Slack up to which derivatives are those of a guess nearby, of the others a tenth of their deviation (chosen: a fit
goes on as well with them, and is as good in the end, since residuals are always its own)."""
STEP = 1e-3
"""Step of the other derivatives (chosen: far above what the solver leaves, far below what hands do)."""


FACTORS = ("stretch", "bending", "weight", "gauge", "row_gauge")
"""Fields of a ``Guess`` that are factors."""
SECOND = "second swatch: "
"""Begins the key of what was measured on a second swatch."""
LEAST_UNEVEN = 0.002
"""No hand is evener (chosen: 0.1 mm in a float of 5 cm)."""
OF = "slack of "
"""Begins the name of how far a yarn's slack lies from the mean; its symbol follows."""


@dataclass(frozen=True)
class Prior:
    """What is likely before anything is measured: mean and standard deviation of the slack, of ``unevenness`` (known to
    a factor) and of what floats fall ``short`` (m); deviations of the rest.

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
    unevenness: float = UNEVENNESS
    unevenness_doubt: float = 2.0
    """Chosen: nobody has measured what is usual."""
    short: float = SHORT
    short_doubt: float = 0.3 * MM
    """Chosen: hardly more than a millimetre."""


@dataclass(frozen=True)
class Span:
    """A parameter's likeliest value, its ends, and how it is known."""

    value: float
    low: float
    high: float
    known: Known


class Misfit:
    """The residuals, and what is known of their parameters; factors are taken as logarithms."""

    def __init__(
        self, scene: Scene, measured: Measured, responses: Responses, prior: Prior, second: Responses | None = None
    ) -> None:
        self.scene, self.responses, self.second, self.prior = scene, responses, second, prior
        doubt = float(np.log(prior.unevenness_doubt))
        self.measurements = measurements(measured, scene, doubt, responses.luck)
        if second is not None:
            others = measurements(second.measured, second.scene, doubt, second.luck)
            self.measurements += tuple(replace(one, key=SECOND + one.key) for one in others)
        deviations = {"slack": prior.slack_doubt}
        if scene.floats.unevenness is None:
            deviations["unevenness"] = doubt
        if scene.floats.short_mm is None:
            deviations["short"] = prior.short_doubt / MM
        if len(scene.yarns) > 1 and any(one.yarn is not None for one in measured.floats):
            deviations |= {OF + symbol: prior.yarns for symbol in scene.symbols[1:]}
        deviations |= {"stretch": float(np.log(prior.stiffness)), "bending": float(np.log(prior.stiffness))}
        if measured.weighed.grams is not None:
            deviations["weight"] = prior.weight
        deviations["gauge"] = prior.gauge
        if measured.plain.rows is not None or measured.colourwork.rows is not None:
            deviations["row gauge"] = prior.gauge
        if second is not None:
            deviations["second gauge"] = prior.gauge
            if second.measured.plain.rows is not None or second.measured.colourwork.rows is not None:
                deviations["second row gauge"] = prior.gauge
        self.names = tuple(deviations)
        likely = {"slack": prior.slack, "short": prior.short / MM}
        self.mean = np.array([likely.get(name, 0.0) for name in self.names])
        self.deviation = np.array(list(deviations.values()))
        bounds = _BOUNDS | {
            "unevenness": (
                float(np.log(LEAST_UNEVEN / prior.unevenness)),
                float(np.log(MOST_UNEVEN / prior.unevenness)),
            ),
            "short": (0.0, scene.gauge.stitch_width / MM),
        }
        self.floor = np.array([bounds[name][0] if name in bounds else -FAR for name in self.names])
        self.roof = np.array([bounds[name][1] if name in bounds else FAR for name in self.names])
        self._memory: dict[bytes, Floats] = {}
        self._jacobians: list[tuple[Floats, Floats]] = []

    def hands(self, theta: Floats) -> Guess:
        """Return the guess that parameters stand for."""
        slack_y = tuple(min(max(float(self.share_of(y) @ theta), -0.9), 1.0) for y in range(len(self.scene.yarns)))
        return self._guess_at(theta, slack_y, ("stretch", "bending", "weight", "gauge", "row gauge"))

    def second_hands(self, theta: Floats) -> Guess:
        """Return the same of the second swatch: the same hands at a gauge of its own, all its yarns alike."""
        assert self.second is not None
        slack = min(max(float(theta[self.names.index("slack")]), -0.9), 1.0)
        names = ("stretch", "bending", "weight", "second gauge", "second row gauge")
        return self._guess_at(theta, (slack,) * len(self.second.scene.yarns), names)

    def _guess_at(self, theta: Floats, slack_y: tuple[float, ...], factors: tuple[str, ...]) -> Guess:
        of = dict(zip(self.names, theta.tolist(), strict=True))
        uneven, short = of.get("unevenness"), of.get("short")
        return Guess(
            of["slack"],
            slack_y,
            **{key: float(np.exp(of.get(name, 0.0))) for key, name in zip(FACTORS, factors, strict=True)},
            unevenness=None if uneven is None else self.prior.unevenness * float(np.exp(uneven)),
            short=None if short is None else short * MM,
        )

    def correct(self, theta: Floats) -> bool:
        """Let the responses look at the whole piece, if any was measured as it lies; what they said before then no
        longer holds, and that is returned."""
        looked = False
        for one, guess_of in ((self.responses, self.hands), (self.second, self.second_hands)):
            if one is not None and one.case != "repeat" and one.measured.lies:
                one.correct(guess_of(theta))
                looked = True
        if looked:
            self._memory.clear()
            self._jacobians.clear()
        return looked

    @property
    def solves(self) -> int:
        """How many fabrics it took."""
        return self.responses.solves + (0 if self.second is None else self.second.solves)

    def data(self, theta: Floats) -> Floats:
        """Return how far measurements are from the guess, in their uncertainties."""
        key = theta.tobytes()
        if key not in self._memory:
            fits = zip(self.measurements, self.fitted(theta), strict=True)
            self._memory[key] = np.array([one.residual(expected) for one, expected in fits])
        return self._memory[key]

    def fitted(self, theta: Floats) -> tuple[float, ...]:
        """Return what such hands would measure."""
        found = self.responses.of(self.hands(theta))
        return found if self.second is None else found + self.second.of(self.second_hands(theta))

    def residuals(self, theta: Floats) -> Floats:
        return np.concatenate([self.data(theta), (theta - self.mean) / self.deviation])

    def jacobian(self, theta: Floats) -> Floats:
        """Return the derivatives of the residuals; those of a guess that is next to an earlier one are its."""
        near = 0.1 * self.deviation
        near[self.names.index("slack")] = NEXT_TO
        slack = self.names.index("slack")
        for there, known in self._jacobians:
            if (np.abs(there - theta) <= near).all() and max(there[slack], theta[slack]) < KINK:
                return known
        self._jacobians.append((theta.copy(), self._derivatives(theta)))
        return self._jacobians[-1][1]

    def _derivatives(self, theta: Floats) -> Floats:
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
            max_nfev=60 if precise else 8,
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
            slack = float(np.mean([one.mean_cm / span for one, span in zip(measured.floats, spans, strict=True)])) - 1.0
        guess[self.names.index("slack")] = np.clip(slack, -0.3, -0.01)
        return guess

    def span(self, best: OptimizeResult, inverse: Floats, name: str) -> Span:
        """Return the value of a parameter with its ends, tried by profile where it matters to the knitter."""
        k = self.names.index(name)
        value, deviation = float(best.x[k]), float(inverse[k, k]) ** 0.5
        ends = [value - DEVIATIONS * deviation, value + DEVIATIONS * deviation]
        if name in ("unevenness", "short"):
            ends = np.clip(ends, self.floor[k], self.roof[k]).tolist()
        before = 2.0 * DEVIATIONS * float(self.deviation[k])
        if name == "slack" or (name in TRIED and ends[1] - ends[0] <= NOT_TOLD * before):
            ends = [self._end(best, inverse, k, end) for end in ends]
        known: Known = "measured" if ends[1] - ends[0] <= NOT_TOLD * before else "not told"
        if name == "slack" and known == "measured" and self._any_looser(best, inverse, k):
            known = "at least"
        return Span(value, min(ends[0], value), max(ends[1], value), known)

    def _any_looser(self, best: OptimizeResult, inverse: Floats, k: int) -> bool:
        """Return whether the measurements alone fit as well with floats as loose as can be."""
        if best.x[k] + 4.0 * inverse[k, k] ** 0.5 < 0.0:
            return False
        start = best.x.copy()  # all else as it is: along what goes with slack, unevenness would be beyond any hand's
        start[k] = LOOSE
        loose = self.fit(start, held=k, precise=False)
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

    def goes_with(self, inverse: Floats, names: tuple[str, ...]) -> Floats:
        """Return by how much slack is likely more for each of those ``names`` that is more by one, the others as they
        are: regression in the normal distribution (textbook). Nought for what is no parameter."""
        found = np.zeros(len(names))
        at = [self.names.index(name) for name in names if name in self.names]
        slack = self.names.index("slack")
        if at:
            found[[name in self.names for name in names]] = np.linalg.solve(inverse[np.ix_(at, at)], inverse[at, slack])
        return found

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
