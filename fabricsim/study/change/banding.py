"""Bands of a chart that lie above one another: which rows they are, and how wide each comes to lie in one piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from fabricsim.arrays import Floats, Mask
from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.measures import Measures
from fabricsim.study.forecast.forecast import Forecast, likely

PLAIN_BETWEEN = 2
"""Rows of one yarn that part two bands, at the least (chosen: a single one is often part of a motif)."""


class ChartBand(NamedTuple):
    """Rows of the chart from the ``first`` to the ``last``, from 0."""

    first: int
    last: int

    def holds(self, row: int | None) -> bool:
        """Return whether a row of the chart, from 0, is one of these; None is none."""
        return row is not None and self.first <= row <= self.last


def bands_of_chart(chart_ij: Rows) -> list[ChartBand]:
    """Return the bands of a chart, the lowest first: rows of several yarns, parted by rows of one."""
    found: list[ChartBand] = []
    for row, yarn_j in enumerate(chart_ij):
        if len(set(yarn_j)) == 1:
            continue
        if found and row - found[-1].last <= PLAIN_BETWEEN:
            found[-1] = ChartBand(found[-1].first, row)
        else:
            found.append(ChartBand(row, row))
    return found


@dataclass(frozen=True)
class BandWidths:
    """How wide bands come to lie: ``lost_k``, the share of the gauge's width that each loses, the mean of its rows in
    all repeats up; below 0 where it lies wider."""

    lost_k: tuple[float, ...]

    @property
    def apart(self) -> float:
        """By what share of the gauge's width the widest lies wider than the narrowest."""
        return max(self.lost_k) - min(self.lost_k)


def rows_of_bands(scene: Scene, bands: Sequence[ChartBand], rows: int) -> list[Mask]:
    """Return for each band which of so many ``rows`` of the piece show it, (rows,) bool."""
    shown = [scene.chart_row_of(row) for row in range(rows)]
    return [np.array([band.holds(row) for row in shown]) for band in bands]


def band_widths(scene: Scene, bands: Sequence[ChartBand], measured: Measures) -> BandWidths:
    """Return how wide each band lies in a piece that was ``measured``."""
    loss_i = measured.widths.loss_i
    return BandWidths(tuple(float(loss_i[in_i].mean()) for in_i in rows_of_bands(scene, bands, len(loss_i))))


@dataclass(frozen=True)
class LikelySteps:
    """Between what nine pieces in ten lie, of hands that carry floats unevenly: the share that each band loses
    (``low_k``, ``high_k``), by how much the band above each loses more than it (``low_s``, ``high_s``), how far the
    widest and the narrowest are ``apart``; the width of every row of the piece (``low_i``, ``high_i``) (rows,) m."""

    lost_k: tuple[tuple[float, float], ...]
    step_s: tuple[tuple[float, float], ...]
    apart: tuple[float, float]
    width_i: tuple[tuple[float, float], ...]


def likely_steps(scene: Scene, bands: Sequence[ChartBand], found: Forecast) -> LikelySteps:
    """Return what a forecast with its pieces says of bands."""
    lost_pk = np.array([band_widths(scene, bands, one).lost_k for one in found.at_rest])
    step_ps = np.diff(lost_pk, axis=1)
    low_i, high_i = found.width_range()
    return LikelySteps(
        _ends(lost_pk, found.lost),
        _ends(step_ps, found.lost),
        _ends(np.ptp(lost_pk, axis=1)[:, None], found.lost)[0],
        tuple(zip(low_i.tolist(), high_i.tolist(), strict=True)),
    )


def _ends(value_pk: Floats, lost: int) -> tuple[tuple[float, float], ...]:
    low_k, high_k = likely(value_pk, lost)
    return tuple(zip(low_k.tolist(), high_k.tolist(), strict=True))
