"""Where everything goes: the fixed sparsity of the Hessian and the constant matrices that fill it.

Positions and directions share one structure: a span takes the same share of x, y and z of a point. So the pattern is
found for pairs of places, each a 3 x 3 block, and elements are added into place block by block.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse

from fabricsim.arrays import Floats, Indices, Ints
from fabricsim.breaks import asked
from fabricsim.mechanics.compiled import compiled_columns
from fabricsim.mechanics.terms import AXES, PERIODS, Term, points_of, span_matrix

BLOCK = AXES * AXES
AT_A_TIME = 20_000
"""Elements whose pairs are listed at a time, for the sake of memory (chosen)."""


@dataclass(frozen=True, eq=False)
class Pattern:
    """``free_f`` numbers the free unknowns; of each term ``reach_t`` says which pairs of places it joins and ``own_t``
    (int32) where those are among all ``pairs`` that are stored, each with a block of 9; the last ``periods`` of the
    free unknowns are sizes of a cell.

    ``start_nc`` (n, 3) m: where the nodes lie at the start.
    ``indices``, ``indptr``, ``source`` spread those, flat, to the full symmetric matrix in compressed columns.
    """

    free_f: Ints
    reach_t: tuple[Reach, ...]
    own_t: tuple[Indices, ...]
    pairs: int
    periods: int
    start_nc: Floats
    indices: Indices
    indptr: Indices
    source: Ints

    @cached_property
    def gather_t(self) -> tuple[sparse.csr_array, ...]:
        """What leads the blocks of each term (b x m x m, 9) to the blocks of the pairs that are stored."""
        return tuple(_widened(reach, own, self.pairs) for reach, own in zip(self.reach_t, self.own_t, strict=True))

    @cached_property
    def pair_t(self) -> tuple[Indices, ...]:
        """Of each term the stored pair (b, z) that each pair of its elements' points adds to; -1 where none."""
        return tuple(
            np.where(reach.pair_bz < 0, np.int32(-1), own[reach.pair_bz])
            for reach, own in zip(self.reach_t, self.own_t, strict=True)
        )

    def add(self, total_eb: Floats, number: int, block_bqq: Floats) -> None:
        """Add the blocks (b, q, q) of term ``number`` to the stored ones (pairs, 9)."""
        count, spans = len(block_bqq), block_bqq.shape[1] // AXES
        by_span = block_bqq.reshape(count, spans, AXES, spans, AXES).transpose(0, 1, 3, 2, 4)
        total_eb += self.gather_t[number] @ by_span.reshape(-1, BLOCK)

    def fill(self, value_eb: Floats) -> sparse.csc_array:
        """Return the (f, f) matrix whose stored blocks are ``value_eb`` (pairs, 9)."""
        size = len(self.free_f)
        matrix = sparse.csc_array((size, size))  # filled by hand, as scipy looks through what it is handed
        matrix.data, matrix.indices, matrix.indptr = value_eb.ravel().take(self.source), self.indices, self.indptr
        return matrix


@dataclass(frozen=True, eq=False)
class Reach:
    """What the elements of one ``term`` draw on, among ``nodes`` and, if ``periodic``, the two periods of a cell.

    ``place_bp`` (b, p): the places of each element, periods last; ``crossed_bma`` (b, m, 2): how many periods lie
    between the ends of its spans, None where there are none; ``key_e``: the pairs of places that they join, sorted;
    ``pair_bz`` (b, p (p + 1) / 2) int32: which of those each pair of points is, -1 where it joins nothing.
    """

    term: Term
    nodes: int
    periodic: bool
    place_bp: Ints
    crossed_bma: Floats | None
    key_e: Ints
    pair_bz: Indices

    @cached_property
    def span(self) -> sparse.csr_array:
        """What makes the spans (spans, places)."""
        return span_matrix(self.term, self.nodes, self.periodic)

    @cached_property
    def turned(self) -> sparse.csc_array:
        """The transpose of ``span``."""
        return self.span.T

    @cached_property
    def gather(self) -> sparse.csr_array:
        """What leads the blocks of the elements' pairs of spans to those of the pairs of places, (e, b x m x m)."""
        key_k, column_k, share_k = _pairs_of(self.term, self.nodes, self.periodic)
        row_k = np.searchsorted(self.key_e, key_k).astype(np.int32)
        many = len(self.term.node_bp) * len(self.term.geometry.combine_mp) ** 2
        return sparse.coo_array((share_k, (row_k, column_k)), shape=(len(self.key_e), many)).tocsr()


def reach_of(term: Term, nodes: int, periodic: bool) -> Reach:
    """Return what the elements of a term draw on, among so many nodes."""
    place_bp, share_bmp = points_of(term, nodes, periodic)
    used_bp = np.broadcast_to((share_bmp != 0.0).any(axis=1), place_bp.shape)
    crossed_bma = share_bmp[:, :, -PERIODS:] if periodic and used_bp[:, -PERIODS:].any() else None
    places = nodes + (PERIODS if periodic else 0)
    one_z, other_z = np.triu_indices(place_bp.shape[1])
    keys = []
    for begin in range(0, len(place_bp), AT_A_TIME):
        asked()
        here = slice(begin, begin + AT_A_TIME)
        one_bz, other_bz = place_bp[here, one_z], place_bp[here, other_z]
        key_bz = np.minimum(one_bz, other_bz) * places + np.maximum(one_bz, other_bz)
        keys.append(np.where(used_bp[here, one_z] & used_bp[here, other_z], key_bz, -1))
    key_bz = np.concatenate(keys)
    asked()
    key_e = _sorted_once(key_bz.ravel())
    key_e = key_e[np.searchsorted(key_e, 0) :]
    pair_bz = np.where(key_bz < 0, -1, np.searchsorted(key_e, key_bz)).astype(np.int32)
    return Reach(term, nodes, periodic, place_bp, crossed_bma, key_e, pair_bz)


def find_pattern(reach_t: Sequence[Reach], start_nc: Floats, periodic: bool, free_f: Ints) -> Pattern:
    """Return the pattern of the Hessian of terms that reach so far, in the free unknowns ``free_f``; its nodes start
    at ``start_nc``."""
    nodes = len(start_nc)
    places = nodes + (PERIODS if periodic else 0)
    diagonal = np.arange(places) * (places + 1)  # present even where no element touches it, for shifts
    key_e = _sorted_once(np.concatenate([*(one.key_e for one in reach_t), diagonal]))
    own_t = tuple(np.searchsorted(key_e, one.key_e).astype(np.int32) for one in reach_t)
    periods = int((free_f >= AXES * nodes).sum())
    low_e, high_e = (one.astype(np.int32) for one in divmod(key_e, places))
    number_k = np.full(AXES * places, -1, dtype=np.int32)
    number_k[padded(free_f, nodes)] = np.arange(len(free_f), dtype=np.int32)
    asked()
    columns = compiled_columns(low_e, high_e, number_k, len(free_f))
    columns = columns or columns_by_arrays(low_e, high_e, number_k, len(free_f))
    return Pattern(free_f, tuple(reach_t), own_t, len(key_e), periods, start_nc, *columns)


def _sorted_once(key_k: Ints) -> Ints:
    """Return the different keys, sorted; five times as quick as numpy's ``unique``, which hashes them first."""
    sorted_k = np.sort(key_k)
    first_k = np.ones(len(sorted_k), dtype=bool)
    np.not_equal(sorted_k[1:], sorted_k[:-1], out=first_k[1:])
    return sorted_k[first_k]


def _widened(reach: Reach, own_e: Indices, pairs: int) -> sparse.csr_array:
    """Return the matrix that leads the blocks of a term to all pairs that are stored, not its own alone."""
    length_e = np.zeros(pairs + 1, dtype=np.int32)
    length_e[1 + own_e] = np.diff(reach.gather.indptr)
    indptr = np.cumsum(length_e, dtype=np.int32)
    return sparse.csr_array((reach.gather.data, reach.gather.indices, indptr), shape=(pairs, reach.gather.shape[1]))


def _pairs_of(term: Term, nodes: int, periodic: bool) -> tuple[Ints, Indices, Floats]:
    """Return, for every way in which two spans of an element touch two places in order, the key of those places, the
    number of the element's pair of spans, and the share with which it counts."""
    place_bp, share_bmp = points_of(term, nodes, periodic)
    spans, places = share_bmp.shape[1], nodes + (PERIODS if periodic else 0)
    used_mp = (share_bmp != 0.0).any(axis=0)
    m, p = np.nonzero(used_mp)
    first, second = (a.ravel() for a in np.indices((len(m), len(m))))
    span_pair = m[first] * spans + m[second]
    keys, columns, shares = [], [], []
    for begin in range(0, len(place_bp), AT_A_TIME):
        asked()
        here = slice(begin, begin + AT_A_TIME)
        place_bz = place_bp[here][:, p]
        share_bz = share_bmp[here if len(share_bmp) > 1 else slice(None)][:, m, p]
        i, j = place_bz[:, first], place_bz[:, second]
        share = np.broadcast_to(share_bz[:, first] * share_bz[:, second], i.shape)
        b, z = np.nonzero((i <= j) & (share != 0.0))
        keys.append(i[b, z] * places + j[b, z])
        columns.append(((begin + b) * spans**2 + span_pair[z]).astype(np.int32))
        shares.append(share[b, z])
    return np.concatenate(keys), np.concatenate(columns), np.concatenate(shares)


def columns_by_arrays(
    low_e: Indices, high_e: Indices, number_k: Indices, unknowns: int
) -> tuple[Indices, Indices, Ints]:
    """Return indices and column starts of the full matrix in the free unknowns, and where each value is stored.

    ``low_e``, ``high_e``: the pairs of places, sorted; ``number_k``: which unknown each component of a place is, -1 for
    none.
    """
    places = len(number_k) // AXES
    off_e = np.flatnonzero(low_e != high_e)
    # Pairs are sorted by their first place, so blocks below the diagonal, all behind those above it, are in the order
    # of their rows within every column; which a change of format keeps.
    row_k = np.concatenate([low_e[off_e], high_e])
    column_k = np.concatenate([high_e[off_e], low_e])
    number = np.arange(len(row_k))
    blocks = sparse.coo_array((number, (column_k, row_k)), shape=(places, places)).tocsr()
    height, begin, number = np.diff(blocks.indptr), blocks.indptr[:-1], blocks.data
    # A column of blocks makes three of entries: its blocks in order three times over, each with its three rows.
    run_k = runs(np.repeat(begin, AXES), np.repeat(height, AXES))
    c_column = np.repeat(np.tile(np.arange(AXES, dtype=np.int32), places), np.repeat(height, AXES))
    column = np.repeat(np.arange(places, dtype=np.int32), AXES * height)
    of_column = number_k[AXES * column + c_column]
    if (of_column < 0).any():
        run_k, c_column, of_column = (one[of_column >= 0] for one in (run_k, c_column, of_column))
    row, number = blocks.indices[run_k], number[run_k]
    turned = number >= len(off_e)
    pair = np.where(turned, number - len(off_e), off_e[np.minimum(number, len(off_e) - 1)] if len(off_e) else 0)
    # Blocks on the diagonal are read from their upper triangle, so that the matrix is symmetric to the last bit.
    diagonal = (low_e == high_e)[pair]
    asked()
    index = np.empty((len(run_k), AXES), dtype=np.int32)
    source = np.empty((len(run_k), AXES), dtype=np.intp)
    for c_row in range(AXES):
        index[:, c_row] = number_k[AXES * row + c_row]
        upright = np.minimum(c_row, c_column) * AXES + np.maximum(c_row, c_column)
        within = np.where(turned, c_column * AXES + c_row, c_row * AXES + c_column)
        source[:, c_row] = BLOCK * pair + np.where(diagonal, upright, within)
    kept = index >= 0
    length_f = np.bincount(of_column, weights=kept.sum(axis=1), minlength=unknowns)
    indptr = np.concatenate([[0], np.cumsum(length_f)]).astype(np.int32)
    if kept.all():
        return index.ravel(), indptr, source.ravel()
    return index[kept], indptr, source[kept]


def runs(begin_n: Indices, length_n: Indices) -> Ints:
    """Return the numbers of several runs, each from its beginning and so long, one after the other."""
    ends = np.cumsum(length_n)
    return np.asarray(np.arange(length_n.sum()) + np.repeat(begin_n - (ends - length_n), length_n), dtype=np.intp)


def padded(unknown_k: Ints, nodes: int) -> Ints:
    """Return the numbers of unknowns among the components of all places: a period is one component of its own."""
    return np.where(unknown_k < AXES * nodes, unknown_k, AXES * nodes + (AXES + 1) * (unknown_k - AXES * nodes))
