"""A piece with bands as it was tried, and the ways that even its bands out: what passes between processes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from fabricsim.design.catches.plan import listed_holds, with_catches
from fabricsim.design.rows.squares import Hold
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.row_bands import RowBand
from fabricsim.errors import FabricsimError
from fabricsim.study.change.banding import BandWidths, ChartBand, band_widths
from fabricsim.study.change.search import AS_GOOD, floats_over
from fabricsim.study.forecast.forecast import Forecast, Stage, forecast

AgreeKind = Literal["slack", "catches", "needles", "needles and slack"]
AGREE_KINDS: tuple[AgreeKind, ...] = ("slack", "catches", "needles")
"""Ways that are always tried; needles and slack together where none of these does."""


@dataclass(frozen=True)
class PieceTried:
    """The piece of a ``scene`` as forecast with every float alike, how wide its ``bands`` lie, and how many floats are
    ``over`` the limits."""

    scene: Scene
    forecast: Forecast
    bands: BandWidths
    over: int

    @property
    def apart(self) -> float:
        """By what share of the gauge's width the widest band lies wider than the narrowest."""
        return self.bands.apart


@dataclass(frozen=True)
class AgreeWay:
    """One kind of way: what each band is worked with, ``looser_k`` per cent and ``sizes_k`` of needles more than now,
    and the catches (``holds``) that come; what came of it when it was ``tried``; None if nothing of this kind widens
    the narrow bands. ``catches``: how many there were to choose from, where they are the way."""

    kind: AgreeKind
    looser_k: tuple[int, ...]
    sizes_k: tuple[int, ...]
    holds: tuple[Hold, ...]
    tried: PieceTried | None
    catches: int = 0


def does(tried: PieceTried, within: float) -> bool:
    """Return whether bands differ by no more than ``within``."""
    return tried.apart <= within + AS_GOOD


@dataclass(frozen=True)
class AgreeTask:
    """All that it takes to look for a way of one ``kind``, in whatever process."""

    kind: AgreeKind
    scene: Scene
    bands: tuple[ChartBand, ...]
    within: float
    case: Case
    now: PieceTried


def scene_with(
    scene: Scene,
    bands: Sequence[ChartBand],
    looser_k: Sequence[int],
    sizes_k: Sequence[int],
    holds: Sequence[Hold] = (),
) -> Scene:
    """Return a ``scene`` whose bands are worked so much looser (per cent) and on such needles, with more catches."""
    made = [one for one in scene.bands if ChartBand(one.first - 1, one.last - 1) not in bands]
    for band, looser, sizes in zip(bands, looser_k, sizes_k, strict=True):
        own = scene.band_of(band.first)
        slack = round((own.looser if own is not None else 0.0) + 0.01 * looser, 6)
        needle = (own.needle_sizes if own is not None else 0) + sizes
        if slack or needle:
            made.append(RowBand(first=band.first + 1, last=band.last + 1, looser=slack, needle_sizes=needle))
    other = scene.model_copy(update={"bands": tuple(sorted(made, key=lambda one: one.first))})
    return with_catches(other, listed_holds(scene) | set(holds)) if holds else other


def try_piece(task: AgreeTask, scene: Scene) -> PieceTried | None:
    """Return a piece as it is forecast; None where it can't be worked or finds no rest."""
    try:
        return tried_piece(scene, task.bands, task.case)
    except FabricsimError:
        return None


def tried_piece(scene: Scene, bands: Sequence[ChartBand], case: Case, stage: Stage | None = None) -> PieceTried:
    found = forecast(scene, case, even=True, band=False, branch=False, stage=stage)
    return PieceTried(scene, found, band_widths(scene, bands, found.measures), floats_over(scene))
