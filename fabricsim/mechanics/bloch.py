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
from scipy.sparse.linalg import LinearOperator, SuperLU, eigs, eigsh, splu

from fabricsim.arrays import Complexes, Floats, Ints
from fabricsim.mechanics.assemble import Energy, State
from fabricsim.mechanics.pattern import BLOCK
from fabricsim.mechanics.terms import AXES, Term
from fabricsim.threads import one_thread

DENSE = 200
"""Unknowns up to which all of a matrix is solved at once: there it is quicker than iterating (measured)."""
BELOW = -1.0
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
        """Return the Hermitian matrix K of waves that turn by ``turn_a`` (2,), whole turns, from cell to cell; real
        where every cell is in phase with its neighbours or against them."""
        turn_a = np.asarray(turn_a, dtype=np.float64)
        phase_k = np.exp(2j * np.pi * (self.shift_k2 @ turn_a))
        if not (2.0 * turn_a % 1.0).any():
            phase_k = np.round(phase_k.real)
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
    parts = [_of_term(term, state) for term in energy.terms]
    row_e, column_e, shift_e2, block_e9 = (np.concatenate(arrays) for arrays in zip(*parts, strict=True))
    low_a, many_a = shift_e2.min(axis=0), np.ptp(shift_e2, axis=0) + 1
    across_e, up_e = (shift_e2 - low_a).T
    key_e = ((across_e * many_a[1] + up_e) * nodes + row_e) * nodes + column_e
    order_e = np.argsort(key_e, kind="stable")
    sorted_e = key_e[order_e]
    first_b = np.flatnonzero(np.concatenate([[True], sorted_e[1:] != sorted_e[:-1]]))
    block_b9 = np.add.reduceat(block_e9[order_e], first_b, axis=0)
    once_b = order_e[first_b]
    row_c, column_c = np.divmod(np.arange(BLOCK), AXES)
    return Blocks(
        (AXES * row_e[once_b, None] + row_c).ravel(),
        (AXES * column_e[once_b, None] + column_c).ravel(),
        np.repeat(shift_e2[once_b], BLOCK, axis=0),
        block_b9.ravel(),
        AXES * nodes,
    )


def _of_term(term: Term, state: State) -> tuple[Ints, Ints, Ints, Floats]:
    """Return what one term adds, a block of nine to each pair of points of every element: which stitches those are, how
    many periods the second is away from the first, and the blocks (e, 9), row by row."""
    combine_mp = term.geometry.combine_mp
    (count, points), spans = term.node_bp.shape, len(combine_mp)
    exact_bqq = term.hessian(term.spans(state.x_nc, state.period_a))[2]
    # From spans to points, axis by axis alike.
    exact_bmcmc = exact_bqq.reshape(count, spans, AXES, spans, AXES)
    block_bppcc = np.einsum("mp,bmcnd,nr->bprcd", combine_mp, exact_bmcmc, combine_mp, optimize=True)
    one_z, other_z = (a.ravel() for a in np.indices((points, points)))
    shift_bp2 = np.zeros((count, points, 2), dtype=np.intp) if term.shift_bpa is None else term.shift_bpa
    return (
        term.node_bp[:, one_z].ravel(),
        term.node_bp[:, other_z].ravel(),
        (shift_bp2[:, other_z] - shift_bp2[:, one_z]).reshape(-1, 2),
        block_bppcc.reshape(-1, BLOCK),
    )


@dataclass(frozen=True, eq=False)
class Wave:
    """A wave that a sheet may bend into. ``turn_a`` (2,): turns from cell to cell, across and up; ``softness``: its
    stiffness over that of another sheet to the same wave, below 0 where it grows by itself; ``mode_nc`` (n, 3), real
    where every cell is in phase with its neighbours or against them, else complex.
    """

    turn_a: Floats
    softness: float
    mode_nc: Complexes | Floats


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
    begin = np.random.default_rng(0).standard_normal(blocks.size).astype(one.dtype)
    eigenpairs = eigs if np.iscomplexobj(begin) else eigsh
    below = BELOW
    while (lu := _factors((one - below * other).tocsc())) is None:
        below *= DEEPER
    inverse = LinearOperator(one.shape, matvec=lu.solve, dtype=one.dtype)
    value, vector = eigenpairs(one, k=1, M=other, sigma=below, OPinv=inverse, v0=begin, which="LM", tol=1e-6)
    return Wave(np.asarray(turn_a), float(value[0].real), _standing(vector[:, 0]))


def grows(blocks: Blocks, turn_a: Floats) -> bool:
    """Return whether some wave of a sheet that turns so from cell to cell grows by itself: at a third of the price of
    the wave itself, which most sheets need not be asked for."""
    with one_thread():
        return _factors(blocks.at(turn_a)) is None


def _factors(matrix: sparse.csc_array) -> SuperLU | None:
    """Return the factors of a Hermitian matrix; None if it is not positive definite."""
    try:
        lu = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    except RuntimeError:  # a pivot that is nought
        return None
    # With pivots on the diagonal their signs count what lies below nought (Sylvester's law of inertia).
    on_diagonal = np.array_equal(lu.perm_r, lu.perm_c)
    return lu if on_diagonal and bool((lu.U.diagonal().real > 0.0).all()) else None


def _standing(vector_k: Complexes | Floats) -> Complexes | Floats:
    """Return a mode (n, 3) in the phase in which what moves most is at its crest in the first cell: any is as good."""
    most = vector_k[np.abs(vector_k).argmax()]
    return np.asarray(vector_k * (np.conj(most) / np.abs(most))).reshape(-1, AXES)
