"""A fabric as it is pulled harder and harder: its load against its stretch, and where its floats go taut.

A repeat is pulled by one dead load after the other, each rest started from the one before, as a strip that is loaded
weight by weight: so the stretch at every load asked for is exact. Where the first and half of the floats go taut, and
the curve kinks, is found by holding it at its size.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

import numpy as np
from scipy.optimize import brentq

from fabricsim.arrays import Floats
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import taut
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric
from fabricsim.fabric.stretching import PRETENSION, Along, load_of, pulled, relaxed_of, strain_of, stretched

FINE = 0.05
"""Most stretch between two points of a curve, a share of the length; more loads are put between them (chosen)."""
BENT = 1e-3
"""How far off the straight between two points a curve may seem to be, a share of the length; else it is looked at
between them (chosen: a tenth of a per cent, the last digit printed). It is twice as far off at the worst, as a kink
half way shows half of itself to either side (derived)."""
LOOKS = 5
"""How often a curve is looked at between its points at most (chosen: a kink is then found to a thirtieth)."""
LEAST_PART = 1 / 64
"""Share of a step between two loads below which no more are put there: fabric that jumps there jumps (chosen)."""
JUST_TAUT = 1e-9
"""How exactly the stretch is found at which a float goes taut (chosen: near round-off)."""


@dataclass(frozen=True)
class Point:
    """A fabric under a ``load``, N per m of its width at rest: its ``strain`` along the pull and the ``other`` way,
    shares of its size at rest, and the share of its floats that are ``taut``."""

    load: float
    strain: float
    other: float
    taut: float


@dataclass(frozen=True)
class Curve:
    """A fabric as it is pulled ``along`` a direction, from rest.

    ``relaxed`` (m, m): width and height of the repeat at rest; ``points`` of rising load, the first at rest;
    ``floats``: how many there are in the repeat; ``first_taut``, ``half_taut``: strain from which on the first of them
    and half of them are taut: 0 if they are at rest, None if they aren't at the greatest load (or weren't asked for).
    """

    along: Along
    relaxed: tuple[float, float]
    points: tuple[Point, ...]
    floats: int
    first_taut: float | None
    half_taut: float | None

    @property
    def strains(self) -> Floats:
        """Stretch at each point (p,), a share."""
        return np.array([one.strain for one in self.points])

    @property
    def loads(self) -> Floats:
        """Load at each point (p,), N/m."""
        return np.array([one.load for one in self.points])

    @property
    def taut(self) -> Floats:
        """Share of the floats that are taut at each point (p,)."""
        return np.array([one.taut for one in self.points])

    @property
    def most(self) -> float:
        """The greatest load, N/m."""
        return self.points[-1].load

    def at(self, load: float) -> float:
        """Return the strain at a ``load`` (N/m), straight between points as kinks are; InputError beyond the last."""
        if not 0.0 <= load <= self.most:
            raise InputError("load", f"{load:g} N/m", f"0 to {self.most:g} N/m", "ask for a curve that goes so far")
        return float(np.interp(load, self.loads, self.strains))

    def from_pretension(self, load: float) -> float:
        """Return the strain at a ``load`` as strip tests count it: on from the length under the pretension."""
        return (1.0 + self.at(load)) / (1.0 + self.at(PRETENSION)) - 1.0

    def taut_at(self, load: float) -> float:
        """Return the share of the floats that are taut at a ``load`` (N/m)."""
        return float(np.interp(load, self.loads, self.taut))

    def other_at(self, load: float) -> float:
        """Return the strain the other way at a ``load`` (N/m); below 0 where the fabric gets narrower."""
        return float(np.interp(load, self.loads, [one.other for one in self.points]))


def curve_of(
    fabric: Fabric,
    along: Along,
    loads: Iterable[float],
    *,
    rest: Equilibrium | None = None,
    rough: bool = False,
    progress: Progress | None = None,
) -> Curve:
    """Return the curve of a ``fabric``, from its ``rest`` if that is known; the pretension is always one of its points.

    ``rough``: no more points than that and where the first float goes taut.
    """
    wanted = sorted({0.0, PRETENSION, *loads})
    for load in wanted:
        if not 0.0 <= load < np.inf:  # nan is in neither
            raise InputError("load", f"{load:g} N/m", "loads of 0 and more", "leave it out")
    rests = [rest or come_to_rest(fabric, progress=progress)]
    for before, load in pairwise(wanted):
        steps = (LEAST_PART * (load - before), np.inf if rough else FINE)
        rests += _between(fabric, along, rests[-1], (before, load), steps, progress)
    floats = len(fabric.mesh.floats)
    numbers = [] if not floats else [0] if rough else [0, (floats - 1) // 2]
    kinks = [_taut_from(fabric, along, rests, number, progress) for number in numbers]
    kinked = [one for one in kinks if one is not None and one is not rests[0]]
    rests = sorted([*rests, *kinked], key=partial(_load, along=along))
    for _ in range(0 if rough else LOOKS):
        looked = [_middle(fabric, along, rests[n : n + 2], progress) for n in _bent(rests, kinked, along)]
        rests = sorted([*rests, *looked], key=partial(_load, along=along))
    points = [_point(one, along) for one in rests]
    first, half = ([None if one is None else strain_of(one, along) for one in kinks] + [None, None])[:2]
    return Curve(
        along=along,
        relaxed=relaxed_of(rests[0]),
        points=tuple(one for n, one in enumerate(points) if n == 0 or one.load > points[n - 1].load),
        floats=floats,
        first_taut=first,
        half_taut=half,
    )


def _between(
    fabric: Fabric,
    along: Along,
    start: Equilibrium,
    loads: tuple[float, float],
    steps: tuple[float, float],
    progress: Progress | None,
) -> list[Equilibrium]:
    """Return the rest at the second of two ``loads`` that follows ``start`` at the first, and those between.

    ``steps``: the least step of the load, N/m, and the most of the strain.
    """
    (before, load), (least, fine) = loads, steps
    try:
        found: Equilibrium | None = pulled(fabric, along, load, start, progress)
    except NoEquilibriumError:
        if load - before <= least:
            raise
        found = None
    if found is not None and (strain_of(found, along) - strain_of(start, along) <= fine or load - before <= least):
        return [found]
    middle = 0.5 * (before + load)
    first = _between(fabric, along, start, (before, middle), steps, progress)
    return first + _between(fabric, along, first[-1], (middle, load), steps, progress)


def _point(rest: Equilibrium, along: Along) -> Point:
    other: Along = "up" if along == "across" else "across"
    taut_f = taut(rest)
    return Point(
        _load(rest, along), strain_of(rest, along), strain_of(rest, other), float(taut_f.mean()) if len(taut_f) else 0.0
    )


def _load(rest: Equilibrium, along: Along) -> float:
    """Return the load that a rest is under: the dead one as it was given, what holds it as it is felt."""
    grip = rest.mesh.grip
    return 0.0 if grip is None else grip.load if grip.size is None else load_of(rest, along)


def _bent(rests: list[Equilibrium], kinked: list[Equilibrium], along: Along) -> list[int]:
    """Return the numbers of the points after which the curve may lie off the straight to the next by too much.

    Where slopes differ by d on both sides of a point, a kink in the wider of them lies up to d/4 of its width off the
    straight. At points that are known to be kinks slopes may differ.
    """
    load_p, strain_p = (np.array([of(one, along) for one in rests]) for of in (_load, strain_of))
    wide_k = np.maximum(np.diff(load_p), 1e-12 * load_p[-1])
    slope_k = np.diff(strain_p) / wide_k
    bent = set()
    for n in range(1, len(rests) - 1):
        wider = wide_k[n - 1 : n + 1].max()
        known = any(rests[n] is kink for kink in kinked)
        if not known and 0.25 * abs(slope_k[n] - slope_k[n - 1]) * wider > BENT:
            bent |= {k for k in (n - 1, n) if wide_k[k] > 0.5 * wider}
    return sorted(bent)


def _middle(fabric: Fabric, along: Along, ends: list[Equilibrium], progress: Progress | None) -> Equilibrium:
    """Return the rest half way between two, by load."""
    return pulled(fabric, along, 0.5 * sum(_load(one, along) for one in ends), ends[0], progress)


def _taut_from(
    fabric: Fabric, along: Along, rests: list[Equilibrium], number: int, progress: Progress | None
) -> Equilibrium | None:
    """Return the rest from which on more than ``number`` floats are taut; None if they aren't by the last."""
    over = [_over(one, number) for one in rests]
    if int(taut(rests[0]).sum()) > number:
        return rests[0]
    for before, after in zip(range(len(rests)), range(1, len(rests)), strict=False):
        if over[after] > 0.0:
            begin = rests[before]
            ends = (strain_of(begin, along), strain_of(rests[after], along))

            def short(strain: float, begin: Equilibrium = begin) -> float:
                return _over(stretched(fabric, along, strain, begin, progress), number)

            if over[before] >= 0.0:
                return begin
            return stretched(fabric, along, float(brentq(short, *ends, xtol=JUST_TAUT)), begin, progress)
    return None


def _over(rest: Equilibrium, number: int) -> float:
    """Return by what share the way of the tautest float but ``number`` is longer than its yarn; below 0 if slack."""
    ratio_f = np.sort(rest.way_f / rest.mesh.floats.length_f)[::-1]
    return float(ratio_f[number]) - 1.0
