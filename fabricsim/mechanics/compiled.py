"""The same sums in one pass of compiled code, for a quarter of a solve's time; where there is none, numpy does.

So too where blocks go in the columns of a matrix, which is asked whenever something has come into contact; how wrapped
floats run; which points are near each other, and which cells go through each other; and the factors of a Hessian
(``factors/fronts.py``).

``in_c`` is plain C, built along with the package where there is a compiler, and called through ctypes. It knows the
laws listed here and geometries that say so themselves; a term of any other is summed by numpy, which also says what is
right: the two agree to round-off, and each gives the same bits each time.
"""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Protocol

import numpy as np

from fabricsim.arrays import Floats, Indices, Ints, Mask
from fabricsim.built import built
from fabricsim.mechanics.laws import Elastic, Floor, Knitted, Proportional, Taut
from fabricsim.mechanics.terms import PERIODS, Term

LIBRARY = "_terms"
"""What ``setup.py`` builds beside this."""
LAYOUT = 4
"""Of what is handed over: a library that was built for another is left aside."""

# In the order of the names in terms.h.
GEOMETRIES = ("distance", "curvature", "strain product", "height", "anchored distance", "twist", "wrapped distance")
LAWS = (Elastic, Knitted, Taut, Floor, Proportional)
"""Each with its parameters in the order of its fields."""
ENERGY, GRADIENT, HESSIAN, MATERIAL = range(4)


class _Handed(ctypes.Structure):
    """``Term`` of terms.h."""

    _fields_ = [
        *((name, ctypes.c_int64) for name in ("count", "points", "spans", "geometry", "law", "shares", "anchors")),
        *((name, ctypes.c_void_p) for name in ("place", "pair", "share_span", "share_point", "share", "crossed")),
        ("law_with", ctypes.c_void_p * 6),
        ("law_step", ctypes.c_int64 * 6),
        ("shape_with", ctypes.c_void_p * 3),
        ("shape_step", ctypes.c_int64 * 3),
    ]


def _fits(library: ctypes.CDLL) -> bool:
    library.fabricsim_layout.restype = ctypes.c_int64
    if library.fabricsim_layout() != LAYOUT:
        return False
    library.fabricsim_add.argtypes = [ctypes.c_void_p, ctypes.c_int64, *[ctypes.c_void_p] * 4]
    library.fabricsim_add.restype = ctypes.c_int64
    at, count = ctypes.c_void_p, ctypes.c_int64
    library.fabricsim_column_starts.argtypes = [at, at, count, at, count, at]
    library.fabricsim_columns.argtypes = [at, at, count, at, at, at, at]
    library.fabricsim_column_starts.restype = library.fabricsim_columns.restype = None
    library.fabricsim_courses.argtypes = [at] * 5
    library.fabricsim_near.argtypes = [at, count, count, ctypes.c_double, at, count]
    library.fabricsim_crossing.argtypes = [at, at, at, at, count, count, *[ctypes.c_double] * 3]
    for function in (library.fabricsim_courses, library.fabricsim_near, library.fabricsim_crossing):
        function.restype = count
    library.fabricsim_fronts_plan.argtypes = [count, at, at, ctypes.c_double, count, at, at, at, at]
    library.fabricsim_fronts_plan.restype = count
    library.fabricsim_fronts_rows.argtypes = [count, count, *[at] * 10]
    library.fabricsim_fronts_places.argtypes = [count, *[at] * 10]
    library.fabricsim_fronts_rows.restype = library.fabricsim_fronts_places.restype = None
    for factorise in (library.fabricsim_fronts_factorise_s, library.fabricsim_fronts_factorise_d):
        factorise.argtypes, factorise.restype = [at] * 5, count
    for solve in (library.fabricsim_fronts_solve_s, library.fabricsim_fronts_solve_d):
        solve.argtypes, solve.restype = [at] * 5, None
    return True


LOADED = built(__file__, LIBRARY, _fits)


class Drawn(Protocol):
    """What is asked of what a term draws on: of ``pattern.Reach``."""

    @property
    def periodic(self) -> bool: ...

    @property
    def place_bp(self) -> Ints: ...

    @property
    def crossed_bma(self) -> Floats | None: ...


class _Term:
    """A term as compiled code takes it; ``pair_bz``: where the blocks of its elements' pairs of points go."""

    def __init__(self, term: Term, drawn: Drawn, pair_bz: Indices) -> None:
        name, shape = term.geometry.compiled()  # type: ignore[attr-defined]
        law = tuple(getattr(term.law, field.name) for field in fields(term.law))  # type: ignore[arg-type]
        self.count, (spans, points) = len(term.node_bp), term.geometry.combine_mp.shape
        span_k, point_k = np.nonzero(term.geometry.combine_mp)
        kept: dict[str, np.ndarray] = {
            "place": np.ascontiguousarray(drawn.place_bp, dtype=np.int32),
            "pair": np.ascontiguousarray(pair_bz, dtype=np.int32),
            "share_span": span_k.astype(np.int32),
            "share_point": point_k.astype(np.int32),
            "share": np.ascontiguousarray(term.geometry.combine_mp[span_k, point_k], dtype=np.float64),
        }
        if drawn.crossed_bma is not None:
            kept["crossed"] = np.ascontiguousarray(drawn.crossed_bma, dtype=np.float64)
        handed = _Handed(count=self.count, points=points + (PERIODS if drawn.periodic else 0), spans=spans)
        handed.geometry, handed.law = GEOMETRIES.index(name), LAWS.index(type(term.law))
        handed.shares, handed.anchors = len(span_k), getattr(term.geometry, "anchors", 0)
        for key, array in kept.items():
            setattr(handed, key, array.ctypes.data)
        for name, parameters in (("shape", shape), ("law", law)):
            for i, value in enumerate(parameters):
                array = kept[f"{name} {i}"] = np.ascontiguousarray(value, dtype=np.float64)
                getattr(handed, f"{name}_with")[i] = array.ctypes.data
                getattr(handed, f"{name}_step")[i] = int(np.ndim(value) > 0 and len(array) > 1)
        self._handed, self._kept = handed, kept  # what ``at`` points to
        self.at = ctypes.addressof(handed)


class CompiledSum:
    """The sum over the elements of one term, by compiled code."""

    def __init__(self, library: ctypes.CDLL, term: Term, drawn: Drawn, pair_bz: Indices) -> None:
        self._add, self._term = library.fabricsim_add, _Term(term, drawn, pair_bz)

    def energy(self, place_pc: Floats) -> float:
        return self._sum(ENERGY, place_pc, None, None)

    def gradient(self, place_pc: Floats, total_pc: Floats) -> float:
        return self._sum(GRADIENT, place_pc, total_pc, None)

    def hessian(self, place_pc: Floats, total_pc: Floats, exact_eb: Floats) -> float:
        return self._sum(HESSIAN, place_pc, total_pc, exact_eb)

    def material(self, place_pc: Floats, material_eb: Floats) -> None:
        self._sum(MATERIAL, place_pc, None, material_eb)

    def _sum(self, mode: int, place_pc: Floats, total_pc: Floats | None, total_eb: Floats | None) -> float:
        u_b = np.zeros(self._term.count)
        total_at = None if total_pc is None else total_pc.ctypes.data
        blocks_at = None if total_eb is None else total_eb.ctypes.data
        if self._add(self._term.at, mode, place_pc.ctypes.data, u_b.ctypes.data, total_at, blocks_at):
            raise MemoryError(f"{self._term.count} elements")
        return float(u_b.sum())


class CompiledCourses:
    """How the lines of one term of wrapped distances run, by compiled code."""

    def __init__(self, library: ctypes.CDLL, term: Term, drawn: Drawn) -> None:
        self._courses, self._term = library.fabricsim_courses, _Term(term, drawn, np.zeros(0, dtype=np.int32))
        self._anchors = term.geometry.anchors  # type: ignore[attr-defined]

    def __call__(self, place_pc: Floats) -> tuple[Floats, Floats, Mask]:
        """Return what ``WrappedDistance.course`` does."""
        count, place_pc = self._term.count, np.ascontiguousarray(place_pc)
        length_b, depth_b = np.empty(count), np.empty(count)
        kept_bk = np.empty((count, self._anchors), dtype=np.int32)
        where = (one.ctypes.data for one in (place_pc, length_b, depth_b, kept_bk))
        if self._courses(self._term.at, *where):
            raise MemoryError(f"{count} elements")
        return length_b, depth_b, kept_bk != 0


def compiled_courses(term: Term, drawn: Drawn) -> CompiledCourses | None:
    """Return how compiled code finds the ways of a term of wrapped distances; None where there is none."""
    return None if LOADED is None else CompiledCourses(LOADED, term, drawn)


def compiled_near(point_nc: Floats, own: int, distance: float) -> Ints | None:
    """Return all pairs (p, 2) of points (n, 3) m no farther apart than ``distance``, the lower number first, but for
    those of two points from number ``own`` on; None where there is no compiled code, or a point lies nowhere."""
    if LOADED is None:
        return None
    point_nc, room = np.ascontiguousarray(point_nc, dtype=np.float64), 8 * len(point_nc)
    while True:
        pair_p2 = np.empty((room, 2), dtype=np.int32)
        found = LOADED.fabricsim_near(point_nc.ctypes.data, len(point_nc), own, distance, pair_p2.ctypes.data, room)
        if found < 0:
            return None
        if found <= room:
            return pair_p2[:found].astype(np.intp)
        room = found


@dataclass(frozen=True, eq=False)
class Patches:
    """Cells that may cross: their corners ``corner_4nc`` (4, n, 3) m, ``middle_nc`` (n, 3) m and how far the farthest
    corner is from that, ``around_n`` (n,) m; where their middles lie in plain fabric, ``plain_nc`` (n, 3) m. Those from
    number ``own`` on are images."""

    corner_4nc: Floats
    middle_nc: Floats
    around_n: Floats
    plain_nc: Floats
    own: int


def compiled_crossing(all_n: Patches, least: float, off: float) -> int | None:
    """Return how many pairs of cells, ``least`` (m) or more apart in plain fabric, go through each other, not nearer
    than a share ``off`` to an edge or an end; None where there is no compiled code, or a corner lies nowhere."""
    if LOADED is None:
        return None
    arrays = [np.ascontiguousarray(one) for one in (all_n.corner_4nc, all_n.plain_nc, all_n.middle_nc, all_n.around_n)]
    farthest = float(all_n.around_n.max(initial=0.0))
    at = (one.ctypes.data for one in arrays)
    found = LOADED.fabricsim_crossing(*at, len(all_n.around_n), all_n.own, farthest, least, off)
    return None if found < 0 else int(found)


def compiled_sum(term: Term, reach: Drawn, pair_bz: Callable[[], Indices]) -> CompiledSum | None:
    """Return how compiled code sums a term; None where it can't. ``pair_bz`` finds the blocks of its elements' pairs of
    points, as ``Pattern.pair_t`` has them."""
    known = "compiled" in vars(type(term.geometry))  # not where it is only inherited
    if LOADED is None or not known or type(term.law) not in LAWS:
        return None
    return CompiledSum(LOADED, term, reach, pair_bz())


def compiled_columns(
    low_e: Indices, high_e: Indices, number_k: Indices, unknowns: int
) -> tuple[Indices, Indices, Ints] | None:
    """Return what ``pattern.find_pattern`` calls indices, indptr and source, by compiled code; None where there is
    none. ``low_e``, ``high_e``: the pairs of places that are stored; ``number_k``: which unknown each component is."""
    if LOADED is None:
        return None
    low_e, high_e, number_k = (np.ascontiguousarray(one, dtype=np.int32) for one in (low_e, high_e, number_k))
    pairs = (low_e.ctypes.data, high_e.ctypes.data, len(low_e), number_k.ctypes.data)
    indptr = np.empty(unknowns + 1, dtype=np.int32)
    LOADED.fabricsim_column_starts(*pairs, unknowns, indptr.ctypes.data)
    following = indptr[:-1].copy()
    indices, source = np.empty(indptr[-1], dtype=np.int32), np.empty(indptr[-1], dtype=np.int64)
    LOADED.fabricsim_columns(*pairs, following.ctypes.data, indices.ctypes.data, source.ctypes.data)
    return indices, indptr, source.astype(np.intp, copy=False)
