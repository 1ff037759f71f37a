"""Which of several equilibria: tight fabric may rest in more than one shape, and which one a solver finds is luck.

So the way in is not left to luck. Besides the plain fabric let go with all its slack at once, the slack is let in from
loose to tight, each shape starting from the one before, as a knitter's floats tighten; and from random shapes if asked
for. An endless fabric is also let fold in waves of several repeats. Whichever rests at the least energy, stitch for
stitch, is the answer; of equals, the first.

Of an endless fabric all ways begin on its least cell, which is the same however often the chart was typed, where it was
begun and which way round: so what they come to is the same too.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.cell import Cut, cut_out, least_cut, written_out
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures, measure
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric
from fabricsim.mechanics.assemble import State
from fabricsim.study.forecast.threads import side_by_side
from fabricsim.study.forecast.waves import TileWave, lower, pulls, wave_name, waved

LET_IN = 4
"""Parts in which the slack is let in from loose to tight (chosen: 1 to 3 % at a time for most)."""
BUMPS = 8
"""Waves that make up a random start (chosen)."""
STEEPEST = 0.5
"""Slope of a random start, root mean square (chosen: steeper than most pucker)."""
ALIKE_WIDTH, ALIKE_HEIGHT = 1e-3, 1e-4
"""Share of the width, and metres of pucker, up to which shapes look the same: what is printed (chosen)."""


@dataclass(frozen=True)
class Start:
    """One way in and what it came to. ``energy`` (J), of the chart as it was typed, and ``measures`` are None where
    there was no rest; ``said`` then says why."""

    name: str
    energy: float | None = None
    measures: Measures | None = None
    said: str = ""


@dataclass(frozen=True)
class Found:
    """All ways in, the first of them from plain fabric, and the one that rests ``lowest``, with its ``rest``; the
    ``wave`` of several repeats that it folds in, if it does."""

    starts: tuple[Start, ...]
    lowest: int
    rest: Equilibrium
    wave: TileWave | None = None

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


Begin = Callable[[str, int], Progress | None]
"""Asked, as each way in begins, what to tell its steps to; given its name and number."""


@dataclass(frozen=True)
class _Way:
    """A way in: ``said`` while it is gone, ``go`` to the rest. Only the usual ones ``keep`` it: of many random starts
    each would hold memory for itself."""

    name: str
    said: str
    go: Callable[[Progress | None], Equilibrium]
    keep: bool = True


def lowest_rest(
    fabric: Fabric, random_starts: int = 0, *, seed: int = 0, branch: bool = True, threads: int = 1, begin: Begin
) -> Found:
    """Return where ``fabric`` rests by every way in.

    Plain fabric at once, then from loose to tight where any float is short (unless ``branch`` is False, and the first
    comes to rest), then ``random_starts``, seeded; and of an endless fabric with short floats, unless ``branch`` is
    False, the wave that the lowest of them leads to. Raises NoEquilibriumError if none of them comes to rest.
    """
    cut = least_cut(fabric) if fabric.mesh.case == "repeat" else None
    cell = fabric if cut is None else cut_out(fabric, cut)
    looser: list[Equilibrium] = []
    ways = _ways(cell, random_starts, seed, looser, branch=branch)
    tried = side_by_side([partial(_try, way, number, begin, cut, fabric) for number, way in enumerate(ways)], threads)
    starts = [start for start, _ in tried]
    lowest = None
    for number, start in enumerate(starts):
        if start.energy is not None and (lowest is None or lower(start.energy, starts[lowest].energy)):
            lowest = number
    if lowest is None and not branch:
        return lowest_rest(fabric, random_starts, seed=seed, threads=threads, begin=begin)
    if lowest is None:
        raise NoEquilibriumError(starts[0].said)
    rest = replace(tried[lowest][1] or ways[lowest].go(None), start=starts[lowest].name)
    if cut is None:
        return Found(tuple(starts), lowest, rest)
    found = waved(rest, looser, begin("waves of several repeats", len(ways))) if branch and pulls(cell) else None
    if found is None:
        return Found(tuple(starts), lowest, written_out(rest, fabric, cut))
    name = wave_name(found[1])
    rest = replace(written_out(found[0], fabric, cut), start=name)
    starts.append(_start(name, rest, fabric))
    return Found(tuple(starts), len(starts) - 1, rest, found[1])


def ways_in(fabric: Fabric, random_starts: int = 0, *, branch: bool = True) -> int:
    """Return how many ways in there are."""
    waves = fabric.mesh.case == "repeat" and branch and pulls(fabric)
    return len(_ways(fabric, random_starts, branch=branch)) + waves


def _ways(
    fabric: Fabric, random_starts: int, seed: int = 0, looser: list[Equilibrium] | None = None, *, branch: bool
) -> list[_Way]:
    ways = [_Way("plain fabric", "forecast", partial(_at_once, fabric))]
    if branch and pulls(fabric):
        kept = [] if looser is None else looser
        ways.append(_Way("from loose to tight", "from loose to tight", partial(_loose_to_tight, fabric, kept)))
    for number in range(random_starts):
        go = partial(_from_random, fabric, (seed, number))
        ways.append(_Way(f"random {number + 1}", f"random start {number + 1}", go, keep=False))
    return ways


def _try(way: _Way, number: int, begin: Begin, cut: Cut | None, fabric: Fabric) -> tuple[Start, Equilibrium | None]:
    try:
        rest = way.go(begin(way.said, number))
    except NoEquilibriumError as why:
        return Start(way.name, said=str(why)), None
    whole = rest if cut is None else written_out(rest, fabric, cut)
    return _start(way.name, whole, fabric), rest if way.keep else None


def _start(name: str, rest: Equilibrium, fabric: Fabric) -> Start:
    share = len(fabric.mesh.rest_nc) / len(rest.x_nc)
    return Start(name, share * rest.effort.energy, measure(rest))


def _alike(one: Measures, other: Measures) -> bool:
    narrower = abs(one.widths.overall - other.widths.overall)
    higher = abs(one.pucker.peak_to_valley - other.pucker.peak_to_valley)
    return narrower <= ALIKE_WIDTH and higher <= ALIKE_HEIGHT


def _at_once(fabric: Fabric, progress: Progress | None) -> Equilibrium:
    return come_to_rest(fabric, progress=progress)


def _from_random(fabric: Fabric, seed: tuple[int, int], progress: Progress | None) -> Equilibrium:
    return come_to_rest(fabric, random_state(fabric.mesh, np.random.default_rng(seed)), progress)


def _loose_to_tight(fabric: Fabric, looser: list[Equilibrium], progress: Progress | None) -> Equilibrium:
    """Return where the branch that begins with loose floats ends; what it passes by goes to ``looser``, if it is an
    endless fabric."""
    short = -float(fabric.mesh.floats.slack_f.min())
    rest: Equilibrium | None = None
    for part in range(1, LET_IN):
        rest = come_to_rest(fabric.with_slack_shifted(short * (1.0 - part / LET_IN)), rest, progress)
        if fabric.mesh.case == "repeat":
            looser.append(rest)
    return come_to_rest(fabric, rest, progress)


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
