"""Counting along the rows: between which stitches each yarn is carried. Not yet how far or how tight."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fabricsim.design.chart import Grid


class Stretch(NamedTuple):
    """A yarn carried from column ``start`` of ``row`` in ``direction`` behind ``gap`` stitches."""

    yarn: int
    row: int
    start: int
    direction: int
    gap: int


def round_stretches(grid_ij: Grid, spiral: bool) -> list[Stretch]:
    """Count the floats of rows worked right to left, running on into the next row or closed on themselves."""
    rows, stitches = grid_ij.shape
    worked_p = grid_ij[:, ::-1].ravel()
    found: list[Stretch] = []
    for yarn in np.unique(worked_p):
        place_k = np.flatnonzero(worked_p == yarn)
        row_k = place_k // stitches
        next_k = np.append(place_k[1:], -1)
        next_row_k = np.append(row_k[1:], rows + 1)
        if spiral:
            floats_k = next_row_k - row_k <= 1
        else:
            last_k = next_row_k != row_k
            first_in_row_k = place_k[np.searchsorted(row_k, row_k)]
            next_k = np.where(last_k, first_in_row_k + stitches, next_k)
            floats_k = np.ones_like(last_k)
        gap_k = next_k - place_k - 1
        for k in np.flatnonzero(floats_k & (gap_k > 0)):
            start = stitches - 1 - int(place_k[k]) % stitches
            found.append(Stretch(int(yarn), int(row_k[k]), start, -1, int(gap_k[k])))
    return sorted(found, key=lambda one: (one.row, -one.start, one.yarn))


def flat_stretches(grid_ij: Grid) -> list[Stretch]:
    """Count the floats of rows worked back and forth, every yarn of a row of several held at both edges."""
    stitches = grid_ij.shape[1]
    worked_ij = grid_ij.copy()
    worked_ij[::2] = grid_ij[::2, ::-1]
    found: list[Stretch] = []
    for yarn in np.unique(worked_ij):
        held_ij = worked_ij == yarn
        carried_i = held_ij.any(axis=1) & ~held_ij.all(axis=1)
        held_ij[:, [0, -1]] |= carried_i[:, None]
        place_k = np.flatnonzero(held_ij & carried_i[:, None])
        gap_k = np.diff(place_k) - 1
        for k in np.flatnonzero((gap_k > 0) & (np.diff(place_k // stitches) == 0)):
            row, worked = divmod(int(place_k[k]), stitches)
            back = bool(row % 2)
            start = worked if back else stitches - 1 - worked
            found.append(Stretch(int(yarn), row, start, 1 if back else -1, int(gap_k[k])))
    return sorted(found, key=lambda one: (one.row, one.start * one.direction, one.yarn))
