"""What is known of the hands that knit, and of the fabric they make."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot, log, sqrt

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.knitter import LearntShare
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
OWN = 0.1
"""Share of the deviation of a slack that is its own at the least (chosen: numbers in a file are rounded)."""
APART = (0.0, 0.0)
"""Nothing is known of slack from the others."""


@dataclass(frozen=True)
class Hands:
    """What is known of hands. Standard deviations, as fractions: of ``slack``, of all floats alike, of a row's and of a
    float's own; of the ``gauge`` (width of a stitch); and up to which ``factor`` the stiffness against stretch and
    against bending is known (``bending_factor``: the latter, where better). ``unevenness_log``: of the logarithm of
    ``rows`` and ``floats`` together; ``short`` (m): by how much every float falls short, and its ``short_spread``.
    ``goes_with``: by how much slack is more where unevenness is e times as much, and where floats fall short by a metre
    more; ``slack`` is what it differs by beside that. (A swatch of such a width is one of tight floats or of looser
    ones that fall shorter: it tells more of them together than of each.)"""

    slack: float = SLACK_DOUBT * EVEN
    rows: float = ROWS_SHARE * UNEVENNESS
    floats: float = UNEVENNESS
    gauge: float = 0.0
    factor: float = STIFFNESS_DOUBT
    unevenness_log: float = 0.0
    short: float = 0.0
    short_spread: float = 0.0
    bending_factor: float | None = None
    goes_with: tuple[float, float] = APART

    @property
    def all_slack(self) -> float:
        """Standard deviation of the slack of all floats, with what goes with the others."""
        with_unevenness, with_short = self.goes_with
        return hypot(self.slack, with_unevenness * self.unevenness_log, with_short * self.short_spread)

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
        return replace(self, rows=0.0, floats=0.0, unevenness_log=0.0, goes_with=(0.0, self.goes_with[1]))


OWNERS = {
    "slack": "chosen",
    "rows": "chosen: half of that from float to float",
    "floats": "chosen: 1 mm in a float of 3.3 cm",
    "unevenness_log": "chosen",
    "short": "chosen: so that motifs of one hand differ as knitters report",
    "gauge": "as the scene says",
    "factor": "chosen",
    "bending_factor": "chosen",
    "goes_with": "derived: nothing is known of one from the other",
}
"""Whose figures the defaults are, by the fields of ``Hands``."""


def hands_of(scene: Scene, *, other_slack: bool = False) -> Hands:
    """Return what is known of the hands that knit ``scene``; ``other_slack``: it is asked about a slack of its own.

    A slack that is written is what the knitter aims at; one from a knitter's file is as sure as the file says; one that
    nobody wrote is anybody's. Unevenness and what floats fall short: likewise, but what is written is sure. Stiffness
    is as sure as the file says, but never less sure than without it: nothing gets worse by being measured.
    """
    learnt = scene.hands
    uneven, uneven_log = _unevenness(scene)
    short, short_spread = _short(scene)
    bending = STIFFNESS_DOUBT
    if learnt is not None and not scene.fabric.model_dump(include=set(STIFFNESSES), exclude_none=True):
        bending = min(STIFFNESS_DOUBT, learnt.bending_against_stretch)
    return Hands(
        slack=_slack_spread(scene, other_slack=other_slack),
        rows=ROWS_SHARE * uneven,
        floats=uneven,
        unevenness_log=uneven_log,
        short=short,
        short_spread=short_spread,
        bending_factor=None if bending == STIFFNESS_DOUBT else bending,
        goes_with=_goes_with(scene, other_slack=other_slack),
    )


def carrying(scene: Scene, case: Case, *, other_slack: bool = False, even: bool = False) -> Hands:
    """Return what is known of the hands that knit ``scene`` as it is seen in a load ``case``.

    Every float is carried alike where that is asked for, and in an endless ``repeat``: there an uneven one would come
    back in every repeat, which no hand does.
    """
    hands = hands_of(scene, other_slack=other_slack)
    return hands.even() if even or case == "repeat" else hands


def _unevenness(scene: Scene) -> tuple[float, float]:
    """Return the unevenness from float to float, and the standard deviation of its logarithm."""
    if scene.floats.unevenness is not None:
        return scene.floats.unevenness, 0.0
    learnt = scene.hands.unevenness if scene.hands is not None else None
    if learnt is None or learnt.known == "not told":
        return UNEVENNESS, log(UNEVENNESS_FACTOR) * EVEN
    return learnt.value, _log_spread(learnt)


def _short(scene: Scene) -> tuple[float, float]:
    """Return by how much floats fall short, and its standard deviation, m."""
    if scene.floats.short_mm is not None:
        return scene.floats.short_mm * MM, 0.0
    learnt = scene.hands.short_mm if scene.hands is not None else None
    if learnt is None or learnt.known == "not told":
        return SHORT, SHORT_DOUBT * EVEN
    return learnt.value * MM, 0.5 * (learnt.high - learnt.low) * MM / MEASURED


def _goes_with(scene: Scene, *, other_slack: bool) -> tuple[float, float]:
    """Return how the slack of the knitter's file goes with unevenness and with what floats fall short (per m); a slack
    of another source goes with neither."""
    learnt = scene.hands
    if other_slack or scene.slack_is_written or learnt is None or not scene.slack_is_learnt:
        return APART
    if learnt.slack_goes is None or learnt.slack.known != "measured":
        return APART
    return learnt.slack_goes.with_unevenness, learnt.slack_goes.with_short_mm / MM


def _slack_spread(scene: Scene, *, other_slack: bool) -> float:
    learnt = scene.hands
    if other_slack or scene.slack_is_written:
        return SLACK_DOUBT * EVEN
    if learnt is None or not scene.slack_is_learnt or learnt.slack.known == "not told":
        return UNKNOWN_SLACK * EVEN
    whole = 0.5 * (learnt.slack.high - learnt.slack.low) / MEASURED
    with_unevenness, with_short = _goes_with(scene, other_slack=other_slack)
    left = whole**2
    if learnt.unevenness is not None and learnt.short_mm is not None:
        left -= (with_unevenness * _log_spread(learnt.unevenness)) ** 2
        left -= (with_short * 0.5 * (learnt.short_mm.high - learnt.short_mm.low) * MM / MEASURED) ** 2
    return sqrt(max(left, (OWN * whole) ** 2))


def _log_spread(learnt: LearntShare) -> float:
    """Return the standard deviation of the logarithm of an unevenness that was learnt."""
    return 0.5 * log(learnt.high / learnt.low) / MEASURED


STIFFNESSES = (
    "stretch_across_N_per_m",
    "stretch_up_N_per_m",
    "shear_N_per_m",
    "bending_across_uNm",
    "bending_up_uNm",
    "twist_uNm",
)
"""Keys under [fabric] that say another stiffness than that of the knitter's file."""
