"""Measures of shaped fabric, whose rows differ in their count: heights off what is smooth, and which rows
make a grid."""

from __future__ import annotations

from itertools import groupby

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask, dot
from fabricsim.fabric.mesh import Mesh

SMOOTH = 6
"""Harmonics round a row that are its shape and no pucker: bends longer than a sixth of the round (chosen: a dish such
as a yoke bends into a saddle by itself)."""
APART = 1.03
"""How far apart the ends of a float lie in plain fabric, over its stitches at the gauge, from which they count as drawn
apart (chosen: a slack of 5 % is what is usual at the least, and hands vary by as much as is left of it)."""
SAMPLES = 256
"""Points of a round by which its length is measured (derived: to 1e-4 with so many harmonics)."""


def knitted_rows(mesh: Mesh) -> int:
    """Return how many rows a mesh has, the yarn that draws up a top being none."""
    return mesh.rows - int(mesh.standing is not None and mesh.standing.apex >= 0)


def counts(mesh: Mesh) -> Ints:
    """Return the stitches of every row, (rows,) int, without that of a drawn-up top."""
    return np.bincount(mesh.row_n, minlength=mesh.rows)[: knitted_rows(mesh)]


def round_lengths(mesh: Mesh, x_nc: Floats) -> Floats:
    """Return how far round every round of a tube is, (rows,) m, along its large bends: as a tape laid on it finds,
    wherever the round goes, up and down too."""
    lengths = []
    for row, count in enumerate(counts(mesh).tolist()):
        spectrum = np.fft.rfft(x_nc[mesh.row_n == row], axis=0)
        spectrum[SMOOTH + 1 :] = 0.0
        smooth_pc = np.fft.irfft(spectrum, n=count, axis=0)
        if count > 2 * SMOOTH:
            smooth_pc = np.fft.irfft(spectrum, n=SAMPLES, axis=0) * (SAMPLES / count)
        lengths.append(np.linalg.norm(np.diff(smooth_pc, axis=0, append=smooth_pc[:1]), axis=1).sum())
    return np.array(lengths)


def drawn_apart(mesh: Mesh) -> Mask:
    """Return which floats bridge stitches that shaping draws apart, (f,) bool: below those that are made, above a
    round in which many go; by plain fabric, before any float pulls."""
    table = mesh.floats
    if mesh.standing is None:
        return np.zeros(len(table), dtype=bool)
    far_f = np.linalg.norm(np.diff(mesh.rest_nc[table.node_f2], axis=1)[:, 0], axis=1)
    return np.asarray(far_f > APART * table.span_f)


def tallness(mesh: Mesh, x_nc: Floats) -> Floats:
    """Return how far apart each row lies from the one below, the mean over its legs, (rows - 1,) m."""
    standing = mesh.standing
    assert standing is not None
    row_b = standing.row_n[standing.leg_b2[:, 1]]
    far_b = np.linalg.norm(np.diff(x_nc[standing.leg_b2], axis=1)[:, 0], axis=1)
    rows = knitted_rows(mesh)
    sum_i, many_i = np.bincount(row_b, far_b, mesh.rows), np.bincount(row_b, minlength=mesh.rows)
    return np.asarray((sum_i / np.maximum(many_i, 1))[1:rows])


def heights(mesh: Mesh, x_nc: Floats, normal_nc: Floats) -> Floats:
    """Return how far each stitch has come off the plain shape towards the face, (n,) m, less what is smooth.

    ``normal_nc`` (n, 3): of the plain shape. Of a tube the oval of each row is smooth, of flat fabric the best
    surface of second degree both ways.
    """
    off_n = dot(x_nc - x_nc.mean(axis=0) - (mesh.rest_nc - mesh.rest_nc.mean(axis=0)), normal_nc)
    height_n = np.zeros_like(off_n)
    if mesh.case != "round":
        count_n = counts(mesh)[mesh.row_n]
        u_n = 2.0 * (mesh.column_n + 0.5) / count_n - 1.0
        v_n = 2.0 * mesh.row_n / max(1, mesh.rows - 1) - 1.0
        basis = np.polynomial.polynomial.polyvander2d(u_n, v_n, [2, 2])
        return np.asarray(off_n - basis @ np.linalg.lstsq(basis, off_n, rcond=None)[0])
    for row in range(knitted_rows(mesh)):
        here = np.flatnonzero(mesh.row_n == row)
        spectrum = np.fft.rfft(off_n[here])
        spectrum[: SMOOTH + 1] = 0.0
        height_n[here] = np.fft.irfft(spectrum, n=len(here))
    return height_n


def level_rows(mesh: Mesh) -> slice:
    """Return the longest run of rows that have one count, the lowest of equals."""
    best, at = slice(0, 0), 0
    for _, group in groupby(counts(mesh).tolist()):
        many = len(list(group))
        if many > best.stop - best.start:
            best = slice(at, at + many)
        at += many
    return best


def grid_of(mesh: Mesh, value_n: Floats, rows: slice) -> Floats:
    """Return values of the stitches of ``rows`` of one count as a (rows, stitches) array."""
    kept = (mesh.row_n >= rows.start) & (mesh.row_n < rows.stop)
    grid = np.empty((rows.stop - rows.start, int(counts(mesh)[rows.start])))
    grid[mesh.row_n[kept] - rows.start, mesh.column_n[kept]] = value_n[kept]
    return grid
