"""Which counts fit: whole repeats of the chart for a width, and a rib that leads to them."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from fabricsim import units
from fabricsim.design.sizes.spread import can_spread

FARTHEST_OFF = 0.25
"""Share by which a count may miss the width wanted; farther off it is another size altogether (chosen)."""
TO_NOTHING = 0.9
"""Share of the width lost from which no count is looked for: what is left is no fabric (chosen: far beyond any)."""
MOST_SPACERS = 3
"""Plain stitches that may be set between repeats before a pattern falls apart (chosen)."""


@dataclass(frozen=True)
class Chart:
    """What is repeated: ``repeat`` stitches, each ``stitch_width`` wide in plain fabric (m), and ``edges`` that vanish
    in the seam."""

    repeat: int
    stitch_width: float
    edges: int = 0

    def stitches(self, repeats: int) -> int:
        """Return the stitches of so many repeats, those of the seam among them."""
        return self.repeat * repeats + self.edges

    def finished(self, repeats: int, lost: float) -> float:
        """Return how wide so many repeats come out, m, where a share ``lost`` is drawn in."""
        return self.repeat * repeats * self.stitch_width * (1.0 - lost)


def repeats_for(chart: Chart, wanted: float, lost: float) -> int | None:
    """Return how many repeats come nearest to ``wanted`` m; None if none comes near, or nothing is left of them."""
    if lost >= TO_NOTHING:
        return None
    fewer = max(1, floor(wanted / chart.finished(1, lost)))
    best = min((fewer, fewer + 1), key=lambda one: abs(chart.finished(one, lost) - wanted))
    return best if abs(chart.finished(best, lost) / wanted - 1.0) <= FARTHEST_OFF else None


def rib_for(chart_stitches: int, knits_and_purls: tuple[int, int], fewer: float, *, flat: bool) -> int | None:
    """Return the count of a rib nearest to ``chart_stitches`` less a share ``fewer``; None if none leads there.

    In the round a multiple of the rib; flat one rib's knits more, so that both edges are alike (common practice). Of
    two as near the smaller.
    """
    knits, purls = knits_and_purls
    rib, extra = knits + purls, knits if flat else 0
    goal = chart_stitches * (1.0 - fewer)
    below = max(1, floor((goal - extra) / rib))
    near = [rib * one + extra for one in (below, below + 1)]
    return min((one for one in near if can_spread(one, chart_stitches)), key=lambda n: abs(n - goal), default=None)


FARTHEST_GAUGE = 0.15
"""Share by which another gauge may differ before it is another fabric (chosen)."""


@dataclass(frozen=True)
class OtherGauge:
    """A gauge at which ``repeats`` would be as wide as wanted: ``stitches_per_10_cm`` of plain stockinette."""

    repeats: int
    stitches: int
    stitches_per_10_cm: float


@dataclass(frozen=True)
class Spacers:
    """``spacers`` plain stitches after each of ``repeats``, with which it comes to ``finished`` m."""

    repeats: int
    spacers: int
    stitches: int
    finished: float


def other_gauges(chart: Chart, wanted: float, lost: float) -> tuple[OtherGauge, ...]:
    """Return gauges not too far off at which whole repeats are just as wide as wanted, the nearest first.

    What floats draw in is taken to stay the same share; there are none if it leaves nothing.
    """
    if lost >= TO_NOTHING:
        return ()
    fewer = floor(wanted / chart.finished(1, lost))
    changes = {repeats: chart.finished(repeats, lost) / wanted for repeats in (fewer, fewer + 1) if repeats >= 1}
    return tuple(
        OtherGauge(repeats, chart.stitches(repeats), units.PER_10_CM / chart.stitch_width * change)
        for repeats, change in sorted(changes.items(), key=lambda one: abs(one[1] - 1.0))
        if abs(change - 1.0) <= FARTHEST_GAUGE
    )


def spacers_for(chart: Chart, wanted: float, lost: float, between: tuple[float, float]) -> Spacers | None:
    """Return the fewest plain stitches between repeats that land ``between`` two widths, nearest to ``wanted`` m."""
    for spacers in range(1, MOST_SPACERS + 1):
        wider = Chart(chart.repeat + spacers, chart.stitch_width, chart.edges)
        repeats = repeats_for(wider, wanted, lost)
        if repeats is not None and between[0] <= wider.finished(repeats, lost) <= between[1]:
            return Spacers(repeats, spacers, wider.stitches(repeats), wider.finished(repeats, lost))
    return None
