"""Which of several equilibria: tight fabric may rest in more than one shape, and which one a solver finds is luck.

So the way in is not left to luck. Besides the plain fabric let go with all its slack at once, the slack is let in from
loose to tight, each shape starting from the one before, as a knitter's floats tighten; and from random shapes if asked
for. Whichever rests at the least energy is the answer; of equals, the first.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures, measure
from fabricsim.fabric.mesh import Floats, Mesh
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric
from fabricsim.mechanics.assemble import State
from fabricsim.study.threads import side_by_side

LET_IN = 4
"""Parts in which the slack is let in from loose to tight (chosen: 1 to 3 % at a time for most)."""
BUMPS = 8
"""Waves that make up a random start (chosen)."""
STEEPEST = 0.5
"""Slope of a random start, root mean square (chosen: steeper than most pucker)."""
SAME = 1e-5
"""Share of the energy below which two shapes rest equally low: floats may cut in by a hair before they count as lying
on the back, and which of them do depends on the way in (chosen, a few times what that makes)."""
ALIKE_WIDTH, ALIKE_HEIGHT = 1e-3, 1e-4
"""Share of the width, and metres of pucker, up to which shapes look the same: what is printed (chosen)."""


@dataclass(frozen=True)
class Start:
    """One way in and what it came to. ``rest`` is None where there was no rest; ``said`` then says why."""

    name: str
    rest: Equilibrium | None
    measures: Measures | None = None
    said: str = ""


@dataclass(frozen=True)
class Found:
    """All ways in, the first of them from plain fabric, and the one that rests lowest."""

    starts: tuple[Start, ...]
    lowest: int

    @property
    def best(self) -> Start:
        return self.starts[self.lowest]

    def spread(self, value: Callable[[Measures], float]) -> tuple[float, float]:
        """Return the least and the greatest of any measure over all ways in that came to rest."""
        values = [value(one.measures) for one in self.starts if one.measures is not None]
        return min(values), max(values)

    @property
    def shapes(self) -> int:
        """How many different shapes they rest in."""
        different: list[Measures] = []
        for one in self.starts:
            if one.measures is not None and not any(_alike(one.measures, other) for other in different):
                different.append(one.measures)
        return len(different)


Begin = Callable[[str], Progress | None]
"""Asked, as each way in begins, what to tell its steps to."""


def lowest_rest(fabric: Fabric, random_starts: int = 0, *, seed: int = 0, threads: int = 1, begin: Begin) -> Found:
    """Return where ``fabric`` rests by every way in.

    Plain fabric at once, then from loose to tight where any float is short, then ``random_starts``, seeded. Raises
    NoEquilibriumError if none of them comes to rest.
    """
    ways: list[Callable[[], Start]] = [partial(_start, "plain fabric", fabric, None, begin("forecast"))]
    if _is_tight(fabric):
        ways.append(partial(_loose_to_tight, fabric, begin("from loose to tight")))
    for number in range(random_starts):
        state = random_state(fabric.mesh, np.random.default_rng([seed, number]))
        ways.append(partial(_start, f"random {number + 1}", fabric, state, begin(f"random start {number + 1}")))
    starts = tuple(side_by_side(ways, threads))
    at_rest = [number for number, one in enumerate(starts) if one.rest is not None]
    if not at_rest:
        raise NoEquilibriumError(starts[0].said)
    lowest = at_rest[0]
    for number in at_rest[1:]:
        if _lower(_energy(starts[number]), _energy(starts[lowest])):
            lowest = number
    return Found(starts, lowest)


def ways_in(fabric: Fabric, random_starts: int = 0) -> int:
    """Return how many ways in there are."""
    return 1 + _is_tight(fabric) + random_starts


def _is_tight(fabric: Fabric) -> bool:
    return float(fabric.mesh.floats.slack_f.min(initial=0.0)) < 0.0


def _energy(start: Start) -> float:
    assert start.rest is not None
    return start.rest.effort.energy


def _alike(one: Measures, other: Measures) -> bool:
    narrower = abs(one.widths.overall - other.widths.overall)
    higher = abs(one.pucker.peak_to_valley - other.pucker.peak_to_valley)
    return narrower <= ALIKE_WIDTH and higher <= ALIKE_HEIGHT


def _lower(one: float, other: float) -> bool:
    return one < other - SAME * abs(other)


def _start(name: str, fabric: Fabric, start: State | Equilibrium | None, progress: Progress | None) -> Start:
    try:
        rest = come_to_rest(fabric, start, progress)
    except NoEquilibriumError as why:
        return Start(name, None, said=str(why))
    return Start(name, rest, measure(rest))


def _loose_to_tight(fabric: Fabric, progress: Progress | None) -> Start:
    """Return where the branch that begins with loose floats ends."""
    name = "from loose to tight"
    short = -float(fabric.mesh.floats.slack_f.min())
    rest: Equilibrium | None = None
    for part in range(1, LET_IN + 1):
        eased = fabric if part == LET_IN else fabric.with_slack_shifted(short * (1.0 - part / LET_IN))
        here = _start(name, eased, rest, progress)
        if here.rest is None:
            return here
        rest = here.rest
    return here


def random_state(mesh: Mesh, rng: np.random.Generator) -> State:
    """Return plain fabric thrown into random smooth waves: out of its plane, or of a tube's wall.

    Each wave is at least four stitches long and fits the fabric, so that a ``repeat`` closes on itself.
    """
    u_n = mesh.column_n / mesh.stitches
    v_n = mesh.row_n / mesh.rows
    height_n = np.zeros(len(mesh.rest_nc))
    for _ in range(BUMPS):
        across = int(rng.integers(0, max(2, mesh.stitches // 4 + 1)))
        up = int(rng.integers(0, max(2, mesh.rows // 4 + 1)))
        steep = np.hypot(across / (mesh.stitches * mesh.stitch_width), up / (mesh.rows * mesh.row_height))
        if steep > 0.0:
            height_n += np.sin(2.0 * np.pi * (across * u_n + up * v_n + rng.random())) / (2.0 * np.pi * steep)
    height_n *= STEEPEST / BUMPS**0.5 * 2.0**0.5
    return State(mesh.rest_nc + height_n[:, None] * _outward(mesh), mesh.period_a)


def _outward(mesh: Mesh) -> Floats:
    if mesh.case != "round":
        return np.broadcast_to([0.0, 0.0, 1.0], mesh.rest_nc.shape)
    level_nc = mesh.rest_nc * [1.0, 0.0, 1.0]
    return np.asarray(level_nc / np.linalg.norm(level_nc, axis=1, keepdims=True))
