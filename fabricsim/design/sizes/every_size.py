"""Sizes: what to knit for every body, by counting, once it is known what share of the width the floats draw in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil

from fabricsim import units
from fabricsim.design.scene.bodies import Body
from fabricsim.design.scene.model import Scene
from fabricsim.design.sizes.counts import (
    TO_NOTHING,
    Chart,
    OtherGauge,
    Spacers,
    other_gauges,
    repeats_for,
    spacers_for,
)
from fabricsim.design.sizes.crown import Crown, common_wedges
from fabricsim.design.sizes.fits import widest_cm
from fabricsim.design.sizes.going_on import TightPlace, colourwork, rib, weakest
from fabricsim.design.sizes.makeup import Counts, counts_of
from fabricsim.design.sizes.plan import Plan, plan_of
from fabricsim.design.sizes.spread import Spread
from fabricsim.lengths import long, long_number

TURNS = 6
"""How often counts and draw-in are brought in line with each other before the last is taken (chosen)."""
_ROUND_OFF = 1e-9


@dataclass(frozen=True)
class Lost:
    """Share of the width that the floats draw in: as forecast, and the least and the most that is likely."""

    low: float
    nominal: float
    high: float


NOTHING_LOST = Lost(0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Counted:
    """The counts of one size: ``repeats`` of the chart and all that stands around it; ``finished`` m and the ends of
    what is likely; where it goes on, place by place; ``passes_from`` how many stitches on the colourwork passes."""

    repeats: int
    counts: Counts
    lost: Lost
    finished: float
    narrowest: float
    widest: float
    places: tuple[TightPlace, ...]
    passes_from: int

    @property
    def stitches(self) -> int:
        return self.counts.stitches

    @property
    def rib(self) -> int | None:
        return self.counts.rib

    @property
    def adjusting(self) -> Spread | None:
        return self.counts.adjusting

    @property
    def crown(self) -> Crown | None:
        return self.counts.crown

    @property
    def weakest(self) -> TightPlace:
        return weakest(self.places)


@dataclass(frozen=True)
class Size:
    """One body and what to knit for it, m and shares. ``counted`` is None where ``why_not`` says that no count fits.

    ``step`` is what one repeat more or less makes; ``too_coarse``: the ease is not within what is wanted, for
    the step is too large; ``gauges`` and ``spacers`` are ways out. ``lining``: by how much one narrows it inside.
    """

    body: Body
    worn_at: float
    wanted: float
    step: float
    counted: Counted | None
    why_not: str = ""
    too_coarse: bool = False
    gauges: tuple[OtherGauge, ...] = ()
    spacers: Spacers | None = None
    lining: float = 0.0

    @property
    def unusual(self) -> bool:
        """Whether no count fits, or none with the ease wanted."""
        return self.counted is None or self.too_coarse

    @property
    def ease(self) -> float | None:
        """Inside, less the body, over the body."""
        return (self.counted.finished - self.lining) / self.worn_at - 1.0 if self.counted else None

    @property
    def off(self) -> float | None:
        """How far it is from what is wanted, m."""
        return self.counted.finished - self.wanted if self.counted else None


@dataclass(frozen=True)
class Sizes:
    """Every size of a scene, the smallest first; ``forecast``: what floats draw in is forecast, not left out;
    ``measured``: it is what the knitter measured."""

    plan: Plan
    sizes: tuple[Size, ...]
    forecast: bool
    measured: bool = False


def repeats_of(plan: Plan, body: Body, lost: float) -> int | None:
    """Return how many repeats come nearest to what ``body`` wants; None if no number comes near."""
    return repeats_for(plan.chart, plan.wanted(body), lost)


def settled(plan: Plan, lost_at: Callable[[int], Lost], *, forecast: bool) -> Sizes:
    """Return the sizes of a plan where fabric of so many stitches loses ``lost_at`` of its width.

    How many repeats are right depends on what is lost, and that on how many there are: both are brought in line. Crowns
    have the same wedges in all sizes, if any number fits all of them.
    """
    sizes = []
    for body in plan.bodies:
        repeats = repeats_of(plan, body, 0.0)
        for _ in range(TURNS):
            before = repeats
            repeats = repeats_of(plan, body, lost_at(plan.chart.repeat * (before or 1)).nominal)
            if repeats == before:
                break
        sizes.append((body, repeats, lost_at(plan.chart.repeat * (repeats or 1))))
    wedges = common_wedges(plan.chart.repeat, [repeats for _, repeats, _ in sizes if repeats is not None])
    return Sizes(plan, tuple(size_of(plan, *one, wedges) for one in sizes), forecast)


def without_forecast(scene: Scene) -> Sizes:
    """Return the sizes by the gauge of plain stockinette, at once; raises ``InputError`` as ``plan_of`` does."""
    return settled(plan_of(scene), lambda _: NOTHING_LOST, forecast=False)


def as_measured(scene: Scene, lost: float) -> Sizes:
    """Return the sizes by the gauge that the knitter measured in colourwork, narrower by a share ``lost``."""
    found = settled(plan_of(scene), lambda _: Lost(lost, lost, lost), forecast=False)
    return replace(found, measured=True)


def size_of(plan: Plan, body: Body, repeats: int | None, lost: Lost, wedges: int | None = None) -> Size:
    """Return one size in full, knitted with so many ``repeats``, of whose width ``lost`` is drawn in, its crown in so
    many ``wedges`` if they fit."""
    wanted, worn_at, chart = plan.wanted(body), plan.worn_at(body), plan.chart
    step = chart.finished(1, lost.nominal)
    gauges, lining = other_gauges(chart, wanted, lost.nominal), plan.lining_takes
    if repeats is None or lost.nominal >= TO_NOTHING:
        return Size(body, worn_at, wanted, step, None, _why_not(chart, wanted, lost.nominal), gauges=gauges)
    counted = _counted(plan, body, repeats, lost, wedges)
    ease, (least, most) = (counted.finished - lining) / worn_at - 1.0, (plan.fit.least, plan.fit.most)
    if least - _ROUND_OFF <= ease <= most + _ROUND_OFF:
        return Size(body, worn_at, wanted, step, counted, lining=lining)
    between = (worn_at * (1.0 + least) + lining, worn_at * (1.0 + most) + lining)
    spacers = spacers_for(chart, wanted, lost.nominal, between)
    return Size(body, worn_at, wanted, step, counted, too_coarse=True, gauges=gauges, spacers=spacers, lining=lining)


def _counted(plan: Plan, body: Body, repeats: int, lost: Lost, wedges: int | None) -> Counted:
    chart, scene = plan.chart, plan.scene
    counts = counts_of(scene, plan.makeup, repeats, wedges)
    finished = chart.finished(repeats, lost.nominal)
    passing = widest_cm(plan.fit, body) * units.CM
    measured = body.widest_cm is not None or plan.fit.widest == 1.0
    inside, drawn = finished - plan.lining_takes, max(lost.nominal, 0.0)
    places = [colourwork(passing, inside, min(scene.slack_of_yarns), drawn, measured=measured)]
    if counts.rib is not None:
        places.append(rib(passing, counts.rib - chart.edges, chart.stitch_width, measured=measured))
    return Counted(
        repeats=repeats,
        counts=counts,
        lost=lost,
        finished=finished,
        narrowest=chart.finished(repeats, lost.high),
        widest=chart.finished(repeats, lost.low),
        places=tuple(places),
        passes_from=_passes_from(plan, repeats, passing, places[0], lost.nominal),
    )


def _passes_from(plan: Plan, repeats: int, passing: float, place: TightPlace, lost: float) -> int:
    """Return the stitches of these repeats, or of the first more, whose colourwork passes as its ``place`` reckons."""
    chart = plan.chart
    enough = (passing / (1.0 + place.most) + plan.lining_takes) / chart.finished(1, lost)
    return chart.stitches(max(repeats, ceil(enough - _ROUND_OFF)))


def _why_not(chart: Chart, wanted: float, lost: float) -> str:
    """Return why no count fits, in words."""
    if lost >= TO_NOTHING:
        return "with floats so tight next to nothing is left of the width"
    one = chart.finished(1, lost)
    if one > wanted:
        return f"one repeat alone makes {long(one)}"
    fewer = int(wanted / one)
    less, more = chart.finished(fewer, lost), chart.finished(fewer + 1, lost)
    return f"{fewer} or {fewer + 1} repeats make {long_number(less)} or {long(more)}"
