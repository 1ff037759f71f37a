"""Waves longer than the cell: the Hessian of an endless sheet, of which only one cell is solved.

In a sheet that repeats, anything that may happen is a sum of waves u_n exp(i k·shift): alike in every cell but for a
turn from one to the next (Bloch). Waves of different turns have nothing to do with each other in the energy's second
order, so the Hessian of a tile of any number of cells falls apart into Hermitian matrices of the size of one cell,

    K(turn) = sum over shifts of H_shift exp(2 pi i turn·shift),

with H_shift the block between the stitches of one cell and those of the cell that many periods away. It is exact: the
eigenvalues over the turns that fit a tile are those of the tile's own Hessian.

What touches has a one-sided law (a float only pulls, fabric only pushes). The second order is that of the law where it
lies: what presses or pulls at rest counts as a spring both ways, what does not counts for nothing. The sizes of the
cell take no part, since a wave that is not alike in all cells leaves them as they are in the first order.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import linalg, sparse
from scipy.sparse.linalg import LinearOperator, eigs, splu

from fabricsim.arrays import Complexes, Floats, Ints
from fabricsim.mechanics.assemble import Energy, State
from fabricsim.mechanics.terms import AXES, Term
from fabricsim.threads import one_thread

DENSE = 200
"""Unknowns up to which all of a matrix is solved at once: there it is quicker than iterating (measured)."""
BELOW = -3.0
"""Where on the scale of the other matrix eigenvalues are looked for first: below nearly all of them (chosen)."""
DEEPER = 4.0
"""How many times as far below they are looked for if any lies below that (chosen)."""


@dataclass(frozen=True, eq=False)
class Blocks:
    """The blocks H_shift of an endless sheet, N/m, entry by entry.

    ``row_k``, ``column_k`` (k,) int: components of the stitches of a cell; ``shift_k2`` (k, 2) int: how many periods
    the column's cell is away; ``value_k`` (k,); ``size``: components in a cell.
    """

    row_k: Ints
    column_k: Ints
    shift_k2: Ints
    value_k: Floats
    size: int

    def at(self, turn_a: Floats) -> sparse.csc_array:
        """Return the Hermitian matrix K of waves that turn by ``turn_a`` (2,), whole turns, from cell to cell."""
        phase_k = np.exp(2j * np.pi * (self.shift_k2 @ np.asarray(turn_a, dtype=np.float64)))
        entries = (self.value_k * phase_k, (self.row_k, self.column_k))
        return sparse.coo_array(entries, shape=(self.size, self.size)).tocsc()

    def tiled(self, across: int, up: int) -> Blocks:
        """Return the blocks of a tile of so many cells, taken as a cell itself: copy by copy, those across running
        fastest."""
        copies = across * up
        copy, k = (a.ravel() for a in np.indices((copies, len(self.value_k))))
        lift, turn = divmod(copy, across)
        turns_k, turn_k = divmod(turn + self.shift_k2[k, 0], across)
        lifts_k, lift_k = divmod(lift + self.shift_k2[k, 1], up)
        return Blocks(
            copy * self.size + self.row_k[k],
            (lift_k * across + turn_k) * self.size + self.column_k[k],
            np.stack([turns_k, lifts_k], axis=1),
            self.value_k.take(k),
            copies * self.size,
        )


def blocks_of(energy: Energy, state: State) -> Blocks:
    """Return the blocks of a periodic ``energy`` at a ``state``, held unknowns and all."""
    nodes = len(state.x_nc)
    parts = [_of_term(term, state, nodes) for term in energy.terms]
    row_k, column_k, shift_k2, value_k = (np.concatenate(arrays) for arrays in zip(*parts, strict=True))
    low_a = shift_k2.min(axis=0)
    many_a = np.ptp(shift_k2, axis=0) + 1
    wide = AXES * nodes
    key_k = (((shift_k2[:, 0] - low_a[0]) * many_a[1] + shift_k2[:, 1] - low_a[1]) * wide + row_k) * wide + column_k
    _, first, slot_k = np.unique(key_k, return_index=True, return_inverse=True)
    total_k = np.bincount(slot_k, weights=value_k, minlength=len(first)).astype(np.float64)
    return Blocks(row_k[first], column_k[first], shift_k2[first], total_k, wide)


def _of_term(term: Term, state: State, nodes: int) -> tuple[Ints, Ints, Ints, Floats]:
    """Return rows, columns, shifts and values of what one term adds.

    Every stitch that lies some periods away is an unknown of its own at first: so the blocks come out of one product
    of constant matrices and are then folded, by the difference of the shifts of their two ends.
    """
    combine_mp = term.geometry.combine_mp
    count, spans = len(term.node_bp), len(combine_mp)
    shift_bpa = np.zeros((*term.node_bp.shape, 2), dtype=np.intp) if term.shift_bpa is None else term.shift_bpa
    shift_s2, number_bp = np.unique(shift_bpa.reshape(-1, 2), axis=0, return_inverse=True)
    ghost_bp = number_bp.reshape(term.node_bp.shape) * nodes + term.node_bp
    m, p = np.nonzero(combine_mp)
    row = (np.arange(count)[:, None] * spans + m).ravel()
    share = np.broadcast_to(combine_mp[m, p], (count, len(m))).ravel()
    shape = (count * spans, nodes * len(shift_s2))
    span_sg = sparse.coo_array((share, (row, ghost_bp[:, p].ravel())), shape=shape).tocsr()
    exact_bqq = term.hessian(term.spans(state.x_nc, state.period_a))[2]
    wide_sg = sparse.kron(span_sg, sparse.eye_array(AXES), format="csr")
    size = spans * AXES
    bent = sparse.bsr_array(
        (exact_bqq, np.arange(count), np.arange(count + 1)), shape=(count * size, count * size)
    ).tocsr()
    total = (wide_sg.T @ bent @ wide_sg).tocoo()
    (row_g, row_c), (column_g, column_c) = divmod(total.row, AXES), divmod(total.col, AXES)
    (row_s, row_n), (column_s, column_n) = divmod(row_g, nodes), divmod(column_g, nodes)
    return (
        (row_n * AXES + row_c).astype(np.intp),
        (column_n * AXES + column_c).astype(np.intp),
        shift_s2[column_s] - shift_s2[row_s],
        np.asarray(total.data),
    )


@dataclass(frozen=True, eq=False)
class Wave:
    """A wave that a sheet may bend into. ``turn_a`` (2,): turns from cell to cell, across and up; ``softness``: its
    stiffness over that of another sheet to the same wave, below 0 where it grows by itself; ``mode_nc`` (n, 3) complex.
    """

    turn_a: Floats
    softness: float
    mode_nc: Complexes


def softest_wave(blocks: Blocks, others: Blocks, turn_a: Floats) -> Wave:
    """Return the softest wave of one sheet, relative to the stiffness of ``others`` to it, at some turns from cell to
    cell that are not all nought: the least eigenvalue of K v = softness K_other v."""
    with one_thread():
        return _softest_wave(blocks, others, turn_a)


def _softest_wave(blocks: Blocks, others: Blocks, turn_a: Floats) -> Wave:
    one, other = blocks.at(turn_a), others.at(turn_a)
    if blocks.size <= DENSE:
        value, vector = linalg.eigh(one.toarray(), other.toarray(), subset_by_index=[0, 0])
        return Wave(np.asarray(turn_a), float(value[0]), _standing(vector[:, 0]))
    begin = np.random.default_rng(0).standard_normal(blocks.size) + 0j
    below = BELOW
    while True:
        shifted = (one - below * other).tocsc()
        lu = splu(shifted, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
        # With pivots on the diagonal their signs count what lies below (Sylvester's law of inertia).
        if not (np.array_equal(lu.perm_r, lu.perm_c) and bool((lu.U.diagonal().real > 0.0).all())):
            below *= DEEPER
            continue
        inverse = LinearOperator(one.shape, matvec=lu.solve, dtype=np.complex128)
        value, vector = eigs(one, k=1, M=other, sigma=below, OPinv=inverse, v0=begin, which="LM", tol=1e-6)
        return Wave(np.asarray(turn_a), float(value[0].real), _standing(vector[:, 0]))


def _standing(vector_k: Complexes) -> Complexes:
    """Return a mode (n, 3) in the phase in which what moves most is at its crest in the first cell: any is as good."""
    most = vector_k[np.abs(vector_k).argmax()]
    return np.asarray(vector_k * (np.conj(most) / np.abs(most))).reshape(-1, AXES)
