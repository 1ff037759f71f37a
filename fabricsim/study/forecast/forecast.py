"""A forecast with its band: what comes out at the nominal values, and how far it may be off.

Nobody knows the slack of a hand-knit float to better than a few per cent, nor the stiffness of a hand-knit fabric
against bending to better than a factor of two. The band is the least and the greatest of what five fabrics measure: the
nominal one and the four corners of (slack - 3 %, slack + 3 %) x (half, twice the bending rigidity at the same stretch
stiffness), or of what a knitter's file knows better. Those corners are the ends of the two things that matter: draw-in
follows the slack and hardly the stiffness; pucker follows the slack and the ratio of stretch to bending stiffness, and
both change one way along each, so the extremes lie at corners. The one exception is a fabric close to where pucker
starts, which may jump between shapes; then the corners still show that it can do either.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.cores import usable_cores
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures, measure
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.study.forecast.doubt import doubt_of
from fabricsim.study.forecast.starts import Found, lowest_rest, ways_in
from fabricsim.study.forecast.threads import side_by_side
from fabricsim.study.forecast.waves import Onset, onset


@dataclass(frozen=True)
class Corner:
    """One corner of the band. ``measures`` is None where the solver found no rest; ``said`` then says why."""

    slack_shift: float
    bending_factor: float
    measures: Measures | None
    said: str = ""


@dataclass(frozen=True)
class Band:
    """Least, nominal and greatest value of one measure, all in its own unit."""

    low: float
    nominal: float
    high: float


@dataclass(frozen=True)
class Forecast:
    """What was found from every start, the lowest of them being the forecast, and the corners around it; ``onset``:
    where an endless fabric begins to pucker, if that was looked for and found."""

    found: Found
    corners: tuple[Corner, ...]
    onset: Onset | None = None

    @property
    def equilibrium(self) -> Equilibrium:
        return self.found.rest

    @property
    def measures(self) -> Measures:
        measures = self.found.best.measures
        assert measures is not None  # the lowest is always one that came to rest
        return measures

    def band(self, value: Callable[[Measures], float]) -> Band:
        """Return the band of any one measure, such as ``lambda m: m.widths.overall``."""
        nominal = value(self.measures)
        all_values = [nominal, *(value(c.measures) for c in self.corners if c.measures is not None)]
        return Band(min(all_values), nominal, max(all_values))

    def width_range(self) -> tuple[Floats, Floats]:
        """Return the least and the greatest width of every row (rows,), m, over the band."""
        every = [self.measures, *(c.measures for c in self.corners if c.measures is not None)]
        width_ki = np.stack([m.widths.width_i for m in every])
        return width_ki.min(axis=0), width_ki.max(axis=0)

    @property
    def draw_in(self) -> Band:
        """Share of the width lost, overall."""
        return self.band(lambda m: m.widths.overall)

    @property
    def pucker(self) -> Band:
        """Pucker, peak to valley, m."""
        return self.band(lambda m: m.pucker.peak_to_valley)


SIDE_BY_SIDE = 5000
"""Stitches up to which fabrics are solved at the same time: beyond, each needs memory for itself (chosen)."""

Stage = Callable[[str, int, int], Progress | None]
"""Asked, as each solve begins, what to call with its steps: given its name, its number and how many there are. What it
returns may be called from another thread."""


def forecast(
    scene: Scene,
    case: Case | None = None,
    *,
    slack: float | None = None,
    inside_out: bool | None = None,
    band: bool = True,
    branch: bool = True,
    starts: int = 0,
    stage: Stage | None = None,
) -> Forecast:
    """Return what ``scene`` comes to in a load case, with its band unless ``band`` is False.

    ``starts`` random ones are tried beside the usual two; ``branch``: whether the second of those, from loose to tight,
    is tried where the first comes to rest. Raises InputError for what can't be built and
    NoEquilibriumError if the nominal fabric finds no rest; a corner that finds none is kept with its words and left out
    of the band.
    """

    fabric = set_up(scene, case, slack=slack, inside_out=inside_out)
    corners = doubt_of(scene, other_slack=slack is not None).corners if band else ()
    ways = ways_in(fabric, starts, branch=branch)
    looking = len(corners) > 0 and fabric.mesh.case == "repeat" and len(fabric.mesh.floats) > 0

    def begin(name: str, number: int) -> Progress | None:
        return stage(name, number, ways + len(corners) + looking) if stage is not None else None

    threads = usable_cores() if len(fabric.mesh.rest_nc) <= SIDE_BY_SIDE else 1
    found = lowest_rest(fabric, starts, branch=branch, threads=threads, begin=begin)

    def begins() -> Onset | None:
        """As far as its floats are likely to be tight."""
        told = begin("where it begins to pucker", ways + len(corners))
        tightest = float(fabric.mesh.floats.slack_f.min()) + min(shift for shift, _ in corners)
        return onset(fabric, told, down_to=tightest)

    todo: list[Callable[[], Corner | Onset | None]] = [
        partial(_corner, fabric, found.rest, shift, factor, partial(begin, _corner_name(shift, factor), number))
        for number, (shift, factor) in enumerate(corners, start=ways)
    ]
    came = side_by_side([*([begins] if looking else []), *todo], threads)
    around = tuple(one for one in came if isinstance(one, Corner))
    return Forecast(found, around, next((one for one in came if isinstance(one, Onset)), None))


def _corner_name(shift: float, factor: float) -> str:
    return f"{'tighter' if shift < 0.0 else 'looser'} and {'softer' if factor < 1.0 else 'stiffer'}"


def possible_shift(shift: float, tightest: float) -> float:
    """Return ``shift``, or half of what is left where it would take the ``tightest`` float's last yarn."""
    return max(shift, 0.5 * (-1.0 - tightest))


def _corner(
    fabric: Fabric, nominal: Equilibrium, shift: float, factor: float, begin: Callable[[], Progress | None]
) -> Corner:
    """Return one corner, started from the nominal shape so that it stays on the same branch."""
    shift = possible_shift(shift, float(fabric.mesh.floats.slack_f.min(initial=0.0)))
    other = fabric.with_slack_shifted(shift).with_stiffness(fabric.stiffness.bent(factor))
    try:
        return Corner(shift, factor, measure(come_to_rest(other, nominal, begin())))
    except NoEquilibriumError as why:
        return Corner(shift, factor, None, str(why))
