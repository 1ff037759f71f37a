"""A sparse Cholesky by fronts, in compiled code: the quickest wherever there is some.

The fabric's graph is nearly that of a sheet, and of a sheet's factors few entries fill up if stitches are eliminated in
the right order (minimum degree, found by scipy's SuperLU from the nodes alone): a fifth of the work in a band of a hat
band, and the larger the fabric the less. What of it is dear happens in small dense matrices, the fronts, by the BLAS
and LAPACK of scipy (multifrontal: Duff and Reid 1983, ACM Trans. Math. Softw. 9, 302; Liu 1992, SIAM Review 34, 82;
memory). The sizes of a cell, which touch everything, come last. A pivot that is not positive ends it, which is the test
for definiteness that is wanted.

Where elements are added on the way, the order from before is kept as long as it costs little more.
"""

from __future__ import annotations

import ctypes
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fabricsim.arrays import Floats, Indices, Ints, largest
from fabricsim.mechanics.compiled import LOADED
from fabricsim.mechanics.factors.coupled import Graph
from fabricsim.mechanics.factors.kinds import FEWEST_ITERATIONS, MOST_ITERATIONS, Kind
from fabricsim.mechanics.factors.lapack import LETTER, address
from fabricsim.mechanics.pattern import Pattern, runs

SPARE, NARROW = 0.2, 8
"""Share of a front that may be noughts, and nodes up to which half may: fewer and larger fronts are quicker (measured
on a hat band; from 0.1 and 4 to 0.2 and 16 as quick)."""
MORE_WORK = 1.2
"""Times the work of a fresh order up to which one from before elements were added is kept (chosen: finding another
takes half as long as factors do)."""
PATIENT = 0.5
"""Times the root of the products for each number of the factors: conjugate gradients that are tried before new factors
are made. Two thirds of the time of new ones (measured on fabrics of 144 to 40,000 stitches: 4, 10 .. 12, 15)."""
ROUTINES = ("potrf", "trsm", "syrk", "trsv", "gemv")
"""What is asked of LAPACK and BLAS."""
INTS = {"potrf": 3, "trsm": 4, "syrk": 4, "trsv": 3, "gemv": 5}
"""How many numbers of C's int each is handed."""


class _Plan(ctypes.Structure):
    """``Fronts`` of fronts.c."""

    _fields_ = [
        ("fronts", ctypes.c_int64),
        ("unknowns", ctypes.c_int64),
        *((name, ctypes.c_void_p) for name in ("first", "row_start", "row", "panel", "last", "before")),
    ]


class _Routines(ctypes.Structure):
    """``Routines`` of fronts.c."""

    _fields_ = [(name, ctypes.c_void_p) for name in ROUTINES]


def _routines() -> dict[Kind, _Routines]:
    """Return the routines of scipy by the kind of number; not where its integers are not C's, or one isn't there."""
    found = {kind: [address(letter + name, INTS[name]) for name in ROUTINES] for kind, letter in LETTER.items()}
    return {kind: _Routines(*some) for kind, some in found.items() if None not in some}


_BY = _routines()


@dataclass(frozen=True, eq=False)
class Fronts:
    """The plan of a pattern's fronts.

    ``order_n``: which node comes at each place, sizes of a cell after all others; ``unknown_f``: which unknown does.
    Front s eliminates the places from ``first_s`` (s + 1,) on; ``row_r`` from ``row_start_s`` on are those that it
    changes further on; its columns are stored from ``panel_s`` on, each as tall as both together. ``last_s`` and
    ``before_s``: which fronts pass on to it, as a chain. ``take_k`` of the matrix's values go to ``put_k`` of the
    panels. ``room``: numbers that are passed on at a time; ``work``: products of a factorisation, and ``fresh`` those
    that it took when the order was found.
    """

    order_n: Indices
    unknown_f: Indices
    first_s: Indices
    row_start_s: Ints
    row_r: Indices
    panel_s: Ints
    last_s: Indices
    before_s: Indices
    take_k: Ints
    put_k: Ints
    room: int
    work: float
    fresh: float

    whole = True

    @cached_property
    def handed(self) -> _Plan:
        """What compiled code is handed; only as long as this lives."""
        arrays = (self.first_s, self.row_start_s, self.row_r, self.panel_s, self.last_s, self.before_s)
        return _Plan(len(self.last_s), len(self.unknown_f), *(one.ctypes.data for one in arrays))

    def factorised(self, matrix: sparse.csc_array, kind: Kind) -> Fronted | None:
        """Return the Cholesky factors of a matrix; None if it isn't positive definite as far as its precision tells."""
        value_k = matrix.data[self.take_k]
        if not np.isfinite(value_k).all():
            return None
        assert LOADED is not None
        panels = np.zeros(int(self.panel_s[-1]), dtype=kind)
        panels[self.put_k] = value_k
        passed = np.empty(self.room, dtype=kind)
        where = np.empty(2 * len(self.unknown_f), dtype=np.int32)
        factorise = getattr(LOADED, f"fabricsim_fronts_factorise_{LETTER[kind]}")
        arrays = (one.ctypes.data for one in (panels, passed, where))
        wrong = factorise(ctypes.byref(self.handed), *arrays, ctypes.byref(_BY[kind]))
        return None if wrong else Fronted(self, panels)


@dataclass(frozen=True, eq=False)
class Fronted:
    """Cholesky factors by fronts: the ``panels`` of a ``plan``."""

    plan: Fronts
    panels: NDArray[Any]

    @property
    def patience(self) -> int:
        tried = PATIENT * (self.plan.work / len(self.panels)) ** 0.5
        return int(np.clip(round(tried), FEWEST_ITERATIONS, MOST_ITERATIONS))

    def solve(self, force_f: Floats) -> Floats:
        size = largest(force_f)  # scaled to one: forces near rest lie below what single precision can hold
        return np.zeros_like(force_f) if size == 0.0 else size * self._solved(force_f / size)

    def solve_all(self, force_fm: Floats) -> Floats:
        return np.column_stack([self._solved(force_f) for force_f in force_fm.T])

    def _solved(self, force_f: Floats) -> Floats:
        assert LOADED is not None
        kind: Kind = self.panels.dtype.type
        solved_f = force_f[self.plan.unknown_f].astype(kind)
        aside = np.empty(len(solved_f), dtype=kind)
        solve = getattr(LOADED, f"fabricsim_fronts_solve_{LETTER[kind]}")
        arrays = (one.ctypes.data for one in (self.panels, solved_f, aside))
        solve(ctypes.byref(self.plan.handed), *arrays, ctypes.byref(_BY[kind]))
        answer_f = np.empty_like(force_f)
        answer_f[self.plan.unknown_f] = solved_f
        return answer_f


def fronts_of(pattern: Pattern, former: Fronts | None = None) -> Fronts | None:
    """Return the plan of a pattern; None where there is no compiled code, or nothing to eliminate.

    ``former``: the plan before some elements were added.
    """
    if LOADED is None or len(_BY) < len(LETTER) or len(pattern.free_f) == 0:
        return None
    graph = Graph.of(pattern)
    if former is not None and len(former.order_n) == len(graph.wide_n):
        kept = _planned(pattern, graph, former.order_n, former.fresh)
        if kept.work <= MORE_WORK * kept.fresh:
            return kept
    return _planned(pattern, graph, graph.least_degree(), None)


def _planned(pattern: Pattern, graph: Graph, order_n: Indices, fresh: float | None) -> Fronts:
    """Return the fronts of an order of elimination."""
    assert LOADED is not None
    nodes = len(order_n)
    order_n, begin_s, above_s = order_n.copy(), np.empty(nodes + 1, np.int32), np.empty(nodes, np.int32)
    start_s = np.empty(nodes + 1, np.int64)
    coupled = (graph.starts_n.ctypes.data, graph.others_k.ctypes.data)
    planned = (one.ctypes.data for one in (order_n, begin_s, above_s, start_s))
    fronts = LOADED.fabricsim_fronts_plan(nodes, *coupled, SPARE, NARROW, *planned)
    if fronts < 0:
        raise MemoryError(f"{nodes} nodes")
    begin_s, above_s, start_s = begin_s[: fronts + 1], above_s[:fronts], start_s[: fronts + 1]
    last_s, before_s = np.full(fronts, -1, dtype=np.int32), np.full(fronts, -1, dtype=np.int32)
    for front, above in enumerate(above_s):
        if above >= 0:
            before_s[front], last_s[above] = last_s[above], front
    place_n, mark_n = np.empty(nodes, np.int32), np.empty(nodes, np.int32)
    place_n[order_n] = np.arange(nodes, dtype=np.int32)
    row_r = np.empty(start_s[-1], dtype=np.int32)
    arrays = (order_n, place_n, begin_s, start_s, last_s, before_s, mark_n, row_r)
    LOADED.fabricsim_fronts_rows(fronts, nodes, *coupled, *(one.ctypes.data for one in arrays))

    # From nodes to unknowns.
    ends_n = np.cumsum(graph.wide_n[order_n])
    at_n = np.concatenate([[0], ends_n])
    wide_r = graph.wide_n[order_n][row_r]
    first_s = at_n[begin_s].astype(np.int32)
    row_start_s = np.concatenate([[0], np.cumsum(wide_r)])[start_s]
    row_r = runs(at_n[row_r].astype(np.int32), wide_r.astype(np.int32)).astype(np.int32)
    unknown_f = np.argsort(place_n[graph.node_f], kind="stable").astype(np.int32)  # components stay together
    own_s, below_s = np.diff(first_s).astype(np.int64), np.diff(row_start_s)
    panel_s = np.concatenate([[0], np.cumsum(own_s * (own_s + below_s))])
    take_k, put_k = _places(pattern, unknown_f, (first_s, row_start_s, row_r, panel_s))
    given_s = np.bincount(above_s[above_s >= 0], weights=below_s[above_s >= 0] ** 2, minlength=fronts)
    after_s = np.cumsum(below_s**2 - given_s)
    work = float((own_s * (own_s * (own_s / 3.0 + below_s) + below_s**2)).sum())
    return Fronts(
        order_n=order_n,
        unknown_f=unknown_f,
        first_s=first_s,
        row_start_s=row_start_s,
        row_r=row_r,
        panel_s=panel_s,
        last_s=last_s,
        before_s=before_s,
        take_k=take_k,
        put_k=put_k,
        room=int((after_s + given_s).max()),  # while what is passed on to a front still lies there
        work=work,
        fresh=work if fresh is None else fresh,
    )


def _places(pattern: Pattern, unknown_f: Indices, fronts: tuple[NDArray[Any], ...]) -> tuple[Ints, Ints]:
    """Return which entries of a pattern's matrices are taken, (k,), and where in the panels they go."""
    assert LOADED is not None
    first_s, row_start_s, row_r, panel_s = fronts
    place_f, where_f = np.empty_like(unknown_f), np.empty_like(unknown_f)
    place_f[unknown_f] = np.arange(len(unknown_f), dtype=np.int32)
    put_k = np.empty(len(pattern.indices), dtype=np.int64)
    arrays = (
        *(first_s, row_start_s, row_r, panel_s),
        *(unknown_f, place_f, pattern.indptr, pattern.indices, where_f, put_k),
    )
    LOADED.fabricsim_fronts_places(len(first_s) - 1, *(one.ctypes.data for one in arrays))
    take_k = np.flatnonzero(put_k >= 0)
    return take_k, put_k[take_k]
