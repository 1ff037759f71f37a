"""What slack to aim at: what is needed, where floats may hang so; else what may, and how much wider to knit."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import BAGGY
from fabricsim.study.forecast.loosening import HowLoose
from fabricsim.study.hands.prior import SLACK_DOUBT

LOOSEST_AIM = BAGGY - SLACK_DOUBT
"""Slack to aim at where no slack will do: as loose as hands that are a little looser than they think still keep out of
the loops that snag (derived)."""


@dataclass(frozen=True)
class Aim:
    """The ``slack`` to aim at; the share ``wider`` that it must be knitted for that to do, 0 if it does as it is."""

    slack: float
    wider: float = 0.0


def aim_of(found: HowLoose) -> Aim:
    """Return what to aim at: never slack at which floats snag.

    While nothing pulls, a float's way grows with the fabric, so what slack lacks is made good in proportion by width
    (derived).
    """
    if found.aim <= BAGGY:
        return Aim(found.aim)
    if found.for_width.high > found.for_stretch:
        return Aim(LOOSEST_AIM)
    return Aim(LOOSEST_AIM, (1.0 + found.for_stretch) / (1.0 + LOOSEST_AIM - SLACK_DOUBT) - 1.0)


def stitches_for(scene: Scene, aim: Aim) -> tuple[int, int]:
    """Return the stitches of the piece as it is, and of whole repeats that make it so much wider."""
    now = len(scene.piece_rows()[0])
    repeats = ceil(scene.chart.across * (1.0 + aim.wider) - 1e-9)
    return now, repeats * scene.stitches_per_repeat
