"""A knitter's slack and a fabric's stiffness from what was measured on a swatch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntLength, LearntShare, LearntSlack, SlackGoes
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import MOST_UNEVEN
from fabricsim.design.swatch.measured import Measured
from fabricsim.fabric.relax import Progress
from fabricsim.study.calibrate.measurements import Measurement
from fabricsim.study.calibrate.misfit import FAR, Misfit
from fabricsim.study.calibrate.posterior import DEVIATIONS, Posterior, Span
from fabricsim.study.calibrate.prior import Prior
from fabricsim.study.calibrate.responses import Responses
from fabricsim.study.hands.prior import STIFFNESSES
from fabricsim.units import CM

IMPOSSIBLE = 6.0
"""Uncertainties off from which a measurement fits no hands (chosen: once in 500 million by chance)."""


@dataclass(frozen=True)
class Fitted:
    """One measurement and what the best fit makes of it, in the same unit."""

    measurement: Measurement
    fitted: float

    @property
    def off(self) -> float:
        """By how many of its uncertainties it was measured above what fits."""
        return -self.measurement.residual(self.fitted)


@dataclass(frozen=True)
class Calibration:
    """What was learnt, every measurement beside its fit, how many fabrics it took, and [fabric] keys left out.

    ``wider``: the colourwork was measured wider than plain knitting, if only by what may be an error. ``second``: the
    title of the second swatch that was measured, if one was.
    """

    knitter: Knitter
    fitted: tuple[Fitted, ...]
    case: Case
    solves: int
    left_out: tuple[str, ...]
    prior: Prior
    wider: bool = False
    second: str | None = None

    @property
    def impossible(self) -> Fitted | None:
        """The worst of what no hands could have knitted beside the rest; None if some could."""
        worst = max(self.fitted, key=lambda one: abs(one.off), default=None)
        return worst if worst is not None and abs(worst.off) > IMPOSSIBLE else None


def calibrate(
    scene: Scene,
    measured: Measured,
    case: Case | None = None,
    *,
    second: tuple[Scene, Measured] | None = None,
    prior: Prior | None = None,
    progress: Progress | None = None,
) -> Calibration:
    """Return what ``measured`` on a swatch of ``scene`` tells, lying as in a load ``case`` (by default its own), and
    with it a ``second`` swatch by the same hands of another scene, lying as in its own case.

    A knitter's file of the scene and stiffnesses or a mass under [fabric] are left out: they are what is sought.
    Raises InputError for what can't be built and NoEquilibriumError where a fabric finds no rest.
    """
    prior = prior or Prior()
    bare, left_out = _bare(scene)
    case = case or scene.case
    other = None
    if second is not None:
        other = Responses(_bare(second[0])[0], second[0].case, second[1], progress)
    problem = Misfit(bare, measured, Responses(bare, case, measured, progress), prior, other)
    best = problem.best()
    if problem.correct(best.x):
        best = problem.best(best.x)
    posterior = Posterior.of(problem, best)
    spans = {name: posterior.span(name) for name in problem.names}
    slack = spans["slack"]
    named = {one.yarn for one in measured.floats}
    with_unevenness, with_short = posterior.goes_with(("unevenness", "short")).tolist()
    knitter = Knitter(
        swatch=scene.title,
        slack=_slack(slack),
        unevenness=_share(spans["unevenness"], prior.unevenness) if "unevenness" in spans else None,
        short_mm=_length(spans["short"]) if "short" in spans else None,
        slack_goes=SlackGoes(with_unevenness=_rounded(with_unevenness), with_short_mm=_rounded(with_short)),
        slack_by_yarn={
            yarn.name: _slack(posterior.yarn_span(number))
            for number, yarn in enumerate(scene.yarns)
            if yarn.symbol in named and len(scene.yarns) > 1
        },
        stretch=_factor(spans["stretch"]),
        bending=_factor(spans["bending"]),
        bending_against_stretch=float(np.exp(min(DEVIATIONS * posterior.apart("bending", "stretch"), FAR))),
        weight=_factor(spans.get("weight", Span(0.0, 0.0, 0.0, "not told"))),
    )
    fits = zip(problem.measurements, problem.fitted(best.x), strict=True)
    return Calibration(
        knitter,
        tuple(Fitted(one, value) for one, value in fits),
        case,
        problem.solves,
        left_out,
        prior,
        any(wider_than_plain(*one) for one in ((scene, measured), *([second] if second is not None else []))),
        second=None if second is None else second[0].title,
    )


def wider_than_plain(scene: Scene, measured: Measured) -> bool:
    """Return whether colourwork was measured wider than the plain part, or without one than the scene's gauge."""
    plain, colourwork = measured.plain, measured.colourwork
    if colourwork.width_cm is None or colourwork.stitches is None:
        return False
    width = scene.gauge.stitch_width / CM
    if plain.width_cm is not None and plain.stitches is not None:
        width = plain.width_cm / plain.stitches
    return colourwork.width_cm > colourwork.stitches * width


def _slack(span: Span) -> LearntSlack:
    value, low, high = map(_rounded, (span.value, max(span.low, -0.99), min(span.high, 1.0)))
    return LearntSlack(value=value, low=low, high=high, known=span.known)


def _share(span: Span, usual: float) -> LearntShare:
    value, low, high = (_rounded(usual * float(np.exp(one))) for one in (span.value, span.low, span.high))
    return LearntShare(value=value, low=low, high=min(high, MOST_UNEVEN), known=span.known)


def _length(span: Span) -> LearntLength:
    value, low, high = map(_rounded, (span.value, max(span.low, 0.0), span.high))
    return LearntLength(value=value, low=low, high=high, known=span.known)


def _factor(span: Span) -> LearntFactor:
    value, low, high = (_rounded(np.exp(np.clip(one, -FAR, FAR))) for one in (span.value, span.low, span.high))
    return LearntFactor(value=value, low=low, high=high, known=span.known)


def _rounded(number: float) -> float:
    """Return ``number`` with the digits that a person may read in a knitter's file: hundreds of times as fine as it is
    known."""
    return float(f"{number:.5g}")


def _bare(scene: Scene) -> tuple[Scene, tuple[str, ...]]:
    """Return ``scene`` without what is sought, and the keys under [fabric] that went."""
    sought = (*STIFFNESSES, "areal_mass_g_per_m2")
    left_out = tuple(key for key in sought if getattr(scene.fabric, key) is not None)
    fabric = scene.fabric.model_copy(update=dict.fromkeys(left_out))
    return scene.without_knitter().model_copy(update={"fabric": fabric}), left_out
