"""Wraps: the length of a taut line behind the surface, which presses on it where the straight way would cut through."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask, cross, dot
from fabricsim.mechanics.energies.registry import Patch, register
from fabricsim.mechanics.laws import Taut
from fabricsim.mechanics.terms import Handed, Measure, Order, Term
from fabricsim.mechanics.vectors import IDENTITY, Normal, direction_and_length, outer, unit_curvature, unit_jacobian

AROUND = 5
"""Points of an anchor: the node, then its neighbours left, right, down and up."""


@dataclass(frozen=True)
class WrappedDistance:
    """s = the length, m, of the shortest line from the first to the last of ``anchors`` that stays behind the others.

    Anchors lie at x - offset n, n the unit normal of (right - left) x (up - down). The surface behind them is taken as
    a cylinder whose rulings run along the mean of (up - down): unrolled, the line is straight, so
    s^2 = p^2 + (C . y)^2, where y is the unit vector of the rulings, C the chord and p the length of the convex chain
    of anchors seen along y. An anchor counts while the line turns about it towards the face; where it ceases to, the
    turn is nought, so s has a continuous slope. Friction is left out: the line slides along the rulings.
    """

    anchors: int
    offset: float

    @cached_property
    def combine_mp(self) -> Floats:
        """The chords from node to node, then for every anchor (right - left) and (up - down)."""
        k, here = self.anchors, AROUND * np.arange(self.anchors)
        combine = np.zeros((3 * k - 1, AROUND * k))
        chord = np.arange(k - 1)
        combine[chord, here[:-1]], combine[chord, here[1:]] = -1.0, 1.0
        for way in range(2):
            row = k - 1 + 2 * np.arange(k) + way
            combine[row, here + 1 + 2 * way], combine[row, here + 2 + 2 * way] = -1.0, 1.0
        return combine

    def compiled(self) -> Handed:
        return "wrapped distance", (self.offset,)

    def course(self, d_bmc: Floats) -> tuple[Floats, Floats, Mask]:
        """Return the measure (b,) and how the line runs: how deep the straight chord would cut into what lies before
        it, the greatest distance (b,), m, of any anchor behind the chord seen along the rulings, 0 where there is none;
        and about which anchors (b, k) the line turns, its two ends among them."""
        shape = self._shape(d_bmc)
        y_bc, kept_bk = shape.y_bc, _chain(shape.step_bmc, shape.y_bc)
        p_b = _planar(shape.step_bmc, y_bc, np.cumsum(kept_bk[:, :-1], axis=1) - 1, 0)[0]
        place_bmc = np.cumsum(shape.step_bmc, axis=1)
        aside_b = dot(place_bmc[:, -1], y_bc)
        chord_bc = place_bmc[:, -1] - aside_b[:, None] * y_bc
        behind_bm = np.einsum("bmc,bc->bm", cross(place_bmc[:, :-1], chord_bc[:, None]), y_bc)
        depth_b = -behind_bm.min(axis=1, initial=0.0) / direction_and_length(chord_bc)[1]
        return np.sqrt(p_b**2 + aside_b**2), depth_b, kept_bk

    def measure(self, d_bmc: Floats, order: Order) -> Measure:
        shape = self._shape(d_bmc)
        y_bc, steps = shape.y_bc, self.anchors - 1
        line_bm = np.cumsum(_chain(shape.step_bmc, y_bc)[:, :-1], axis=1) - 1
        p_b, p_slope, p_curve = _planar(shape.step_bmc, y_bc, line_bm, order)
        chord_bc = shape.step_bmc.sum(axis=1)
        aside_b = dot(chord_bc, y_bc)
        s_b = np.sqrt(p_b**2 + aside_b**2)
        if order == 0:
            return Measure(s_b)
        aside_slope = np.concatenate([np.tile(y_bc, steps), chord_bc], axis=1)
        inner_bz = (p_b[:, None] * p_slope + aside_b[:, None] * aside_slope) / s_b[:, None]
        by_span = self._inner_by_span(shape)
        slope_bq = np.matmul(inner_bz[:, None], by_span)[:, 0]
        if order == 1:
            return Measure(s_b, slope_bq)
        assert p_curve is not None
        inner = outer(p_slope, p_slope) + p_b[:, None, None] * p_curve + outer(aside_slope, aside_slope)
        mixed = aside_b[:, None, None] * np.tile(IDENTITY, (steps, 1))
        inner[:, :-3, -3:] += mixed
        inner[:, -3:, :-3] += mixed.transpose(0, 2, 1)
        inner = (inner - outer(inner_bz, inner_bz)) / s_b[:, None, None]
        h = np.matmul(by_span.transpose(0, 2, 1), np.matmul(inner, by_span))
        self._add_turning(h, inner_bz, shape)
        return Measure(s_b, slope_bq, h)

    def _shape(self, d_bmc: Floats) -> _Shape:
        k = self.anchors
        up_bkc = d_bmc[:, k::2]
        normal = Normal(d_bmc[:, k - 1 :: 2].reshape(-1, 3), up_bkc.reshape(-1, 3))
        n_bkc = normal.n_bc.reshape(-1, k, 3)
        y_bc, length_b = direction_and_length(up_bkc.sum(axis=1))
        return _Shape(d_bmc[:, : k - 1] - self.offset * (n_bkc[:, 1:] - n_bkc[:, :-1]), y_bc, length_b, normal)

    def _inner_by_span(self, shape: _Shape) -> Floats:
        """Return d(steps and ruling)/d(spans), (b, 3k, q)."""
        k = self.anchors
        by_span = np.zeros((len(shape.y_bc), 3 * k, 3 * (3 * k - 1)))
        by_span[:, : 3 * k - 3, : 3 * k - 3] = np.eye(3 * k - 3)
        turn_bk = self.offset * shape.normal.jacobian().reshape(-1, k, 3, 6)
        for i in range(k):
            at = self._of(i)
            if i < k - 1:
                by_span[:, 3 * i : 3 * i + 3, at] = turn_bk[:, i]
            if i > 0:
                by_span[:, 3 * i - 3 : 3 * i, at] = -turn_bk[:, i]
        by_span[:, -3:, self._ups] = np.tile(unit_jacobian(shape.y_bc, shape.rulings_b), k)
        return by_span

    def _add_turning(self, h: Floats, inner_bz: Floats, shape: _Shape) -> None:
        """Add what comes of the second derivatives of normals and ruling."""
        k = self.anchors
        pull = np.pad(inner_bz[:, :-3].reshape(-1, k - 1, 3), ((0, 0), (1, 1), (0, 0)))
        turning_bk = shape.normal.curvature(self.offset * (pull[:, 1:] - pull[:, :-1]).reshape(-1, 3))
        for i, turning in enumerate(turning_bk.reshape(-1, k, 6, 6).transpose(1, 0, 2, 3)):
            h[:, self._of(i), self._of(i)] += turning
        bent = unit_curvature(inner_bz[:, -3:], shape.y_bc, shape.rulings_b)
        h[:, self._ups[:, None], self._ups] += np.tile(bent, (k, k))

    def _of(self, anchor: int) -> slice:
        """Return where (right - left, up - down) of an anchor stand among the spans' components."""
        begin = 3 * (self.anchors - 1 + 2 * anchor)
        return slice(begin, begin + 6)

    @cached_property
    def _ups(self) -> Ints:
        """Where (up - down) of all anchors stand among the spans' components."""
        return np.concatenate([np.arange(self._of(i).start + 3, self._of(i).stop) for i in range(self.anchors)])


@dataclass(frozen=True, eq=False)
class _Shape:
    """Steps from anchor to anchor (b, k - 1, 3), the unit ruling (b, 3), its length before (b,), all anchors'
    normals."""

    step_bmc: Floats
    y_bc: Floats
    rulings_b: Floats
    normal: Normal


def _chain(step_bmc: Floats, y_bc: Floats) -> Mask:
    """Return which anchors (b, k) are on the convex chain behind all, ends included.

    An anchor before the line between any two others is never on it, so all such may go at once, until none is left.
    """
    count, k = len(step_bmc), step_bmc.shape[1] + 1
    place_bkc = np.zeros((count, k, 3))
    np.cumsum(step_bmc, axis=1, out=place_bkc[:, 1:])
    kept_bk = np.ones((count, k), dtype=bool)
    here, index_k = np.arange(count)[:, None], np.arange(k)
    while True:
        last = np.maximum.accumulate(np.where(kept_bk, index_k, 0), axis=1)[:, :-2]
        following = np.minimum.accumulate(np.where(kept_bk, index_k, k - 1)[:, ::-1], axis=1)[:, ::-1][:, 2:]
        inner_bkc = place_bkc[:, 1:-1]
        turn = cross(inner_bkc - place_bkc[here, last], place_bkc[here, following] - inner_bkc)
        lifts = kept_bk[:, 1:-1] & (np.einsum("bkc,bc->bk", turn, y_bc) >= 0.0)
        if not lifts.any():
            return kept_bk
        kept_bk[:, 1:-1] &= ~lifts


def _planar(step_bmc: Floats, y_bc: Floats, line_bm: Ints, order: Order) -> tuple[Floats, Floats, Floats | None]:
    """Return the length (b,) of straight lines seen along y, added up, and its derivatives by (steps, y).

    ``line_bm`` says to which line each step belongs. One line's length is f = sqrt(|D|^2 - (D . y)^2), y as free as D.
    """
    count, steps = line_bm.shape
    member_bsm = line_bm[:, None] == np.arange(steps)[:, None]
    line_bsc = np.matmul(member_bsm.astype(np.float64), step_bmc)
    aside_bs = np.matmul(line_bsc, y_bc[:, :, None])[..., 0]
    f_bs = np.sqrt(np.maximum(np.einsum("bsc,bsc->bs", line_bsc, line_bsc) - aside_bs**2, 0.0))
    if order == 0:
        return f_bs.sum(axis=1), f_bs, None
    there_bs = member_bsm.any(axis=2)
    over_bs = there_bs / np.where(there_bs, f_bs, 1.0)  # lines without steps are nothing and count nothing
    by_line = (line_bsc - aside_bs[:, :, None] * y_bc[:, None]) * over_bs[:, :, None]
    by_y = -(aside_bs * over_bs)[:, :, None] * line_bsc
    here = np.arange(count)[:, None]
    slope = np.concatenate([by_line[here, line_bm].reshape(count, -1), by_y.sum(axis=1)], axis=1)
    if order < 2:
        return f_bs.sum(axis=1), slope, None
    flat = (count * steps, 3)
    line, along, beside = line_bsc.reshape(flat), by_line.reshape(flat), by_y.reshape(flat)
    y, over, aside = np.repeat(y_bc, steps, axis=0), over_bs.reshape(-1, 1, 1), aside_bs.reshape(-1, 1, 1)
    line_line = over * (IDENTITY - outer(y, y) - outer(along, along))
    line_y = -over * (outer(y, line) + aside * IDENTITY + outer(along, beside))
    y_y = -over * (outer(line, line) + outer(beside, beside))
    curve = np.zeros((count, 3 * steps + 3, 3 * steps + 3))
    line_line, line_y = (a.reshape(count, steps, 3, 3)[here, line_bm] for a in (line_line, line_y))
    together = (line_bm[:, :, None] == line_bm[:, None]).astype(np.float64)
    curve[:, :-3, :-3] = (line_line[:, :, :, None] * together[:, :, None, :, None]).reshape(count, 3 * steps, -1)
    curve[:, :-3, -3:] = line_y.reshape(count, 3 * steps, 3)
    curve[:, -3:, :-3] = curve[:, :-3, -3:].transpose(0, 2, 1)
    curve[:, -3:, -3:] = y_y.reshape(count, steps, 3, 3).sum(axis=1)
    return f_bs.sum(axis=1), slope, curve


@register("wrap")
def _sample(patch: Patch, rng: np.random.Generator) -> Term:
    row = [[3, 3, 4, 0, 6], [4, 3, 5, 1, 7], [5, 4, 5, 2, 8]]  # ends lack a neighbour: the node stands in for it
    node_bp = np.array([np.ravel(row)])
    chord = float(np.linalg.norm(patch.rest_nc[5] - patch.rest_nc[3]))
    law = Taut(rng.uniform(50.0, 200.0, 1), 0.8 * chord)
    return Term("wrap", WrappedDistance(3, rng.uniform(0.1, 0.3) * chord), law, node_bp)
