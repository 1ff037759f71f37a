"""How slack floats must be: the least slack at which fabric keeps its width, and that which lets it stretch."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import widths
from fabricsim.fabric.relax import Progress
from fabricsim.fabric.setup import Fabric
from fabricsim.fabric.whole import set_up_seen
from fabricsim.study.forecast.forecast import SEED, Band, Counted, KnitPiece, Labour, forecast_of, likely
from fabricsim.study.forecast.waves import settled
from fabricsim.study.hands.hand import typical
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import SLACK_DOUBT, Hands, carrying

MOST_LOST = 0.01
"""Share of the width that may be lost (chosen: a third of what the width of a band is known to)."""
EXACT = 1e-3
"""How exactly the slack is found (chosen: a tenth of a per cent, far finer than hands work)."""
TIGHTEST, LOOSEST = -0.40, 1.0
"""Slacks between which it is looked for (chosen: beyond the first fabrics crumple; beyond the second none is)."""
FIRST_STEP = 0.04
"""First step down from slack 0 in search of a tighter fabric (chosen); each further one is twice as long."""

Stage = Callable[[str], Progress | None]
"""Asked, as each solve begins, what to tell its steps to: given its name."""


@dataclass(frozen=True)
class Trial:
    """One fabric brought to rest: the ``slack`` of all its floats and the share of its width ``lost``."""

    slack: float
    lost: float


@dataclass(frozen=True)
class HowLoose:
    """The least slack of all floats that will do.

    ``for_width``: at which no more than ``most_lost`` of the width is lost, by the middle of hands as they are known
    and by nine in ten of them. ``for_stretch``: at which it stretches by the share ``stretch`` before the first
    float is taut. ``any_will_do``: even the tightest that was tried loses no more. ``trials``: the fabrics of the
    nominal stiffness, from loose to tight. ``rest``: the fabric at about ``for_width.nominal``.
    """

    most_lost: float
    stretch: float
    for_width: Band
    for_stretch: float
    any_will_do: bool
    trials: tuple[Trial, ...]
    rest: Equilibrium

    @property
    def slack(self) -> float:
        """The least that does for both."""
        return max(self.for_width.high, self.for_stretch)

    @property
    def aim(self) -> float:
        """What to aim at, since hands are known to a few per cent only: that much more."""
        return self.slack + SLACK_DOUBT


@dataclass
class _Search:
    """The piece that a forecast shows at one slack after the other, each let in from the nearest one that is looser;
    ``fabric`` has slack 0."""

    fabric: Fabric
    hands: Hands
    most_lost: float
    stage: Stage | None
    rests: dict[float, Equilibrium] = field(default_factory=dict)

    def too_much(self, slack: float) -> float:
        """Return by how much more than allowed the width shrinks at this slack of every float."""
        if slack not in self.rests:
            looser = [known for known in self.rests if known > slack]
            start = self.rests[min(looser)] if looser else None
            told = self.stage(f"slack {100.0 * slack:+.2f} %") if self.stage is not None else None
            self.rests[slack] = settled(self.knitted(slack), start, told)
        return widths(self.rests[slack]).overall - self.most_lost

    def knitted(self, slack: float) -> Fabric:
        """Return the piece as a usual hand knits it at this slack, or evenly where no hands are uneven."""
        return in_hand(self.fabric, typical(self.fabric, SEED), self.hands, slack)

    def least(self, loose: float, step: float) -> float | None:
        """Return the slack at which the loss is just what is allowed; None if it is less at any."""
        while self.too_much(loose) > 0.0:
            if loose >= LOOSEST:
                raise NoEquilibriumError(f"even at slack {LOOSEST:g} more than that is lost")
            loose = min(loose + step, LOOSEST)
        tight = loose
        while self.too_much(tight) <= 0.0:
            if tight <= TIGHTEST:
                return None
            loose, tight, step = tight, max(tight - step, TIGHTEST), 2.0 * step
        from scipy.optimize import brentq  # here: most commands need none of what it takes to load

        return float(brentq(self.too_much, tight, loose, xtol=EXACT))


def how_loose(
    scene: Scene,
    case: Case | None = None,
    *,
    most_lost: float = MOST_LOST,
    stretch: float = 0.0,
    inside_out: bool | None = None,
    even: bool = False,
    whole: bool = False,
    processes: int = 1,
    stage: Stage | None = None,
    counted: Counted | None = None,
) -> HowLoose:
    """Return how slack all floats of ``scene``, or of all of its piece (``whole``), must be so that it loses no more
    than ``most_lost`` of its width and stretches by ``stretch`` with ease.

    Found by bracketing (Brent's rule) on the piece that a forecast shows, each started from the nearest looser one; at
    the slack so found a forecast tells by how much more or less hands like the knitter's need. ``even``, ``processes``
    and ``counted`` are those of ``forecast``. The stretch is geometry: while nothing pulls, a float's way grows with
    the fabric. Edges that curl are taken pinned, as no slack keeps them down. Raises InputError for a scene without
    floats, NoEquilibriumError where none is found.
    """
    fabric = set_up_seen(_pinned(scene), case, slack=0.0, inside_out=inside_out, whole=whole)
    if len(fabric.mesh.floats) == 0:
        raise InputError(fabric.where, "a fabric without floats", "a chart with two yarns in a row", "nothing can pull")
    hands = carrying(scene, fabric.mesh.case, other_slack=True, even=even)
    hands = replace(hands, slack=0.0)  # which is what is sought
    search = _Search(fabric, hands, most_lost, stage)
    least = search.least(0.0, FIRST_STEP)
    found = least if least is not None else TIGHTEST
    search.too_much(found)
    trials = tuple(Trial(s, widths(search.rests[s]).overall) for s in sorted(search.rests, reverse=True))
    width = Band(found, found, found)
    if least is not None:
        at_least = fabric.with_slack_shifted(found)
        told = forecast_of(
            at_least, search.hands, Labour(processes=processes), rest=search.rests[found], counted=counted
        )
        width = needed(told.pieces, found, most_lost, _slope(trials, found))
    return HowLoose(
        most_lost=most_lost,
        stretch=stretch,
        for_width=width,
        for_stretch=_for_stretch(fabric, search.rests[max(search.rests)], stretch),
        any_will_do=least is None,
        trials=trials,
        rest=search.rests[found],
    )


def _pinned(scene: Scene) -> Scene:
    if scene.fabric.edges != "curl":
        return scene
    return scene.model_copy(update={"fabric": scene.fabric.model_copy(update={"edges": "flat"})})


def _slope(trials: tuple[Trial, ...], found: float) -> float:
    """Return how the share lost goes with slack, between the two trials that are nearest to ``found``."""
    near, far = sorted(trials, key=lambda one: abs(one.slack - found))[:2]
    return (far.lost - near.lost) / (far.slack - near.slack)


def needed(pieces: Sequence[KnitPiece], slack: float, most_lost: float, slope: float) -> Band:
    """Return the slack that hands need, each of which knitted a piece at ``slack``: the middle, and where nine in ten
    lie. What a piece loses too much is made up for along the ``slope``."""
    lost = sum(one.measures is None for one in pieces)
    need = np.array([
        slack + one.slack - (one.measures.widths.overall - most_lost) / slope
        for one in pieces if one.measures is not None
    ])  # fmt: skip
    if not len(need):
        return Band(slack, slack, slack)
    low, high = likely(need, lost)
    return Band(float(low), float(np.median(need)), float(high))


def _for_stretch(fabric: Fabric, loose: Equilibrium, stretch: float) -> float:
    """Return the slack at which no float is taut in fabric stretched by a share.

    Its way behind the fabric, ``loose`` and so at its own width, grows with it; what it has of yarn at slack 0 is not
    quite that way: less inside a tube, where it cuts the corner.
    """
    just_f = fabric.mesh.floats.length_f / (1.0 + fabric.mesh.floats.slack_f)
    return float(np.max((1.0 + stretch) * loose.way_f / just_f)) - 1.0
