"""Sum the terms over all nodes: energy, gradient and a sparse Hessian with one fixed pattern.

The unknowns are the node positions, three each, and, for a periodic cell, its two periods. *Held* unknowns keep their
starting value and take no part. The pattern is found once; afterwards every element entry is added into place by a map
computed with it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fabricsim.mechanics.laws import Law
from fabricsim.mechanics.terms import AXES, PERIODS, Term

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True)
class State:
    """Node positions ``x_nc`` (n, 3) float, m, and the periods ``period_a`` (2,) float, m, of a periodic cell or
    None."""

    x_nc: Floats
    period_a: Floats | None = None

    def to_vector(self) -> Floats:
        flat = self.x_nc.ravel()
        return flat.copy() if self.period_a is None else np.concatenate([flat, self.period_a])


@dataclass(frozen=True)
class Scatter:
    """Where the upper triangle of every block of one term goes among the stored entries.

    ``row_e``, ``column_e`` walk one block's upper triangle; ``slot_be`` is the place of each entry of each block, one
    past the end for what a held unknown swallows. ``twice_t`` are the flat entries whose two local unknowns are one
    and the same (a node that stands in for a missing neighbour, a cell that is its own neighbour): both triangles
    count there.
    """

    row_e: Ints
    column_e: Ints
    slot_be: Ints
    twice_t: Ints
    stored: int

    def sum(self, block_bkk: Floats) -> Floats:
        """Return the stored entries (stored,) that the blocks (b, k, k) add up to."""
        entry = block_bkk[:, self.row_e, self.column_e].ravel()
        total = np.bincount(self.slot_be, entry, self.stored + 1).astype(np.float64, copy=False)
        if len(self.twice_t):
            total += np.bincount(self.slot_be[self.twice_t], entry[self.twice_t], self.stored + 1)
        return total[:-1]


@dataclass(frozen=True)
class Pattern:
    """``free_f`` numbers the free unknowns; ``scatters`` lead each term's blocks to the stored upper entries.

    ``indices``, ``indptr``, ``source`` spread those to the full symmetric matrix in compressed columns.
    """

    free_f: Ints
    scatters: tuple[Scatter, ...]
    stored: int
    indices: NDArray[np.int32]
    indptr: NDArray[np.int32]
    source: Ints

    def fill(self, values_e: Floats) -> sparse.csc_array:
        """Return the (f, f) matrix whose upper entries are ``values_e`` (stored,)."""
        size = len(self.free_f)
        return sparse.csc_array((values_e[self.source], self.indices, self.indptr), shape=(size, size))


@dataclass(frozen=True)
class Energy:
    """The total energy of a set of terms, as a function of one vector of free unknowns ``q_f``.

    ``start`` holds the values that held unknowns keep. Make one with ``assemble``.
    """

    terms: tuple[Term, ...]
    start: State
    pattern: Pattern

    def free(self, state: State) -> Floats:
        """Return the free unknowns (f,) of a state, m."""
        return state.to_vector()[self.pattern.free_f]

    def state(self, q_f: Floats) -> State:
        """Return the state that the free unknowns ``q_f`` stand for."""
        vector = self.start.to_vector()
        vector[self.pattern.free_f] = q_f
        if self.start.period_a is None:
            return State(vector.reshape(-1, AXES))
        return State(vector[:-PERIODS].reshape(-1, AXES), vector[-PERIODS:])

    def with_law(self, name: str, law: Law) -> Energy:
        """Return the same energy with another law for the terms called ``name``; the pattern is shared."""
        terms = tuple(replace(t, law=law) if t.name == name else t for t in self.terms)
        return replace(self, terms=terms)

    def term(self, name: str) -> Term:
        """Return the one term called ``name``. Raises KeyError."""
        for term in self.terms:
            if term.name == name:
                return term
        raise KeyError(name)

    @property
    def spacing(self) -> float:
        """The mean length (m) of the spans of the first term: how far apart neighbours lie; 1 where they coincide."""
        if not self.terms:
            return 1.0
        span_bmc = self.terms[0].spans(self.start.x_nc, self.start.period_a)
        return float(np.linalg.norm(span_bmc, axis=2).mean()) or 1.0

    def value(self, q_f: Floats) -> float:
        """Return the energy, J."""
        s = self.state(q_f)
        total = 0.0  # added one by one, to the same last bit as beside the gradient: sum() rounds otherwise
        for term in self.terms:
            total += term.energy(s.x_nc, s.period_a)
        return total

    def gradient(self, q_f: Floats) -> tuple[float, Floats]:
        """Return the energy (J) and its gradient (f,), N."""
        s = self.state(q_f)
        total, total_k = 0.0, np.zeros(self._unknowns)
        for term in self.terms:
            u, by_bk = term.gradient(s.x_nc, s.period_a)
            total += u
            self._add(total_k, term, by_bk)
        return total, total_k[self.pattern.free_f]

    def hessian(self, q_f: Floats) -> tuple[float, Floats, Floats, Floats]:
        """Return energy, gradient (f,), and the stored upper entries of the exact and of the safe Hessian, N/m."""
        s = self.state(q_f)
        total, total_k = 0.0, np.zeros(self._unknowns)
        exact_e, safe_e = np.zeros(self.pattern.stored), np.zeros(self.pattern.stored)
        for term, scatter in zip(self.terms, self.pattern.scatters, strict=True):
            u, by_bk, exact_bkk, safe_bkk = term.hessian(s.x_nc, s.period_a)
            total += u
            self._add(total_k, term, by_bk)
            added_e = scatter.sum(exact_bkk)
            exact_e += added_e
            safe_e += added_e if safe_bkk is exact_bkk else scatter.sum(safe_bkk)
        return total, total_k[self.pattern.free_f], exact_e, safe_e

    @property
    def _unknowns(self) -> int:
        return self.start.x_nc.size + (0 if self.start.period_a is None else PERIODS)

    def _add(self, total_k: Floats, term: Term, by_bk: Floats) -> None:
        index_bk = unknowns_of(term, len(self.start.x_nc), self.start.period_a is not None)
        total_k += np.bincount(index_bk.ravel(), by_bk.ravel(), len(total_k))


def unknowns_of(term: Term, nodes: int, periodic: bool) -> Ints:
    """Return the numbers (b, k) of the unknowns of every element: three a point, then the periods."""
    index_bpc = term.node_bp[:, :, None] * AXES + np.arange(AXES)
    index_bk = index_bpc.reshape(len(term.node_bp), -1)
    if not periodic:
        return index_bk
    last = np.broadcast_to(nodes * AXES + np.arange(PERIODS), (len(index_bk), PERIODS))
    return np.concatenate([index_bk, last], axis=1)


def assemble(terms: Iterable[Term], start: State, held: Iterable[int] = ()) -> Energy:
    """Return the energy of ``terms`` over the nodes of ``start``; ``held`` lists the unknowns that stay put."""
    kept = tuple(t for t in terms if len(t.node_bp))
    periodic = start.period_a is not None
    nodes = len(start.x_nc)
    unknowns = start.x_nc.size + (PERIODS if periodic else 0)
    is_free_k = np.ones(unknowns, dtype=bool)
    is_free_k[list(held)] = False
    free_f = np.flatnonzero(is_free_k)
    number_k = np.cumsum(is_free_k) - 1
    size = len(free_f)
    plans = []
    for term in kept:
        index_bk = unknowns_of(term, nodes, periodic)
        row_e, column_e = np.triu_indices(index_bk.shape[1])
        i, j = index_bk[:, row_e], index_bk[:, column_e]
        key = np.minimum(number_k[i], number_k[j]) * size + np.maximum(number_k[i], number_k[j])
        key[~(is_free_k[i] & is_free_k[j])] = size * size
        twice_t = np.flatnonzero((i == j) & (row_e != column_e))
        plans.append((row_e, column_e, key.ravel(), twice_t))
    diagonal = np.arange(size) * (size + 1)  # present even where no element touches it, for shifts
    keys = [key for _, _, key, _ in plans]
    unique, slot = np.unique(np.concatenate([*keys, diagonal]), return_inverse=True)
    unique = unique[unique < size * size]
    slots = np.split(slot, np.cumsum([len(key) for key in keys]))
    stored = len(unique)
    upper_row, upper_column = unique // size, unique % size
    off = upper_row != upper_column
    number = np.arange(stored)
    full_row = np.concatenate([upper_row, upper_column[off]])
    full_column = np.concatenate([upper_column, upper_row[off]])
    order = np.lexsort((full_row, full_column))
    pattern = Pattern(
        free_f=free_f,
        scatters=tuple(
            Scatter(row_e, column_e, slot_be, twice_t, stored)
            for (row_e, column_e, _, twice_t), slot_be in zip(plans, slots[:-1], strict=True)
        ),
        stored=stored,
        indices=full_row[order].astype(np.int32),
        indptr=np.concatenate([[0], np.cumsum(np.bincount(full_column, minlength=size))]).astype(np.int32),
        source=np.concatenate([number, number[off]])[order],
    )
    return Energy(kept, start, pattern)
