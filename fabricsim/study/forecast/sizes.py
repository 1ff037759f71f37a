"""Sizes from the forecast colourwork gauge: what the floats draw in at every count.

What the piece as written loses is its forecast, likely range and all. From there it is moved to other counts: a tube
draws in less the narrower it is, since the floats inside are chords, whose way is shorter than the fabric by about half
a thickness over the radius. So what is lost is nearly straight in 1 / stitches, and two tubes, of the smallest count
and of the largest, each float of theirs alike, tell by how much (measured: to 0.02 % of the width); where the smallest
loses nothing one between takes its place, for there the straight has come to its end. Tubes are one chart high, or 12
rounds, which makes less than 0.1 % of a difference to higher ones. What is too large for that is set between the
largest tube that isn't and the endless repeat, at 1 / stitches = 0. Flat pieces of all sizes lose the same share.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.sizes.every_size import Lost, Sizes, repeats_of, settled, without_forecast
from fabricsim.design.sizes.plan import Plan, plan_of
from fabricsim.fabric.relax import Progress
from fabricsim.fabric.setup import FEWEST
from fabricsim.study.forecast.forecast import Counted, Forecast, Stage, forecast

LARGEST_TUBE = 2500
"""Stitches of a tube up to which it is brought to rest (chosen: a few seconds)."""
LEAST_ROUNDS = 12
"""Rounds of a tube at the least: the chart is repeated up to it, for rings of a few rounds twist and fold as no hat
does (chosen; seen at 2 rounds)."""
LARGEST = 5000
"""Stitches of a piece up to which it is brought to rest itself (chosen: a minute with its likely range)."""
NOTHING = 1e-5
"""Share of the width below which nothing is lost: a hundredth of what is printed (chosen)."""


@dataclass(frozen=True)
class LossCurve:
    """The share ``lost`` by fabrics of ``per_stitch`` = 1 / stitches, rising (0: endless)."""

    per_stitch: tuple[float, ...]
    lost: tuple[float, ...]

    def at(self, stitches: int) -> float:
        """Return what is lost at so many stitches; beyond the ends the nearest two tell it."""
        if len(self.lost) == 1:
            return self.lost[0]
        at = 1.0 / stitches
        left = min(max(int(np.searchsorted(self.per_stitch, at)) - 1, 0), len(self.lost) - 2)
        x0, x1 = self.per_stitch[left : left + 2]
        lost = self.lost[left] + (self.lost[left + 1] - self.lost[left]) * (at - x0) / (x1 - x0)
        # a straight that leads on where floats are very tight must not end with more lost than there is
        return min(max(0.0, lost), 1.0)


def sizes_of(
    scene: Scene,
    stage: Stage | None = None,
    *,
    own: Forecast | None = None,
    processes: int = 1,
    counted: Counted | None = None,
) -> Sizes:
    """Return the sizes of ``scene`` by the gauge that its floats will leave.

    ``own``: the forecast of the piece as written, if there is one; ``stage``, ``processes`` and ``counted`` are those
    of ``forecast``. Raises InputError for a scene that doesn't say what is worn, and NoEquilibriumError if the fabric
    finds no rest.
    """
    plan = plan_of(scene)
    counts = [repeats for body in plan.bodies if (repeats := repeats_of(plan, body, 0.0)) is not None]
    if not counts:
        return without_forecast(scene)
    anchor = own or _own(plan, processes, stage, counted)
    if plan.cut_open:
        return settled(plan, lambda count: _lost(anchor), forecast=True)
    curve = draw_in(plan, min(counts), max(counts), stage)
    stitches = anchor.equilibrium.mesh.stitches
    return settled(plan, lambda count: _moved(_lost(anchor), curve.at(count) - curve.at(stitches)), forecast=True)


def _own(plan: Plan, processes: int, stage: Stage | None, counted: Counted | None) -> Forecast:
    """Return the forecast of the piece as written; of one too large, of a tube as large as is brought to rest."""
    piece = plan.scene
    case: Case = "swatch" if plan.cut_open else "round"
    rows = piece.piece_rows()
    if len(rows) * len(rows[0]) > LARGEST:
        piece = _chart_high(plan, max(1, _largest(plan)))
    return forecast(piece, case, processes=processes, stage=stage, counted=counted)


def _chart_high(plan: Plan, across: int) -> Scene:
    """Return a piece of so many repeats, one chart high or ``LEAST_ROUNDS``, without plain rounds."""
    chart = plan.scene.chart.model_copy(update={"across": across, "up": _up(plan), "plain_below": 0, "plain_above": 0})
    return plan.scene.model_copy(update={"chart": chart})


def _up(plan: Plan) -> int:
    return -(-LEAST_ROUNDS // len(plan.scene.chart_rows()))


def _largest(plan: Plan) -> int:
    """Return of how many repeats the largest tube is that is brought to rest."""
    return LARGEST_TUBE // (_up(plan) * len(plan.scene.chart_rows()) * plan.chart.repeat)


def draw_in(plan: Plan, fewest: int, most: int, stage: Stage | None = None) -> LossCurve:
    """Bring to rest what tells how the draw-in of ``fewest`` to ``most`` repeats differs, every float alike."""
    repeat, largest = plan.chart.repeat, _largest(plan)
    least = -(-FEWEST["round"][1] // repeat)

    def lost(across: int, case: Case) -> float:
        name = "endless repeat" if case == "repeat" else f"tube of {across * repeat} stitches"

        def tell(said: str, number: int, of: int) -> Progress | None:
            return stage(f"{name}, {said}", number, of) if stage is not None else None

        found = forecast(_chart_high(plan, across), case, even=True, band=False, stage=tell)
        return max(0.0, found.measures.widths.overall)  # fabric that grows counts as nothing lost

    if largest < least:
        return LossCurve((0.0,), (lost(1, "repeat"),))
    high, low = max(least, min(most, largest)), max(least, min(fewest, largest))
    endless = most > largest
    if low == high and not endless:
        high, low = (low + 1, low) if low < largest else (high, max(least, high - 1))
    nodes = {1.0 / (high * repeat): lost(high, "round")}
    if low != high:
        of_low = lost(low, "round")
        between = round(2.0 / (1.0 / low + 1.0 / high))
        if of_low < NOTHING < nodes[1.0 / (high * repeat)] and between not in (low, high):
            low, of_low = between, lost(between, "round")  # where the straight begins
        nodes[1.0 / (low * repeat)] = of_low
    if endless:
        nodes[0.0] = lost(1, "repeat")
    return LossCurve(tuple(sorted(nodes)), tuple(nodes[one] for one in sorted(nodes)))


def _lost(found: Forecast) -> Lost:
    """Return a forecast's draw-in; a share below round-off, or fabric that grows, counts as nothing lost."""
    band = found.draw_in
    return Lost(max(0.0, band.low), max(0.0, band.nominal), max(0.0, band.high))


def _moved(band: Lost, shift: float) -> Lost:
    """Return a band moved by a share of the width: hands that are off by so much move all sizes alike."""
    return Lost(*(min(max(0.0, one + shift), 1.0) for one in (band.low, band.nominal, band.high)))
