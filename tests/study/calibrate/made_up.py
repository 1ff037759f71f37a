"""Measurements and responses made up for fits: by a formula, in place of fabrics at rest."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from scipy.optimize import OptimizeResult

from fabricsim.arrays import Floats
from fabricsim.design.scene.model import Scene
from fabricsim.design.swatch.measured import Measured
from fabricsim.study.calibrate.misfit import Misfit
from fabricsim.study.calibrate.prior import Prior
from fabricsim.study.calibrate.responses import Guess, Responses
from tests.recovery.trials import CHART
from tests.support.scenes import scene_of

JUST_SO = scene_of(CHART, floats={"unevenness": 0.0, "short_mm": 0.0})
"""Neither unevenness nor what floats fall short is sought of it."""
Said = Callable[[Guess], tuple[float, ...]]


class MadeUp(Responses):
    """Answers by a formula in place of fabrics at rest."""

    def __init__(self, measured: Measured, said: Said, scene: Scene | None = None) -> None:
        super().__init__(scene or JUST_SO, "repeat", measured)
        self.said = said
        self.looked: list[Guess] = []

    def of(self, hands: Guess) -> tuple[float, ...]:
        return self.said(hands)

    def correct(self, hands: Guess) -> None:
        self.looked.append(hands)


def widths(*value_and_uncertain: tuple[float, float]) -> Measured:
    """Floats stand for any measurement: each a value and how far it may be off."""
    floats = [{"gap": 5, "yarn_cm": value, "uncertain_cm": off} for value, off in value_and_uncertain]
    return Measured.model_validate({"floats": floats})


def misfit(measured: Measured, said: Said, prior: Prior | None = None) -> Misfit:
    responses = MadeUp(measured, said)
    return Misfit(responses.scene, measured, responses, prior or Prior())


def inverse_of(best: OptimizeResult) -> Floats:
    return np.linalg.inv(best.jac.T @ best.jac)


def in_yarns(**more: Any) -> Measured:
    """One float of each yarn; more beside."""
    return Measured.model_validate({"floats": [{"gap": 5, "yarn_cm": 2.0, "yarn": y} for y in (".", "#")], **more})
