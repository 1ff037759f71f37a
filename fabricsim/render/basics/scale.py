"""Colours that say how hard a float pulls, what yarn it has to spare or how far fabric puckers, and their scales."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import matplotlib as mpl
import numpy as np

from fabricsim.arrays import Floats, Ints
from fabricsim.units import CENTINEWTON

STEPS = 64
"""Colours of each part of the scale (chosen: no eye tells one from the next)."""
PULL_MAP, PULL_PART = "YlOrBr", (0.38, 1.0)
"""Colours of a pull, from none to the greatest: from amber to dark brown, ever darker, so that they keep their order
with every colour blindness (chosen; a test holds them apart)."""
SLACK_MAP, SLACK_PART = "PuBu", (0.28, 0.78)
"""Colours of slack, from none to the most: from pale to deeper blue, quieter than a pull (chosen, likewise)."""
PUCKER_MAP = "RdBu_r"
"""Colours of pucker, white at zero; blue and red are told apart with every common colour blindness (memory)."""
FLAT_MM = 1.0
"""Least end of the scale of pucker, mm: flat fabric must look flat (chosen)."""
MOST_SPARE = 0.20
"""Yarn to spare at the slack end of the scale, share of the float's way; what has more has its colour (chosen: looser
than anyone strands on purpose)."""
UNEVEN = 1e-9
"""Rounding left out of account when ticks are counted (chosen)."""


@dataclass(frozen=True, eq=False)
class ColourScale:
    """What colours mean, from left to right.

    ``label``: what has them; ``ends``: what they mean to the left and to the right, in words, which may be empty;
    ``ticks``: where, 0 to 1, and what is written there; ``colours_k3`` (k, 3) float, sRGB 0 to 255, equally wide;
    ``others``: further colours, each with its meaning.
    """

    label: str
    ends: tuple[str, str]
    ticks: tuple[tuple[float, str], ...]
    colours_k3: Floats
    others: tuple[tuple[str, tuple[int, int, int]], ...] = ()


@lru_cache(maxsize=4)  # there are two maps, each with its part
def _ramp(name: str, part: tuple[float, float]) -> Floats:
    colours_k3: Floats = 255.0 * mpl.colormaps[name](np.linspace(*part, STEPS))[:, :3]
    colours_k3.setflags(write=False)
    return colours_k3


def pull_colours() -> Floats:
    """Return the colours of a pull, none to the greatest, (STEPS, 3) float, sRGB 0 to 255."""
    return _ramp(PULL_MAP, PULL_PART)


def slack_colours() -> Floats:
    """Return the colours of slack, none to ``MOST_SPARE``, (STEPS, 3) float, sRGB 0 to 255."""
    return _ramp(SLACK_MAP, SLACK_PART)


def step_of(value: Floats | float, end: float, steps: int = STEPS) -> Ints:
    """Return which of ``steps`` colours stands for each ``value`` from 0 to ``end``; beyond that the last does."""
    value = np.asarray(value, dtype=np.float64)
    share = np.clip(value / end, 0.0, 1.0) if end > 0.0 else np.sign(np.maximum(value, 0.0))
    step: Ints = np.rint(share * (steps - 1)).astype(np.intp)
    return step


ROUND_ENDS = (1.0, 1.2, 1.6, 2.0, 2.4, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
"""Ends of a scale, times a power of ten, whose half is a round figure too (chosen)."""


def round_end(newtons: float) -> float:
    """Return the end, in N, of a scale of pulls up to ``newtons``: the next round figure in cN; 0 if none pulls."""
    if newtons <= 0.0:
        return 0.0
    power = 10.0 ** np.floor(np.log10(newtons / CENTINEWTON))
    step = next(step for step in ROUND_ENDS if step * power * CENTINEWTON >= newtons * (1.0 - UNEVEN))
    return float(step * power * CENTINEWTON)


def float_scale(greatest: float) -> ColourScale:
    """Return the scale of the floats' colours up to a pull of ``greatest`` N; of slack alone if that is 0."""
    spare = [(1.0, f"{100 * MOST_SPARE:g} %"), (0.5, f"{50 * MOST_SPARE:g} %")]
    if greatest <= 0.0:
        ticks = [*((1.0 - share, text) for share, text in spare), (1.0, "0")]
        return ColourScale("slack floats: yarn to spare", ("", ""), tuple(ticks), slack_colours()[::-1])
    pulls = [(share, f"{share * greatest / CENTINEWTON:.3g} cN") for share in (0.5, 1.0)]
    ticks = [(0.5 - 0.5 * share, text) for share, text in spare]
    ticks += [(0.5, "0"), *((0.5 + 0.5 * share, text) for share, text in pulls)]
    colours_k3 = np.concatenate([slack_colours()[::-1], pull_colours()])
    return ColourScale("floats", ("slack: yarn to spare", "taut: pull"), tuple(ticks), colours_k3)


def pucker_end(height_mm: Floats) -> float:
    """Return the end of a scale of pucker, mm: the next half millimetre, but at least ``FLAT_MM``."""
    return max(FLAT_MM, float(np.ceil(2.0 * np.abs(height_mm).max(initial=0.0)) / 2.0))
