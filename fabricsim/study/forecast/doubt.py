"""How well the things that matter are known: usually, and where a knitter's file says it better."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.design.scene.model import Scene

SLACK_DOUBT = 0.03
"""How well a knitter's float slack is known (chosen: a few per cent)."""
STIFFNESS_DOUBT = 2.0
"""How well stretch against bending stiffness is known: a factor (see the defaults' uncertainty, chosen)."""


@dataclass(frozen=True)
class Doubt:
    """How far slack may be off, ``tighter`` (below nought) and ``looser``, and bending stiffness, a factor."""

    tighter: float = -SLACK_DOUBT
    looser: float = SLACK_DOUBT
    bending: float = STIFFNESS_DOUBT

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """(slack shift, bending factor) of each corner."""
        return tuple(
            (shift, factor) for shift in (self.tighter, self.looser) for factor in (1.0 / self.bending, self.bending)
        )


def doubt_of(scene: Scene, *, other_slack: bool = False) -> Doubt:
    """Return how well slack and stiffness of ``scene`` are known; ``other_slack``: it is asked about one of its own.

    A slack from a knitter's file is as sure as the file says, of all yarns together. Bending against stretch is too,
    but never less sure than without the file: nothing gets worse by being measured.
    """
    usual, hands = Doubt(), scene.hands
    if hands is None:
        return usual
    slack = hands.slack
    learnt = scene.slack_is_learnt and not other_slack and slack.known != "not told"
    written = scene.fabric.model_dump(include=set(STIFFNESSES), exclude_none=True)
    return Doubt(
        slack.low - slack.value if learnt else usual.tighter,
        slack.high - slack.value if learnt else usual.looser,
        usual.bending if written else min(usual.bending, hands.bending_against_stretch),
    )


STIFFNESSES = (
    "stretch_across_N_per_m",
    "stretch_up_N_per_m",
    "shear_N_per_m",
    "bending_across_uNm",
    "bending_up_uNm",
    "twist_uNm",
)
"""Keys under [fabric] that say another stiffness than that of the knitter's file."""
