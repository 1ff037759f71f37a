"""Which nodes of a pattern are coupled, what any order of elimination is found from; and that of minimum degree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import spilu

from fabricsim.arrays import Indices, Ints
from fabricsim.mechanics.pattern import Pattern, runs
from fabricsim.mechanics.terms import AXES


@dataclass(frozen=True, eq=False)
class Coupled:
    """The nodes with free components, ``free_n`` (n,) their numbers among all; ``node_f`` (f,): of which of them each
    unknown is, the sizes of a cell left out; ``row_k``, ``column_k`` (k,): which are coupled, both ways and each with
    itself, sorted by ``column_k``, maybe several times over."""

    free_n: Ints
    node_f: Ints
    row_k: Ints
    column_k: Ints

    @classmethod
    def of(cls, pattern: Pattern) -> Coupled:
        """Return that of a pattern, by the entries of one component of each node."""
        inner = len(pattern.free_f) - pattern.periods
        free_n, node_f = np.unique(pattern.free_f[:inner] // AXES, return_inverse=True)
        of_one = np.flatnonzero(np.diff(node_f, prepend=-1))
        tall_n = np.diff(pattern.indptr)[of_one]
        row_k = pattern.indices[runs(pattern.indptr[of_one], tall_n)]
        within = row_k < inner
        return cls(free_n, node_f, node_f[row_k[within]], np.repeat(np.arange(len(of_one)), tall_n)[within])


@dataclass(frozen=True, eq=False)
class Graph:
    """The nodes of a pattern, the sizes of a cell last and each on its own: ``wide_n`` (n,) how many unknowns each has,
    ``node_f`` (f,) whose each is; coupled to ``others_k`` from ``starts_n`` (n + 1,) on, and with itself."""

    wide_n: Ints
    node_f: Ints
    starts_n: Indices
    others_k: Indices
    periods: int

    @classmethod
    def of(cls, pattern: Pattern) -> Graph:
        coupled = Coupled.of(pattern)
        row_k, column_k = coupled.row_k, coupled.column_k
        new_k = (np.diff(row_k, prepend=-1) != 0) | (np.diff(column_k, prepend=-1) != 0)  # components are neighbours
        row_k, column_k = row_k[new_k], column_k[new_k]
        nodes, sizes = len(coupled.free_n), pattern.periods
        if sizes:
            all_n, size_m = np.arange(nodes + sizes), np.arange(nodes, nodes + sizes)
            row_k = np.concatenate([row_k, np.repeat(size_m, nodes), np.tile(all_n, sizes)])
            column_k = np.concatenate([column_k, np.tile(all_n[:nodes], sizes), np.repeat(size_m, nodes + sizes)])
            by_column = np.argsort(column_k, kind="stable")
            row_k, column_k = row_k[by_column], column_k[by_column]
        node_f = np.concatenate([coupled.node_f, np.arange(nodes, nodes + sizes)])
        starts_n = np.concatenate([[0], np.cumsum(np.bincount(column_k, minlength=nodes + sizes))])
        return cls(np.bincount(node_f), node_f, starts_n.astype(np.int32), row_k.astype(np.int32), sizes)

    def least_degree(self) -> Indices:
        """Return the nodes in the order of minimum degree, the sizes of a cell last.

        SuperLU finds it before it factorises; so it is given a matrix of which nothing but the diagonal is worth
        keeping, and told to drop the rest.
        """
        nodes = len(self.wide_n) - self.periods
        if nodes == 0:
            return np.arange(self.periods, dtype=np.int32)
        whole = sparse.csc_array((np.full(len(self.others_k), -1e-6), self.others_k, self.starts_n))
        matrix = whole[:nodes, :nodes]
        matrix.setdiag(1.0)
        found = spilu(
            matrix,
            drop_tol=1e-3,
            fill_factor=1.0,
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
        return np.concatenate([np.argsort(found.perm_c), nodes + np.arange(self.periods)]).astype(np.int32)
