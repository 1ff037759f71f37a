"""How far what hands and fabric would measure is from what was measured, and the guess that fits best."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.optimize import OptimizeResult, least_squares

from fabricsim.arrays import Floats
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import MOST_UNEVEN
from fabricsim.design.swatch.measured import Measured
from fabricsim.study.calibrate.measurements import measurements
from fabricsim.study.calibrate.prior import Prior
from fabricsim.study.calibrate.responses import Guess, Responses
from fabricsim.units import MM

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
FAR = 5.0
"""How far logarithms of factors and differences of slack may go: far beyond any fabric (chosen)."""
_BOUNDS = {"slack": (-0.40, 0.80), "gauge": (-0.7, 0.7), "row gauge": (-0.7, 0.7), "weight": (-2.0, 2.0)}
"""Bounds of the others (chosen; below the first fabrics crumple)."""


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

    def share_of(self, yarn: int) -> Floats:
        """Return how the slack of a yarn is made of the parameters: the mean and its own difference, of the first yarn
        what makes the differences cancel, so that the mean is that of these very yarns."""
        own = OF + self.scene.symbols[yarn]
        share = np.array([1.0 if name in ("slack", own) else 0.0 for name in self.names])
        if yarn == 0:
            share -= np.array([float(name.startswith(OF)) for name in self.names])
        return share
