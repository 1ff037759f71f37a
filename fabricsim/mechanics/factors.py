"""Factors of a Hessian: a banded Cholesky where the unknowns can be numbered in a narrow band, else a sparse LU.

Stitches are numbered row by row and coupled to a few rows and a few stitches only, so a band holds them; LAPACK's
banded Cholesky works on it in blocks, several times faster than a sparse factorisation that has to look for its
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
from functools import cached_property
from typing import Any, Protocol
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import reverse_cuthill_mckee
from scipy.sparse.linalg import SuperLU, splu

from fabricsim.arrays import Floats, Ints
from fabricsim.mechanics import lapack
from fabricsim.mechanics.pattern import Pattern, runs
from fabricsim.mechanics.stopping import largest
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
FEWEST_ITERATIONS, MOST_ITERATIONS = 4, 28
HALFWAY = 60.0
"""The same with sparse factors: an iteration costs a fortieth of a factorisation where columns of the factors are long,
and more where they are short: half of that where they have ``HALFWAY`` entries (measured on nets and fabrics of 150 to
10,000 stitches)."""


class Factors(Protocol):
    """Factors of a positive definite matrix, or of one near it."""

    @property
    def patience(self) -> int:
        """How many conjugate gradients with these factors are cheaper than new ones."""
        ...

    def solve(self, force_f: Floats) -> Floats:
        """Return what the factors make of a force (f,)."""
        ...

    def solve_all(self, force_fm: Floats) -> Floats:
        """Return what the factors make of several forces (f, m), none of them near what their precision can't hold."""
        ...


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

    def band(self, matrix: sparse.csc_array, kind: type[np.floating[Any]]) -> NDArray[Any]:
        """Return the upper band (half + 1, m) of a matrix as LAPACK stores it."""
        size = len(self.order_m)
        flat = np.zeros((self.half + 1) * size, dtype=kind)
        flat[self.put_k] = matrix.data[self.take_k]
        return flat.reshape((self.half + 1, size), order="F")

    def beside(self, matrix: sparse.csc_array) -> tuple[Floats, Floats]:
        """Return what ties the band to the border (m, b), and the border's own (b, b)."""
        ties_mb = np.zeros((len(self.order_m), len(self.border_b)))
        ties_mb[self.touch_row_k, self.touch_column_k] = matrix.data[self.touch_k]
        return ties_mb, matrix[self.border_b][:, self.border_b].toarray()


_known: WeakKeyDictionary[Pattern, dict[float, Numbering | None]] = WeakKeyDictionary()
"""Numberings of patterns in use: a fabric let go again at another slack has the pattern that it had."""


def numbering(pattern: Pattern, left_out: float = LEFT_OUT, former: Numbering | None = None) -> Numbering | None:
    """Return the narrowest numbering of the unknowns of a pattern; None where sparse factors are as good.

    ``left_out``: share of the entries that may be left out beyond the band. ``former``: what was narrowest before some
    elements were added; where they fit into that, nothing else is looked for.
    """
    known = _known.setdefault(pattern, {})
    if left_out not in known:
        known[left_out] = _numbered(pattern, left_out, former)
    return known[left_out]


def _numbered(pattern: Pattern, left_out: float, former: Numbering | None) -> Numbering | None:
    size, inner = len(pattern.free_f), len(pattern.free_f) - pattern.periods
    if inner == 0:
        return None
    # Nodes are numbered, by the entries of one component of each.
    free_n, node_f = np.unique(pattern.free_f[:inner] // AXES, return_inverse=True)
    of_one = np.flatnonzero(np.diff(node_f, prepend=-1))
    tall_n = np.diff(pattern.indptr)[of_one]
    row_k = pattern.indices[runs(pattern.indptr[of_one], tall_n)]
    column_n = np.repeat(np.arange(len(of_one)), tall_n)[row_k < inner]
    row_n = node_f[row_k[row_k < inner]]

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


def banded(place: Numbering, matrix: sparse.csc_array, kind: type[np.floating[Any]]) -> Banded | None:
    """Return the banded Cholesky of a matrix; None if it isn't positive definite as far as its precision tells."""
    if not np.isfinite(matrix.data).all():
        return None
    upper, info = lapack.cholesky(place.band(matrix, kind))
    if info != 0:
        return None
    if not len(place.border_b):
        nothing = np.zeros((len(place.order_m), 0))
        return Banded(place, upper, nothing, nothing, np.zeros((0, 0)))
    ties_mb, own_bb = place.beside(matrix)
    reach_mb = _in_band(upper, ties_mb)
    schur_bb = own_bb - ties_mb.T @ reach_mb
    schur_bb = 0.5 * (schur_bb + schur_bb.T)
    if not (np.linalg.eigvalsh(schur_bb) > 0.0).all():
        return None
    return Banded(place, upper, ties_mb, reach_mb, np.asarray(np.linalg.inv(schur_bb)))


@dataclass(frozen=True)
class Sparse:
    """Sparse LU factors with symmetric pivots."""

    lu: SuperLU

    @cached_property
    def patience(self) -> int:
        length_f = np.diff(self.lu.L.indptr).astype(np.float64)
        mean = float((length_f**2).sum() / length_f.sum())
        return max(2, round(MOST_ITERATIONS * mean / (mean + HALFWAY)))

    def solve(self, force_f: Floats) -> Floats:
        size = largest(force_f)
        if size == 0.0:
            return np.zeros_like(force_f)
        return size * np.asarray(self.lu.solve((force_f / size).astype(self.lu.L.dtype)), dtype=np.float64)

    def solve_all(self, force_fm: Floats) -> Floats:
        return np.asarray(self.lu.solve(force_fm.astype(self.lu.L.dtype)), dtype=np.float64)


def sparse_factors(matrix: sparse.csc_array, kind: type[np.floating[Any]]) -> Sparse | None:
    """Return the sparse factors of a symmetric matrix; None if it isn't positive definite as far as its precision
    tells: with pivots on the diagonal their signs count negative eigenvalues (Sylvester's law of inertia)."""
    matrix = matrix.astype(kind, copy=True)
    matrix.eliminate_zeros()  # in flat fabric in-plane and out-of-plane have nothing to do with each other
    try:
        lu = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    except RuntimeError:  # exactly singular
        return None
    definite = np.array_equal(lu.perm_r, lu.perm_c) and bool((lu.U.diagonal() > 0.0).all())
    return Sparse(lu) if definite else None


def factors_if_definite(
    matrix: sparse.csc_array, place: Numbering | None, kind: type[np.floating[Any]]
) -> Factors | None:
    """Return factors of a symmetric ``matrix`` in a precision: banded where it has a numbering, else sparse; None if it
    isn't positive definite as far as its precision tells."""
    return sparse_factors(matrix, kind) if place is None else banded(place, matrix, kind)
