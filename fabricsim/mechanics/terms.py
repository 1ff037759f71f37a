"""One term of the energy: a geometry and a law over a set of elements, joined by the chain rule.

A geometry turns the *spans* of an element (fixed combinations of its points, such as the vector from one stitch to the
next) into one scalar measure s with its first and second derivatives. Spans are linear in the points, so all the
non-linearity of a term sits in one small pure function of arrays, and what is left of the chain rule, from spans to
points, is a constant sparse matrix.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np
from scipy import sparse

from fabricsim.arrays import Floats, Ints
from fabricsim.mechanics.laws import Law

Order = Literal[0, 1, 2]

AXES = 3
PERIODS = 2


@dataclass(frozen=True, eq=False)
class Measure:
    """The measure of each element and its derivatives with respect to the element's spans.

    ``s_b`` (b,); ``slope_bq`` (b, q) with q = 3 x spans; ``curvature_bqq`` (b, q, q). None where not asked for, or
    zero.
    """

    s_b: Floats
    slope_bq: Floats | None = None
    curvature_bqq: Floats | None = None


Handed = tuple[str, tuple[Floats | float, ...]]
"""What compiled code knows a geometry by, and its parameters, each (b,) or one for all."""


class Geometry(Protocol):
    """``combine_mp`` (spans, points) makes the spans of the points; ``measure`` does the rest.

    ``order`` 0 asks for the measure alone, 1 for its slope too, 2 for its curvature as well. One that compiled code
    knows too has a method ``compiled`` of its own, which returns a ``Handed``.
    """

    @property
    def combine_mp(self) -> Floats: ...

    def measure(self, d_bmc: Floats, order: Order, /) -> Measure: ...


@dataclass(frozen=True, eq=False)
class Term:
    """A set of elements of one kind.

    ``node_bp`` (b, p) int: the nodes of each element; ``shift_bpa`` (b, p, 2) int, or None for all zero: the periods
    (across, up) by which each point lies away from the node named.
    """

    name: str
    geometry: Geometry
    law: Law
    node_bp: Ints
    shift_bpa: Ints | None = None

    def spans(self, x_nc: Floats, period_a: Floats | None) -> Floats:
        """Return the spans (b, m, 3) float, m, of every element."""
        point_bpc = x_nc.take(self.node_bp, axis=0)
        if period_a is not None and self.shift_bpa is not None:
            point_bpc[..., :PERIODS] += self.shift_bpa * period_a
        return np.asarray(np.matmul(self.geometry.combine_mp, point_bpc))

    def spans_of(self, flat_sc: Floats) -> Floats:
        """Return what the span matrix gave, one row a span, as (b, m, 3)."""
        return flat_sc.reshape(len(self.node_bp), len(self.geometry.combine_mp), AXES)

    def measures(self, x_nc: Floats, period_a: Floats | None = None) -> Floats:
        """Return the measure (b,) of every element: its length, curvature, height and so on."""
        return self.geometry.measure(self.spans(x_nc, period_a), 0).s_b

    def energy(self, d_bmc: Floats) -> float:
        """Return the energy of the term, J, from its spans."""
        return float(self.law(self.geometry.measure(d_bmc, 0).s_b)[0].sum())

    def gradient(self, d_bmc: Floats) -> tuple[float, Floats]:
        """Return the energy (J) and its derivative (b, q) by the spans, N."""
        measure = self.geometry.measure(d_bmc, 1)
        u_b, slope_b, _ = self.law(measure.s_b)
        assert measure.slope_bq is not None
        return float(u_b.sum()), slope_b[:, None] * measure.slope_bq

    def hessian(self, d_bmc: Floats) -> tuple[float, Floats, Floats]:
        """Return the energy (J), its derivative (b, q) and its exact second derivative (b, q, q) by the spans.

        The chain rule of every term: H = U'' s' s'^T + U' s''.
        """
        measure = self.geometry.measure(d_bmc, 2)
        u_b, slope_b, stiff_b = self.law(measure.s_b)
        assert measure.slope_bq is not None
        exact_bqq = _outer(stiff_b, measure.slope_bq)
        if measure.curvature_bqq is not None:
            exact_bqq += slope_b[:, None, None] * measure.curvature_bqq
        return float(u_b.sum()), slope_b[:, None] * measure.slope_bq, exact_bqq

    def material(self, d_bmc: Floats) -> Floats | None:
        """Return the part (b, q, q) of the second derivative that is positive semi-definite wherever the element lies:
        U'' s' s'^T where U'' > 0. None where that is nothing at all."""
        measure = self.geometry.measure(d_bmc, 1)
        stiff_b = np.maximum(self.law(measure.s_b)[2], 0.0)
        assert measure.slope_bq is not None
        return _outer(stiff_b, measure.slope_bq) if stiff_b.any() else None


def _outer(factor_b: Floats, a_bq: Floats) -> Floats:
    product_bqq: Floats = (factor_b[:, None] * a_bq)[:, :, None] * a_bq[:, None, :]
    return product_bqq


def places(x_nc: Floats, period_a: Floats | None) -> Floats:
    """Return the nodes and, for a periodic cell, its two periods as two more of them: (width, 0, 0), (0, height, 0).

    So a point that lies whole periods away is a fixed combination of places like any other.
    """
    if period_a is None:
        return x_nc
    period_pc = np.zeros((PERIODS, AXES))
    period_pc[range(PERIODS), range(PERIODS)] = period_a
    return np.concatenate([x_nc, period_pc])


def points_of(term: Term, nodes: int, periodic: bool) -> tuple[Ints, Floats]:
    """Return the places (b, p) that each element draws on and how much of each its spans take, (b or 1, m, p)."""
    combine_1mp = term.geometry.combine_mp[None]
    if not periodic:
        return term.node_bp, combine_1mp
    count = len(term.node_bp)
    place_bp = np.concatenate([term.node_bp, np.broadcast_to(nodes + np.arange(PERIODS), (count, PERIODS))], axis=1)
    crossed_bma = np.zeros((count, combine_1mp.shape[1], PERIODS))
    if term.shift_bpa is not None:
        crossed_bma = np.matmul(combine_1mp, term.shift_bpa)
    return place_bp, np.concatenate(
        [np.broadcast_to(combine_1mp, (count, *combine_1mp.shape[1:])), crossed_bma], axis=2
    )


@dataclass(frozen=True, eq=False)
class Points:
    """What the elements of a term draw on: ``place_bp`` (b, p), the periods of a cell last if ``periodic``;
    ``crossed_bma`` (b, m, 2): how many periods lie between the ends of each span, None where there are none."""

    periodic: bool
    place_bp: Ints
    crossed_bma: Floats | None

    @classmethod
    def of(cls, term: Term, nodes: int, periodic: bool) -> Points:
        """Return those of a term among so many nodes."""
        place_bp, share_bmp = points_of(term, nodes, periodic)
        crossed_bma = share_bmp[:, :, -PERIODS:] if periodic else None
        return cls(periodic, place_bp, crossed_bma)


def span_matrix(term: Term, nodes: int, periodic: bool) -> sparse.csr_array:
    """Return the constant matrix (b x m, places) that makes the spans of a term out of the places of all nodes."""
    place_bp, share_bmp = points_of(term, nodes, periodic)
    count, spans = len(place_bp), share_bmp.shape[1]
    share_bmp = np.broadcast_to(share_bmp, (count, spans, place_bp.shape[1]))
    b, m, p = np.nonzero(share_bmp)
    shape = (count * spans, nodes + (PERIODS if periodic else 0))
    return sparse.coo_array((share_bmp[b, m, p], (b * spans + m, place_bp[b, p])), shape=shape).tocsr()
