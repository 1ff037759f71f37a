"""A banded Cholesky, by LAPACK: without compiled code the quickest for fabric that can be numbered in a narrow band.

Stitches are numbered row by row and coupled to a few rows and a few stitches only, so a band holds them; LAPACK's
banded Cholesky works on it in blocks, several times faster than scipy's sparse factorisation, which has to look for its
entries. It ends at the first pivot that is not positive, which is the test for definiteness that is wanted. Several
numberings are tried and the narrowest taken: the given one; that one folded (first, last, second, last but one ...),
for fabric that closes on itself; by where the nodes lie along each axis, which runs up a spiral as it was knitted, and
along the columns of what is wider than high; and the reverse one of Cuthill and McKee (scipy's). The periods of a cell
touch everything, so they stand beside the band as a border, with a Schur complement of their own.

A few pairs that lie far apart in the numbering but touch each other in space would widen the whole band; what is
left out of it there is for conjugate gradients to make good, since factors need not be exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import reverse_cuthill_mckee

from fabricsim.arrays import Floats, Ints, largest
from fabricsim.mechanics.factors import lapack
from fabricsim.mechanics.factors.coupled import Coupled
from fabricsim.mechanics.factors.kinds import FEWEST_ITERATIONS, MOST_ITERATIONS, Kind
from fabricsim.mechanics.pattern import Pattern
from fabricsim.mechanics.terms import AXES

WIDE = 30.0
"""A band is too wide where unknowns x (half band)^2 is more than this times (stored entries)^1.5: there sparse factors
are as fast (measured on fabrics of 150 to 10,000 stitches; the first is the work in a band, the second about that of
sparse factors of a sheet)."""
LEFT_OUT = 0.001
"""Share of the entries that may be left out beyond the band (chosen: contacts of a fold are fewer)."""
WORTH = 0.8
"""Entries are left out only where that narrows the band to this share (chosen: a third less work)."""
PATIENT = 60.0
"""Half band for each conjugate gradient that is tried before new factors are made: two thirds of the time of new ones,
as an iteration costs a fortieth of what the factors do at a half band of 1,000 and less in proportion (measured)."""


@dataclass(frozen=True, eq=False)
class Numbering:
    """Where the entries of a pattern's matrix go in a band.

    ``order_m``: the unknown that comes at each place of the band; ``border_b``: unknowns beside it; ``half``: entries
    above the diagonal; ``take_k`` of the matrix's values go to ``put_k`` of the band, flat, column by column;
    ``touch_k``, ``touch_row_k``, ``touch_column_k``: values that tie the border to the band;
    ``whole``: whether nothing is left out; ``place_n``: at which place each node comes.
    """

    place_n: Ints
    order_m: Ints
    border_b: Ints
    half: int
    take_k: Ints
    put_k: Ints
    touch_k: Ints
    touch_row_k: Ints
    touch_column_k: Ints
    whole: bool

    def band(self, matrix: sparse.csc_array, kind: Kind) -> NDArray[Any]:
        """Return the upper band (half + 1, m) of a matrix as LAPACK stores it."""
        size = len(self.order_m)
        flat = np.zeros((self.half + 1) * size, dtype=kind)
        flat[self.put_k] = matrix.data[self.take_k]
        return flat.reshape((self.half + 1, size), order="F")

    def factorised(self, matrix: sparse.csc_array, kind: Kind) -> Banded | None:
        """Return the banded Cholesky of a matrix; None if it isn't positive definite as far as its precision tells."""
        if not np.isfinite(matrix.data).all():
            return None
        upper, info = lapack.cholesky(self.band(matrix, kind))
        if info != 0:
            return None
        if not len(self.border_b):
            nothing = np.zeros((len(self.order_m), 0))
            return Banded(self, upper, nothing, nothing, np.zeros((0, 0)))
        ties_mb, own_bb = self.beside(matrix)
        reach_mb = _in_band(upper, ties_mb)
        schur_bb = own_bb - ties_mb.T @ reach_mb
        schur_bb = 0.5 * (schur_bb + schur_bb.T)
        if not (np.linalg.eigvalsh(schur_bb) > 0.0).all():
            return None
        return Banded(self, upper, ties_mb, reach_mb, np.asarray(np.linalg.inv(schur_bb)))

    def beside(self, matrix: sparse.csc_array) -> tuple[Floats, Floats]:
        """Return what ties the band to the border (m, b), and the border's own (b, b)."""
        ties_mb = np.zeros((len(self.order_m), len(self.border_b)))
        ties_mb[self.touch_row_k, self.touch_column_k] = matrix.data[self.touch_k]
        return ties_mb, matrix[self.border_b][:, self.border_b].toarray()


def numbering(pattern: Pattern, left_out: float = LEFT_OUT, former: Numbering | None = None) -> Numbering | None:
    """Return the narrowest numbering of the unknowns of a pattern; None where sparse factors are as good.

    ``left_out``: share of the entries that may be left out beyond the band. ``former``: what was narrowest before some
    elements were added; where they fit into that, nothing else is looked for.
    """
    size, inner = len(pattern.free_f), len(pattern.free_f) - pattern.periods
    if inner == 0:
        return None
    coupled = Coupled.of(pattern)
    free_n, node_f, row_n, column_n = coupled.free_n, coupled.node_f, coupled.row_k, coupled.column_k

    def half_of(place_n: Ints) -> int:
        return min(AXES * _half_band(place_n, row_n, column_n, left_out) + AXES - 1, inner - 1)

    if former is not None and len(former.place_n) == len(free_n) and half_of(former.place_n) <= former.half:
        place_n = former.place_n
    else:
        place_n = min(_orders(row_n, column_n, pattern.start_nc[free_n]), key=half_of)
    half = half_of(place_n)
    if inner * half**2 > WIDE * len(pattern.indices) ** 1.5:
        return None
    order_m = np.argsort(place_n[node_f], kind="stable")  # the components of a node stay together
    place_f = np.empty(size, dtype=np.int32)
    place_f[order_m] = np.arange(inner, dtype=np.int32)
    place_f[inner:] = size  # beyond any band
    low = place_f[pattern.indices]
    high = np.repeat(place_f, np.diff(pattern.indptr))
    upper = np.flatnonzero((low <= high) & (high < size))
    low, high = low[upper], high[upper]
    near = high - low <= half
    put_k = high[near] * np.intp(half) + (low[near] + half)  # column high, row half + low - high
    begin = int(pattern.indptr[inner])  # the border comes last
    touching = begin + np.flatnonzero(pattern.indices[begin:] < inner)
    return Numbering(
        place_n=place_n,
        order_m=order_m,
        border_b=np.arange(inner, size),
        half=half,
        take_k=upper[near],
        put_k=put_k,
        touch_k=touching,
        touch_row_k=place_f[pattern.indices[touching]].astype(np.intp),
        touch_column_k=np.searchsorted(pattern.indptr, touching, side="right") - 1 - inner,
        whole=bool(near.all()),
    )


def _orders(row_n: Ints, column_n: Ints, start_nc: Floats) -> list[Ints]:
    """Return the numberings that are tried: at which place each node comes, (n,) int."""
    nodes = len(start_nc)
    given = np.arange(nodes)
    graph = sparse.csr_array((np.ones(len(row_n), dtype=np.int8), (row_n, column_n)), shape=(nodes, nodes))
    found = [np.argsort(along_n, kind="stable") for along_n in start_nc.T]
    found.append(reverse_cuthill_mckee(graph, symmetric_mode=True).astype(np.intp))
    folded = np.minimum(2 * given, 2 * (nodes - given) - 1)
    return [given, folded, *(np.argsort(order_n, kind="stable") for order_n in found)]


def _half_band(place_n: Ints, row_n: Ints, column_n: Ints, left_out: float) -> int:
    """Return the half band of nodes that holds all entries, or nearly all where that is much narrower."""
    far = np.abs(place_n[row_n] - place_n[column_n])
    whole = int(far.max(initial=0))
    counts = np.bincount(far, minlength=whole + 1)
    beyond = np.cumsum(counts[::-1])[::-1]  # entries at this distance or farther
    most = left_out * len(far)
    trimmed = int(np.searchsorted(-beyond, -most)) - 1  # the nearest beyond which few enough lie
    trimmed = max(trimmed, 0)
    return trimmed if trimmed <= WORTH * whole else whole


@dataclass(frozen=True, eq=False)
class Banded:
    """A banded Cholesky, ``upper`` (half + 1, m) as LAPACK leaves it, with its border: ``reach_mb`` (m, b) what the
    band makes of the ties, ``corner_bb`` the inverse of the Schur complement."""

    numbering: Numbering
    upper: NDArray[Any]
    ties_mb: Floats
    reach_mb: Floats
    corner_bb: Floats

    @property
    def patience(self) -> int:
        return int(np.clip(round(self.numbering.half / PATIENT), FEWEST_ITERATIONS, MOST_ITERATIONS))

    def solve(self, force_f: Floats) -> Floats:
        order_m, border_b = self.numbering.order_m, self.numbering.border_b
        size = largest(force_f)  # scaled to one: forces near rest lie below what single precision can hold
        if size == 0.0:
            return np.zeros_like(force_f)
        inner_m = _in_band(self.upper, force_f[order_m, None] / size)[:, 0]
        solved_f = np.empty_like(force_f)
        if len(border_b):
            outer_b = self.corner_bb @ (force_f[border_b] / size - inner_m @ self.ties_mb)
            inner_m = inner_m - self.reach_mb @ outer_b
            solved_f[border_b] = size * outer_b
        solved_f[order_m] = size * inner_m
        return solved_f

    def solve_all(self, force_fm: Floats) -> Floats:
        order_m, border_b = self.numbering.order_m, self.numbering.border_b
        inner_mm = _in_band(self.upper, force_fm[order_m])
        solved_fm = np.empty_like(force_fm)
        if len(border_b):
            outer_bm = self.corner_bb @ (force_fm[border_b] - self.ties_mb.T @ inner_mm)
            inner_mm = inner_mm - self.reach_mb @ outer_bm
            solved_fm[border_b] = outer_bm
        solved_fm[order_m] = inner_mm
        return solved_fm


def _in_band(upper: NDArray[Any], right_mb: Floats) -> Floats:
    """Return what a banded Cholesky makes of several right sides (m, b)."""
    right = right_mb.astype(upper.dtype, order="F")
    return np.asarray(lapack.solved(upper, right), dtype=np.float64)
