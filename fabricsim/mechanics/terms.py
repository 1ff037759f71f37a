"""One term of the energy: a geometry and a law over a set of elements, joined by the chain rule.

A geometry turns the *spans* of an element (fixed combinations of its points, such as the vector from one stitch to the
next) into one scalar measure s with its first and second derivatives. Spans are linear in the points, so all the
non-linearity of a term sits in one small pure function of arrays.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal, Protocol

import numpy as np
from numpy.typing import NDArray

from fabricsim.mechanics.laws import Law

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Order = Literal[0, 1, 2]

AXES = 3
PERIODS = 2


@dataclass(frozen=True)
class Measure:
    """The measure of each element and its derivatives with respect to the element's spans.

    ``s_b`` (b,); ``slope_bq`` (b, q) with q = 3 x spans; ``curvature_bqq`` (b, q, q) the exact second derivative;
    ``safe_bqq`` a part of it that is positive semi-definite by construction. None where not asked for, or zero.
    """

    s_b: Floats
    slope_bq: Floats | None = None
    curvature_bqq: Floats | None = None
    safe_bqq: Floats | None = None


class Geometry(Protocol):
    """``combine_mp`` (spans, points) makes the spans of the points; ``measure`` does the rest.

    ``order`` 0 asks for the measure alone, 1 for its slope too, 2 for both curvatures as well.
    """

    @property
    def combine_mp(self) -> Floats: ...

    def measure(self, d_bmc: Floats, order: Order, /) -> Measure: ...


@dataclass(frozen=True)
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
        point_bpc = x_nc[self.node_bp]
        if period_a is not None and self.shift_bpa is not None:
            point_bpc[..., :PERIODS] += self.shift_bpa * period_a
        span_bmc: Floats = np.matmul(self.geometry.combine_mp, point_bpc)
        return span_bmc

    def measures(self, x_nc: Floats, period_a: Floats | None = None) -> Floats:
        """Return the measure (b,) of every element: its length, curvature, height and so on."""
        return self.geometry.measure(self.spans(x_nc, period_a), 0).s_b

    def slopes(self, x_nc: Floats, period_a: Floats | None = None) -> Floats:
        """Return U' (b,) of every element: the pull (N) of a float or a bar, the moment of a bend."""
        return self.law(self.measures(x_nc, period_a))[1]

    def energy(self, x_nc: Floats, period_a: Floats | None) -> float:
        """Return the energy of the term, J."""
        return float(self.law(self.measures(x_nc, period_a))[0].sum())

    def gradient(self, x_nc: Floats, period_a: Floats | None) -> tuple[float, Floats]:
        """Return the energy (J) and its derivative (b, k) by the element's unknowns: 3 a point, then the periods."""
        measure = self.geometry.measure(self.spans(x_nc, period_a), 1)
        u_b, slope_b, _ = self.law(measure.s_b)
        assert measure.slope_bq is not None
        return float(u_b.sum()), slope_b[:, None] * self._by_unknowns(measure.slope_bq, period_a is not None)

    def hessian(self, x_nc: Floats, period_a: Floats | None) -> tuple[float, Floats, Floats, Floats]:
        """Return energy, derivative (b, k), exact second derivative (b, k, k) and its safe part (b, k, k).

        The chain rule of every term: H = U'' s' s'^T + U' s''. The safe part keeps U'' > 0 and, where U' > 0, the part
        of s'' that is positive semi-definite by construction.
        """
        periodic = period_a is not None
        measure = self.geometry.measure(self.spans(x_nc, period_a), 2)
        u_b, slope_b, stiff_b = self.law(measure.s_b)
        assert measure.slope_bq is not None
        by_bk = self._by_unknowns(measure.slope_bq, periodic)
        outer_bkk = by_bk[:, :, None] * by_bk[:, None, :]
        exact_bkk = stiff_b[:, None, None] * outer_bkk
        safe_bkk = exact_bkk if (stiff_b >= 0.0).all() else np.maximum(stiff_b, 0.0)[:, None, None] * outer_bkk
        same = measure.safe_bqq is measure.curvature_bqq
        if measure.curvature_bqq is not None:
            curved = self._both_sides(slope_b[:, None, None] * measure.curvature_bqq, periodic)
            exact_bkk = exact_bkk + curved
            if same:
                safe_bkk = safe_bkk + (slope_b > 0.0)[:, None, None] * curved
        if measure.safe_bqq is not None and not same:
            pull_b = np.maximum(slope_b, 0.0)
            safe_bkk = safe_bkk + self._both_sides(pull_b[:, None, None] * measure.safe_bqq, periodic)
        return float(u_b.sum()), slope_b[:, None] * by_bk, exact_bkk, safe_bkk

    @cached_property
    def _span_by_node(self) -> Floats:
        """d(spans)/d(points): one constant matrix (3m, 3p)."""
        return np.asarray(np.kron(self.geometry.combine_mp, np.eye(AXES)), dtype=np.float64)

    @cached_property
    def _span_by_unknown(self) -> Floats:
        """d(spans)/d(points and periods): (b, 3m, 3p + 2), as elements differ in the periods they cross."""
        by_node = self._span_by_node
        by_period = np.zeros((len(self.node_bp), by_node.shape[0], PERIODS))
        if self.shift_bpa is not None:
            crossed_bma = np.matmul(self.geometry.combine_mp, self.shift_bpa)
            for a in range(PERIODS):
                by_period[:, a::AXES, a] = crossed_bma[..., a]
        same = np.broadcast_to(by_node, (len(self.node_bp), *by_node.shape))
        return np.concatenate([same, by_period], axis=2)

    def _by_unknowns(self, slope_bq: Floats, periodic: bool) -> Floats:
        if periodic:
            return np.asarray(np.einsum("bq,bqk->bk", slope_bq, self._span_by_unknown))
        return np.asarray(slope_bq @ self._span_by_node)

    def _both_sides(self, curvature_bqq: Floats, periodic: bool) -> Floats:
        to = self._span_by_unknown if periodic else self._span_by_node
        block_bkk: Floats = np.matmul(np.swapaxes(to, -1, -2), np.matmul(curvature_bqq, to))
        return block_bkk
