"""The path of the yarn carried behind the fabric: straight where it is taut, bowed where it is slack, over what bulges
in its way."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, Ints, unit
from fabricsim.render.yarn.float_lanes import Carries, lane
from fabricsim.render.yarn.surface import StitchSurface

BOW_ANGLE = np.radians(50.0)
"""A slack float hangs this far off the back, from straight down (chosen: clears the fabric, falls a little)."""
GREATEST_DROP = 1.5
"""How many rows a bow hangs down at most in flat fabric; a longer one stands off the back instead (chosen: stays behind
its motif). In a tube there may be no room for that: there it hangs down as far as it does."""
LEAST_POINTS = 3
"""Least number of steps along one stretch of a carry (chosen)."""
HALVINGS = 20
"""Halvings in search of a bow (derived: to a millionth of it)."""
STEPS = 10
"""Newton steps to the slope of a parabola (derived: the start is good to a few per cent and every step doubles the
digits)."""


@dataclass(frozen=True, eq=False)
class CarryPath:
    """Points of all carries, in order: ``carry_p`` (p,) int says whose, ``float_p`` (p,) int of which float, as the
    tiling numbers them, ``x_pc`` (p, 3) float, m, where."""

    carry_p: Ints
    float_p: Ints
    x_pc: Floats


def carry_paths(surface: StitchSurface, carries: Carries, step: float, *, hanging: bool = True) -> CarryPath:
    """Return the points of every carry between the feet that it joins, about ``step`` stitches apart.

    Each stretch goes straight from lane to lane, turning only at stitches that it lies on, and is bowed by the parabola
    of its length; where the fabric comes nearer than the lane it is pushed back to it, which makes it a little longer
    than its yarn. Bows hang down a little; if not ``hanging``, they stand straight off the back.
    """
    tiling = surface.tiling
    v_k, z_k = lane(carries.layer_k, tiling.width, tiling.height)
    v_b, z_b = v_k[carries.carry_b], z_k[carries.carry_b]
    begin_bc, _ = _place(surface, carries, carries.carry_b, carries.begin_b, v_b, z_b)
    end_bc, _ = _place(surface, carries, carries.carry_b, carries.end_b, v_b, z_b)
    chord_bc = end_bc - begin_bc
    way = _way(surface, carries, begin_bc, end_bc)
    length_b = way.length_b
    slope_b = end_slope(carries.excess_b)
    sag_b = 0.25 * slope_b * length_b
    off_bc = _bow_direction(surface, carries, unit(chord_bc), v_b, sag_b, hanging)

    count_b = (
        np.maximum(LEAST_POINTS, np.ceil(length_b * (1.0 + carries.excess_b) / tiling.width / step)).astype(np.intp) + 1
    )
    b_p = np.repeat(np.arange(len(count_b)), count_b)
    first_b = np.cumsum(count_b) - count_b
    place_p = (np.arange(len(b_p)) - first_b[b_p]) / (count_b[b_p] - 1)
    along_p = carries.begin_b[b_p] + place_p * (carries.end_b - carries.begin_b)[b_p]
    x_pc = begin_bc[b_p] + place_p[:, None] * chord_bc[b_p] + way.off_straight(b_p, place_p)
    bow_pc = (bow(place_p, slope_b[b_p]) * length_b[b_p])[:, None] * off_bc[b_p]
    x_pc += way.part_of_bow(b_p, x_pc, bow_pc, carries.excess_b)[b_p, None] * bow_pc

    under_pc, normal_pc = _place(surface, carries, carries.carry_b[b_p], along_p, v_b[b_p], np.zeros(len(b_p)))
    height_p = np.einsum("pc,pc->p", x_pc - under_pc, normal_pc)
    x_pc -= np.maximum(height_p - z_b[b_p], 0.0)[:, None] * normal_pc
    return CarryPath(carries.carry_b[b_p], carries.float_b[b_p], x_pc)


def _way(surface: StitchSurface, carries: Carries, begin_bc: Floats, end_bc: Floats) -> FloatWays:
    """Return the ways of all stretches over the stitches that they lie on, each in the lane of its carry."""
    stretch_q, k_q = carries.stretch_q, carries.carry_b[carries.stretch_q]
    v_q, z_q = lane(carries.layer_k[k_q], surface.tiling.width, surface.tiling.height)
    corner_qc, _ = _place(surface, carries, k_q, carries.pressed_q.astype(np.float64), v_q, z_q)
    begin_q, end_q = carries.begin_b[stretch_q], carries.end_b[stretch_q]
    return FloatWays(begin_bc, end_bc, stretch_q, (carries.pressed_q - begin_q) / (end_q - begin_q), corner_qc)


def _place(
    surface: StitchSurface, carries: Carries, carry_p: Ints, along_p: Floats, v_p: Floats, z_p: Floats
) -> tuple[Floats, Floats]:
    """Return points and normals at ``along_p`` stitches from the base of each carry."""
    whole_p = np.clip(np.rint(along_p), 0, carries.walk_kw.shape[1] - 1).astype(np.intp)
    return surface.at(carries.walk_kw[carry_p, whole_p], along_p - whole_p, v_p, z_p)


def _bow_direction(
    surface: StitchSurface, carries: Carries, chord_bc: Floats, v_b: Floats, sag_b: Floats, hanging: bool
) -> Floats:
    """Return the unit direction in which each stretch bows by ``sag_b`` m: off the back and, ``hanging``, down, across
    its chord."""
    middle_b = 0.5 * (carries.begin_b + carries.end_b)
    here = np.zeros(len(middle_b))
    low_bc, normal_bc = _place(surface, carries, carries.carry_b, middle_b, v_b - 0.1, here)
    high_bc, _ = _place(surface, carries, carries.carry_b, middle_b, v_b + 0.1, here)
    down_bc = low_bc - high_bc
    down_bc /= np.maximum(np.linalg.norm(down_bc, axis=1, keepdims=True), 1e-12)
    drop_b = np.full(len(sag_b), np.cos(BOW_ANGLE) if hanging else 0.0)
    if surface.tiling.case != "round":
        drop_b = np.minimum(drop_b, GREATEST_DROP * surface.tiling.height / np.maximum(sag_b, 1e-12))
    off_bc = drop_b[:, None] * down_bc - np.sqrt(1.0 - drop_b * drop_b)[:, None] * normal_bc
    off_bc -= np.einsum("bc,bc->b", off_bc, chord_bc)[:, None] * chord_bc
    unit_bc: Floats = off_bc / np.maximum(np.linalg.norm(off_bc, axis=1, keepdims=True), 1e-12)
    return unit_bc


@dataclass(frozen=True, eq=False)
class FloatWays:
    """Straight lines, each from its begin (b, 3) m to its end, that turn at corners instead.

    ``stretch_q`` (q,) int: the line that each corner belongs to; ``place_q`` (q,) float: where on it, 0 to 1, rising
    along each; ``corner_qc`` (q, 3) float, m. A line without corners stays straight to the last bit.
    """

    begin_bc: Floats
    end_bc: Floats
    stretch_q: Ints
    place_q: Floats
    corner_qc: Floats

    @property
    def length_b(self) -> Floats:
        """The length of each from corner to corner, (b,) float, m."""
        stretch_k, _, x_kc = self._corners(self.begin_bc, self.corner_qc, self.end_bc)
        return _lengths(stretch_k, x_kc, len(self.begin_bc))

    def off_straight(self, stretch_p: Ints, place_p: Floats) -> Floats:
        """Return what takes points at ``place_p`` of the straight lines ``stretch_p`` onto their ways, (p, 3) m."""
        if len(self.stretch_q) == 0:
            return np.zeros((len(place_p), 3))
        chord_qc = (self.end_bc - self.begin_bc)[self.stretch_q]
        off_qc = self.corner_qc - self.begin_bc[self.stretch_q] - self.place_q[:, None] * chord_qc
        none_bc = np.zeros_like(self.begin_bc)
        stretch_k, place_k, off_kc = self._corners(none_bc, off_qc, none_bc)
        # places of one stretch after the other on one line: where one ends and the next begins nothing is off
        along_p, along_k = 2.0 * stretch_p + place_p, 2.0 * stretch_k + place_k
        return np.stack([np.interp(along_p, along_k, off_k) for off_k in off_kc.T], axis=1)

    def part_of_bow(self, stretch_p: Ints, way_pc: Floats, bow_pc: Floats, excess_b: Floats) -> Floats:
        """Return the part of ``bow_pc`` (p, 3) m that makes each way longer by its excess: (b,) float, 0 to 1.

        ``way_pc`` (p, 3) m: points along the ways ``stretch_p``. A bow that is right for a straight line stays whole
        there; round a bulge it is too long, as what stands off a bulge has farther to go.
        """
        low_b, high_b = np.ones(len(excess_b)), np.ones(len(excess_b))
        low_b[self.stretch_q[excess_b[self.stretch_q] > 0.0]] = 0.0
        wanted_b = (1.0 + excess_b) * _lengths(stretch_p, way_pc, len(excess_b))
        for _ in range(HALVINGS if (low_b < 1.0).any() else 0):
            part_b = 0.5 * (low_b + high_b)
            long_b = _lengths(stretch_p, way_pc + part_b[stretch_p, None] * bow_pc, len(excess_b)) > wanted_b
            low_b, high_b = np.where(long_b, low_b, part_b), np.where(long_b, part_b, high_b)
        return high_b

    def _corners(self, begin_bc: Floats, middle_qc: Floats, end_bc: Floats) -> tuple[Ints, Floats, Floats]:
        """Return the stretch, the place and the value at all corners in order, begins and ends among them."""
        every_b = np.arange(len(begin_bc))
        stretch_k = np.concatenate([every_b, self.stretch_q, every_b])
        place_k = np.concatenate([np.zeros(len(begin_bc)), self.place_q, np.ones(len(end_bc))])
        order = np.lexsort((place_k, stretch_k))
        return stretch_k[order], place_k[order], np.concatenate([begin_bc, middle_qc, end_bc])[order]


def _lengths(stretch_p: Ints, x_pc: Floats, stretches: int) -> Floats:
    """Return the length of each polyline, (b,) float, m, from the points of one after the other."""
    step_s = np.linalg.norm(np.diff(x_pc, axis=0), axis=1)
    inside_s = stretch_p[1:] == stretch_p[:-1]
    length_b: Floats = np.zeros(stretches)
    np.add.at(length_b, stretch_p[1:][inside_s], step_s[inside_s])
    return length_b


def end_slope(excess: Floats) -> Floats:
    """Return the slope q at the ends of a parabola whose arc is 1 + ``excess`` times its chord.

    Solves sqrt(1 + q^2)/2 + asinh(q)/(2 q) = 1 + excess by Newton's rule, from the shallow answer
    q = 4 sqrt(3 excess/8). The sag at mid-span is q/4 of the chord.
    """
    wanted = np.maximum(np.asarray(excess, dtype=np.float64), 0.0)
    bowed = wanted > 1e-9
    q = np.where(bowed, 4.0 * np.sqrt(3.0 * wanted / 8.0), 1.0)
    for _ in range(STEPS):
        root = np.sqrt(1.0 + q * q)
        ratio = np.arcsinh(q) / q
        slope = (root - ratio) / (2.0 * q)  # derivative of the arc (derived)
        q = np.maximum(q - (0.5 * (root + ratio) - 1.0 - wanted) / slope, 1e-6)
    return np.where(bowed, q, 0.0)


def bow(place: Floats, slope: Floats) -> Floats:
    """Return how far the parabola stands off its chord at ``place`` (0 to 1), as a share of the chord."""
    off: Floats = slope * place * (1.0 - place)
    return off
