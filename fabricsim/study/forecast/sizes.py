"""Sizes from the forecast colourwork gauge: what the floats draw in at every count.

A tube draws in less the narrower it is, since the floats inside are chords: their way is shorter than the fabric by
about half a thickness over the radius. So what is lost is nearly straight in 1 / stitches, and two tubes, of the
smallest count and of the largest, tell it of all between (measured: to 0.02 % of the width); where the smallest loses
nothing one between takes its place, for there the straight has come to its end. Tubes are one chart high, or 12
rounds, which makes less than 0.1 % of a difference to higher ones. What is too large for that is set between the
largest tube that isn't and the endless repeat, at 1 / stitches = 0. Flat pieces lie as the repeat does.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.sizes.every_size import Lost, Plan, Sizes, plan_of, repeats_of, settled, without_forecast
from fabricsim.fabric.relax import Progress
from fabricsim.fabric.setup import FEWEST
from fabricsim.study.forecast.forecast import Forecast, forecast

LARGEST_TUBE = 2500
"""Stitches of a tube up to which it is brought to rest (chosen: about half a minute with its band)."""
LEAST_ROUNDS = 12
"""Rounds of a tube at the least: the chart is repeated up to it, for rings of a few rounds twist and fold as no hat
does (chosen; seen at 2 rounds)."""
NOTHING = 1e-5
"""Share of the width below which nothing is lost: a hundredth of what is printed (chosen)."""

Stage = Callable[[str, int, int], Progress | None]


@dataclass(frozen=True)
class LossCurve:
    """What is lost at fabrics of ``per_stitch_k`` = 1 / stitches, rising (0: endless), each a ``Lost``."""

    per_stitch: tuple[float, ...]
    lost: tuple[Lost, ...]

    def at(self, stitches: int) -> Lost:
        """Return what is lost at so many stitches; beyond the ends the nearest two tell it."""
        return Lost(*(self._straight(stitches, [getattr(one, end) for one in self.lost]) for end in _ENDS))

    def _straight(self, stitches: int, lost: list[float]) -> float:
        if len(lost) == 1:
            return lost[0]
        at = 1.0 / stitches
        left = min(max(int(np.searchsorted(self.per_stitch, at)) - 1, 0), len(lost) - 2)
        x0, x1 = self.per_stitch[left : left + 2]
        # a straight that leads on where floats are very tight must not end with more lost than there is
        return min(max(0.0, lost[left] + (lost[left + 1] - lost[left]) * (at - x0) / (x1 - x0)), 1.0)


_ENDS = ("low", "nominal", "high")


def sizes_of(scene: Scene, stage: Stage | None = None) -> Sizes:
    """Return the sizes of ``scene`` by the gauge that its floats will leave.

    ``stage`` is asked as in ``forecast``. Raises InputError for a scene that doesn't say what is worn, and
    NoEquilibriumError if the fabric finds no rest.
    """
    plan = plan_of(scene)
    counts = [repeats for body in plan.bodies if (repeats := repeats_of(plan, body, 0.0)) is not None]
    if not counts:
        return without_forecast(scene)
    return settled(plan, draw_in(plan, min(counts), max(counts), stage).at, forecast=True)


def draw_in(plan: Plan, fewest: int, most: int, stage: Stage | None = None) -> LossCurve:
    """Bring to rest what tells the draw-in of ``fewest`` to ``most`` repeats."""
    scene, repeat = plan.scene, plan.chart.repeat
    up = -(-LEAST_ROUNDS // len(scene.chart_rows()))
    largest = LARGEST_TUBE // (up * len(scene.chart_rows()) * repeat)
    least = -(-FEWEST["round"][1] // repeat)

    def solved(across: int, case: Case, band: bool) -> Forecast:
        name = "endless repeat" if case == "repeat" else f"tube of {across * repeat} stitches"
        chart = scene.chart.model_copy(update={"across": across, "up": up, "plain_below": 0, "plain_above": 0})
        piece = scene.model_copy(update={"chart": chart})

        def tell(said: str, number: int, of: int) -> Progress | None:
            return stage(f"{name}, {said}", number, of) if stage is not None else None

        return forecast(piece, case, band=band, stage=tell)

    if plan.flat or largest < least:
        return LossCurve((0.0,), (_lost(solved(1, "repeat", True)),))
    high, low = max(least, min(most, largest)), max(least, min(fewest, largest))
    endless = most > largest
    if low == high and not endless:
        high, low = (low + 1, low) if low < largest else (high, max(least, high - 1))
    largest_lost = _lost(solved(high, "round", True))
    nodes = {1.0 / (high * repeat): largest_lost}
    if low != high:
        nominal = solved(low, "round", False).draw_in.nominal
        between = round(2.0 / (1.0 / low + 1.0 / high))
        if nominal < NOTHING < largest_lost.nominal and between not in (low, high):
            low, nominal = between, solved(between, "round", False).draw_in.nominal  # where the straight begins
        nodes[1.0 / (low * repeat)] = _moved(largest_lost, nominal)
    if endless:
        nodes[0.0] = _lost(solved(1, "repeat", True))
    return LossCurve(tuple(sorted(nodes)), tuple(nodes[one] for one in sorted(nodes)))


def _lost(found: Forecast) -> Lost:
    """Return a forecast's draw-in; a share below round-off, or fabric that grows, counts as nothing lost."""
    band = found.draw_in
    return Lost(max(0.0, band.low), max(0.0, band.nominal), max(0.0, band.high))


def _moved(band: Lost, nominal: float) -> Lost:
    """Return the band of a wider tube about another ``nominal``: slack that is off by so much moves both alike."""
    shift = max(0.0, nominal) - band.nominal
    return Lost(*(min(max(0.0, one + shift), 1.0) for one in (band.low, band.nominal, band.high)))
