"""How tight floats must be carried before an endless fabric puckers, as every table of fabrics tells it."""

from __future__ import annotations

from fabricsim.design.scene.model import Scene
from fabricsim.fabric.setup import Fabric
from fabricsim.study.forecast.waves import onset
from fabricsim.study.hands.hand import steady
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import carrying

TIGHTEST_CARRIED = -0.15
"""Slack down to which it is looked where a fabric begins to pucker (chosen: tighter than hands carry floats)."""


def puckers_from(scene: Scene, fabric: Fabric) -> float | None:
    """Return the slack of the tightest float, per cent, at which a ``scene`` begins to pucker whose endless ``fabric``
    this is, every float carried alike; None if it doesn't as far as ``TIGHTEST_CARRIED``, or finds no rest before."""
    hands = carrying(scene, "repeat", even=True)
    begins = onset(in_hand(fabric, steady(fabric), hands), down_to=TIGHTEST_CARRIED)
    return None if begins is None else 100.0 * begins.slack
