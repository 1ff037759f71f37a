"""The path of the yarn carried behind the fabric: straight where it is taut, bowed where it is slack, over what bulges
in its way."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.fabric.mesh import Floats, Ints
from fabricsim.render.yarn.float_lanes import Carries, lane
from fabricsim.render.yarn.parabola import bow, end_slope
from fabricsim.render.yarn.strands import unit
from fabricsim.render.yarn.surface import Surface
from fabricsim.render.yarn.way import Way

BOW_ANGLE = np.radians(50.0)
"""A slack float hangs this far off the back, from straight down (chosen: clears the fabric, falls a little)."""
GREATEST_DROP = 1.5
"""How many rows a bow hangs down at most in flat fabric; a longer one stands off the back instead (chosen: stays behind
its motif). In a tube there may be no room for that: there it hangs down as far as it does."""
LEAST_POINTS = 3
"""Least number of steps along one stretch of a carry (chosen)."""


@dataclass(frozen=True)
class CarryPath:
    """Points of all carries, in order: ``carry_p`` (p,) int says whose, ``float_p`` (p,) int of which laid float,
    ``x_pc`` (p, 3) float, m, where."""

    carry_p: Ints
    float_p: Ints
    x_pc: Floats


def carry_paths(surface: Surface, carries: Carries, step: float, *, hanging: bool = True) -> CarryPath:
    """Return the points of every carry between the feet that it joins, about ``step`` stitches apart.

    Each stretch goes straight from lane to lane, turning only at stitches that it lies on, and is bowed by the parabola
    of its length; where the fabric comes nearer than the lane it is pushed back to it, which makes it a little longer
    than its yarn. Bows hang down a little; if not ``hanging``, they stand straight off the back.
    """
    laid = surface.laid
    v_k, z_k = lane(carries.layer_k, laid.width, laid.height)
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
        np.maximum(LEAST_POINTS, np.ceil(length_b * (1.0 + carries.excess_b) / laid.width / step)).astype(np.intp) + 1
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


def _way(surface: Surface, carries: Carries, begin_bc: Floats, end_bc: Floats) -> Way:
    """Return the ways of all stretches over the stitches that they lie on, each in the lane of its carry."""
    stretch_q, k_q = carries.stretch_q, carries.carry_b[carries.stretch_q]
    v_q, z_q = lane(carries.layer_k[k_q], surface.laid.width, surface.laid.height)
    corner_qc, _ = _place(surface, carries, k_q, carries.pressed_q.astype(np.float64), v_q, z_q)
    begin_q, end_q = carries.begin_b[stretch_q], carries.end_b[stretch_q]
    return Way(begin_bc, end_bc, stretch_q, (carries.pressed_q - begin_q) / (end_q - begin_q), corner_qc)


def _place(
    surface: Surface, carries: Carries, carry_p: Ints, along_p: Floats, v_p: Floats, z_p: Floats
) -> tuple[Floats, Floats]:
    """Return points and normals at ``along_p`` stitches from the base of each carry."""
    whole_p = np.clip(np.rint(along_p), 0, carries.walk_kw.shape[1] - 1).astype(np.intp)
    return surface.at(carries.walk_kw[carry_p, whole_p], along_p - whole_p, v_p, z_p)


def _bow_direction(
    surface: Surface, carries: Carries, chord_bc: Floats, v_b: Floats, sag_b: Floats, hanging: bool
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
    if surface.laid.case != "round":
        drop_b = np.minimum(drop_b, GREATEST_DROP * surface.laid.height / np.maximum(sag_b, 1e-12))
    off_bc = drop_b[:, None] * down_bc - np.sqrt(1.0 - drop_b * drop_b)[:, None] * normal_bc
    off_bc -= np.einsum("bc,bc->b", off_bc, chord_bc)[:, None] * chord_bc
    unit_bc: Floats = off_bc / np.maximum(np.linalg.norm(off_bc, axis=1, keepdims=True), 1e-12)
    return unit_bc
