"""Where everything goes: the fixed sparsity of the Hessian and the constant matrices that fill it.

Positions and directions share one structure: a span takes the same share of x, y and z of a point. So the pattern is
found for pairs of places, each a 3 x 3 block, and elements are added into place block by block.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from fabricsim.arrays import Floats, Indices, Ints
from fabricsim.breaks import asked
from fabricsim.mechanics.terms import AXES, PERIODS, Term, points_of

BLOCK = AXES * AXES
AT_A_TIME = 20_000
"""Elements whose pairs are listed at a time, for the sake of memory (chosen)."""


@dataclass(frozen=True, eq=False)
class Pattern:
    """``free_f`` numbers the free unknowns; ``gather_t`` lead the blocks of each term (b x m x m, 9) to the blocks of
    the pairs of places that are stored; the last ``periods`` of the free unknowns are sizes of a cell.

    ``start_nc`` (n, 3) m: where the nodes lie at the start.
    ``indices``, ``indptr``, ``source`` spread those, flat, to the full symmetric matrix in compressed columns.
    """

    free_f: Ints
    gather_t: tuple[sparse.csr_array, ...]
    pairs: int
    periods: int
    start_nc: Floats
    indices: Indices
    indptr: Indices
    source: Ints

    def add(self, total_eb: Floats, number: int, block_bqq: Floats) -> None:
        """Add the blocks (b, q, q) of term ``number`` to the stored ones (pairs, 9)."""
        count, spans = len(block_bqq), block_bqq.shape[1] // AXES
        by_span = block_bqq.reshape(count, spans, AXES, spans, AXES).transpose(0, 1, 3, 2, 4)
        total_eb += self.gather_t[number] @ by_span.reshape(-1, BLOCK)

    def fill(self, value_eb: Floats) -> sparse.csc_array:
        """Return the (f, f) matrix whose stored blocks are ``value_eb`` (pairs, 9)."""
        size = len(self.free_f)
        return sparse.csc_array((value_eb.ravel()[self.source], self.indices, self.indptr), shape=(size, size))


def find_pattern(terms: Sequence[Term], start_nc: Floats, periodic: bool, free_f: Ints) -> Pattern:
    """Return the pattern of the Hessian of ``terms`` in the free unknowns ``free_f``; its nodes start at
    ``start_nc``."""
    nodes = len(start_nc)
    places = nodes + (PERIODS if periodic else 0)
    listed = [_pairs_of(term, nodes, periodic, places) for term in terms]
    diagonal = np.arange(places) * (places + 1)  # present even where no element touches it, for shifts
    pair_e, slot = np.unique(np.concatenate([*(key for key, _, _ in listed), diagonal]), return_inverse=True)
    ends = np.cumsum([len(key) for key, _, _ in listed])
    gather_t = tuple(
        sparse.coo_array((share, (row, column)), shape=(len(pair_e), _span_pairs(term))).tocsr()
        for term, row, (_, column, share) in zip(terms, np.split(slot, ends)[:-1], listed, strict=True)
    )
    periods = int((free_f >= AXES * nodes).sum())
    columns = _columns(pair_e // places, pair_e % places, places, nodes, free_f)
    return Pattern(free_f, gather_t, len(pair_e), periods, start_nc, *columns)


def _span_pairs(term: Term) -> int:
    return len(term.node_bp) * len(term.geometry.combine_mp) ** 2


def _pairs_of(term: Term, nodes: int, periodic: bool, places: int) -> tuple[Ints, Indices, Floats]:
    """Return, for every way in which two spans of an element touch two places in order, the key of those places, the
    number of the element's pair of spans, and the share with which it counts."""
    place_bp, share_bmp = points_of(term, nodes, periodic)
    spans = share_bmp.shape[1]
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


def _columns(low_e: Ints, high_e: Ints, places: int, nodes: int, free_f: Ints) -> tuple[Indices, Indices, Ints]:
    """Return indices and column starts of the full matrix in the free unknowns, and where each value is stored."""
    off = low_e != high_e
    number = np.arange(len(low_e))
    row = np.concatenate([low_e, high_e[off]])
    column = np.concatenate([high_e, low_e[off]])
    turned = np.concatenate([np.zeros(len(low_e), dtype=bool), np.ones(int(off.sum()), dtype=bool)])
    pair = np.concatenate([number, number[off]])
    order = np.lexsort((row, column))
    row, column, turned, pair = row[order], column[order], turned[order], pair[order]
    c_column, c_row = (a.ravel() for a in np.indices((AXES, AXES)))
    # Blocks on the diagonal are read from their upper triangle, so that the matrix is symmetric to the last bit.
    upright = np.minimum(c_row, c_column) * AXES + np.maximum(c_row, c_column)
    within = np.where(
        (row == column)[:, None],
        upright,
        np.where(turned[:, None], c_column * AXES + c_row, c_row * AXES + c_column),
    )
    slot = pair[:, None] * BLOCK + within
    # From blocks in the order (column place, row place) to entries in the order (column, row).
    height = np.bincount(column, minlength=places)
    start = np.concatenate([[0], np.cumsum(height)])
    rank = np.arange(len(row)) - start[column]
    where = BLOCK * start[column][:, None] + AXES * (c_column * height[column][:, None] + rank[:, None]) + c_row
    source, at_row, at_column = (np.empty(where.size, dtype=np.intp) for _ in range(3))
    source[where] = slot
    at_row[where] = AXES * row[:, None] + c_row
    at_column[where] = AXES * column[:, None] + c_column
    number_k = np.full(AXES * places, -1)
    number_k[padded(free_f, nodes)] = np.arange(len(free_f))
    kept = (number_k[at_row] >= 0) & (number_k[at_column] >= 0)
    indptr = np.concatenate([[0], np.cumsum(np.bincount(number_k[at_column[kept]], minlength=len(free_f)))])
    return number_k[at_row[kept]].astype(np.int32), indptr.astype(np.int32), source[kept]


def padded(unknown_k: Ints, nodes: int) -> Ints:
    """Return the numbers of unknowns among the components of all places: a period is one component of its own."""
    return np.where(unknown_k < AXES * nodes, unknown_k, AXES * nodes + (AXES + 1) * (unknown_k - AXES * nodes))
