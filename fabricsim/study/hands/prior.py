"""What is known of the hands that knit, and of the fabric they make."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log, sqrt

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.units import MM

EVEN = 1.0 / sqrt(3.0)
"""Standard deviation of what is known to lie within 1 either way and no better (derived: that of an even spread)."""
SLACK_DOUBT = 0.03
"""How well a knitter keeps to the slack that was written: within this either way (chosen: a few per cent)."""
UNKNOWN_SLACK = 0.10
"""Slack of hands that nobody has measured: within this either way of none (chosen: with the rest it makes a usual hat
band draw in by 0 to 13 %, as is reported of hand-knits)."""
STIFFNESS_DOUBT = 2.0
"""How well stretch and bending stiffness are known: a factor (see the defaults' uncertainty, chosen)."""
UNEVENNESS = 0.03
"""Standard deviation of slack from float to float (chosen: 1 mm in a float of 3.3 cm)."""
ROWS_SHARE = 0.5
"""Unevenness from row to row over that from float to float (chosen)."""
UNEVENNESS_FACTOR = 1.6
"""How well unevenness is known where nobody measured it: within this factor (chosen)."""
SHORT, SHORT_DOUBT = 0.45 * MM, 0.25 * MM
"""By how much a float falls short beside its slack, within what either way (chosen: motifs of one hand then draw in by
8 to 11 %, the fastest changing the most, as knitters report)."""
MEASURED = 1.96
"""Standard deviations either way that hold 95 in 100, as a knitter's file tells (derived)."""


@dataclass(frozen=True)
class Hands:
    """What is known of hands. Standard deviations, as fractions: of ``slack``, of all floats alike, of a row's and of a
    float's own; of the ``gauge`` (width of a stitch); and up to which ``factor`` the stiffness against stretch and
    against bending is known (``bending_factor``: the latter, where better). ``unevenness_log``: of the logarithm of
    ``rows`` and ``floats`` together; ``short`` (m): by how much every float falls short, and its ``short_spread``."""

    slack: float = SLACK_DOUBT * EVEN
    rows: float = ROWS_SHARE * UNEVENNESS
    floats: float = UNEVENNESS
    gauge: float = 0.0
    factor: float = STIFFNESS_DOUBT
    unevenness_log: float = 0.0
    short: float = 0.0
    short_spread: float = 0.0
    bending_factor: float | None = None

    @property
    def stretch(self) -> float:
        """Standard deviation of the logarithm of the stiffness against stretch."""
        return log(self.factor) * EVEN

    @property
    def bending(self) -> float:
        """Standard deviation of the logarithm of the stiffness against bending."""
        return log(self.factor if self.bending_factor is None else self.bending_factor) * EVEN

    def of(self, name: str) -> float:
        """Return the spread of one of the inputs of a ``Hand``."""
        return float(getattr(self, {"unevenness": "unevenness_log", "short": "short_spread"}.get(name, name)))

    def even(self) -> Hands:
        """Return hands that carry every float alike."""
        return replace(self, rows=0.0, floats=0.0, unevenness_log=0.0)


OWNERS = {
    "slack": "chosen",
    "rows": "chosen: half of that from float to float",
    "floats": "chosen: 1 mm in a float of 3.3 cm",
    "unevenness_log": "chosen",
    "short": "chosen: so that motifs of one hand differ as knitters report",
    "gauge": "as the scene says",
    "factor": "chosen",
    "bending_factor": "chosen",
}
"""Whose figures the defaults are, by the fields of ``Hands``."""


def hands_of(scene: Scene, *, other_slack: bool = False) -> Hands:
    """Return what is known of the hands that knit ``scene``; ``other_slack``: it is asked about a slack of its own.

    A slack that is written is what the knitter aims at; one from a knitter's file is as sure as the file says; one that
    nobody wrote is anybody's. Stiffness is as sure as the file says, but never less sure than without it: nothing gets
    worse by being measured.
    """
    rules, learnt = scene.floats, scene.hands
    uneven = UNEVENNESS if rules.unevenness is None else rules.unevenness
    bending = STIFFNESS_DOUBT
    if learnt is not None and not scene.fabric.model_dump(include=set(STIFFNESSES), exclude_none=True):
        bending = min(STIFFNESS_DOUBT, learnt.bending_against_stretch)
    return Hands(
        slack=_slack_spread(scene, other_slack=other_slack),
        rows=ROWS_SHARE * uneven,
        floats=uneven,
        unevenness_log=log(UNEVENNESS_FACTOR) * EVEN if rules.unevenness is None else 0.0,
        short=SHORT if rules.short_mm is None else rules.short_mm * MM,
        short_spread=SHORT_DOUBT * EVEN if rules.short_mm is None else 0.0,
        bending_factor=None if bending == STIFFNESS_DOUBT else bending,
    )


def carrying(scene: Scene, case: Case, *, other_slack: bool = False, even: bool = False) -> Hands:
    """Return what is known of the hands that knit ``scene`` as it is seen in a load ``case``.

    Every float is carried alike where that is asked for, and in an endless ``repeat``: there an uneven one would come
    back in every repeat, which no hand does.
    """
    hands = hands_of(scene, other_slack=other_slack)
    return hands.even() if even or case == "repeat" else hands


def _slack_spread(scene: Scene, *, other_slack: bool) -> float:
    learnt = scene.hands
    if other_slack or scene.slack_is_written:
        return SLACK_DOUBT * EVEN
    if learnt is not None and scene.slack_is_learnt and learnt.slack.known != "not told":
        return 0.5 * (learnt.slack.high - learnt.slack.low) / MEASURED
    return UNKNOWN_SLACK * EVEN


STIFFNESSES = (
    "stretch_across_N_per_m",
    "stretch_up_N_per_m",
    "shear_N_per_m",
    "bending_across_uNm",
    "bending_up_uNm",
    "twist_uNm",
)
"""Keys under [fabric] that say another stiffness than that of the knitter's file."""
