"""Round tubes about the yarns' paths, as one triangle mesh from which the place along the yarn can be read back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, Indices, Ints, Singles, unit
from fabricsim.render.yarn.strands import Strands

CAP = 0.35
"""How far the closed ends bulge, radii (chosen)."""


@dataclass(frozen=True, eq=False)
class Tubes:
    """The yarn's surface, in units of the yarn's thickness.

    ``x_gc`` (g, 3): ring centres; ``tangent_gc``, ``normal_gc`` (g, 3): unit, along the yarn and where angle 0 is;
    ``along_g`` (g,): arc length from the start of the strand; ``radius_g``; ``strand_g``, ``stitch_g`` (g,) int, and
    ``float_g``: the float of the tiling that a ring is part of, or -1;
    ``vertex_vc`` (v, 3): ring by ring, ``sides`` each, then the tips of the caps; ``triangle_tv`` (t, 3) int: two for
    every side of every step in ``ring_of_step_q``, then the caps. ``scale`` m: length of one unit.
    All numbers float32.
    """

    sides: int
    x_gc: Singles
    tangent_gc: Singles
    normal_gc: Singles
    along_g: Singles
    radius_g: Singles
    strand_g: Indices
    stitch_g: Indices
    float_g: Indices
    yarn_g: Indices
    ring_of_step_q: Indices
    vertex_vc: Singles
    triangle_tv: Indices
    scale: float


def frames(x_pc: Floats, first_s: Ints) -> tuple[Floats, Floats, Floats]:
    """Return unit tangents and unit normals (p, 3) of rotation-minimising frames, and arc lengths (p,), per strand.

    Double reflection (W. Wang, B. Juettler, D. Zheng, Y. Liu 2008, *Computation of rotation minimizing frames*,
    ACM Trans. Graph. 27(1), article 2): carrying a frame one step is a rotation in the plane square to the yarn, so
    the angles of all steps against any frames at all can be found at once and added up.
    """
    strand_p = np.repeat(np.arange(len(first_s) - 1), np.diff(first_s))
    inside_q = strand_p[1:] == strand_p[:-1]
    step_qc = np.diff(x_pc, axis=0)
    length_q = np.where(inside_q, np.linalg.norm(step_qc, axis=1), 0.0)
    way_qc = unit(step_qc) * inside_q[:, None]
    tangent_pc = np.zeros_like(x_pc)
    tangent_pc[:-1] += way_qc
    tangent_pc[1:] += way_qc
    tangent_pc = unit(tangent_pc)
    one_pc = np.zeros_like(x_pc)
    np.put_along_axis(one_pc, np.argmin(np.abs(tangent_pc), axis=1)[:, None], 1.0, axis=1)
    a_pc = unit(np.cross(tangent_pc, one_pc))
    b_pc = np.cross(tangent_pc, a_pc)

    def reflected(vector_qc: Floats, mirror_qc: Floats) -> Floats:
        size_q = np.maximum(np.einsum("qc,qc->q", mirror_qc, mirror_qc), 1e-30)
        out: Floats = vector_qc - (2.0 * np.einsum("qc,qc->q", mirror_qc, vector_qc) / size_q)[:, None] * mirror_qc
        return out

    second_qc = tangent_pc[1:] - reflected(tangent_pc[:-1], step_qc)
    carried_qc = reflected(reflected(a_pc[:-1], step_qc), second_qc)
    turn_q = np.arctan2(np.einsum("qc,qc->q", carried_qc, b_pc[1:]), np.einsum("qc,qc->q", carried_qc, a_pc[1:]))
    turn_p = np.concatenate([[0.0], np.cumsum(np.where(inside_q, turn_q, 0.0))])
    along_p = np.concatenate([[0.0], np.cumsum(length_q)])
    turn_p -= turn_p[first_s[:-1]][strand_p]
    along_p -= along_p[first_s[:-1]][strand_p]
    return tangent_pc, np.cos(turn_p)[:, None] * a_pc + np.sin(turn_p)[:, None] * b_pc, along_p


def tubes(strands: Strands, sides: int) -> Tubes:
    """Return closed tubes about the ``strands``, with ``sides`` flat sides each; yarn under two points is left out.

    Watertight, wound outwards. The sides stand out as far as makes their polygon as large as the yarn's circle, so that
    coarse yarn is no thinner. Where yarn bends tighter than its own radius the tube overlaps itself.
    """
    scale = strands.thickness
    x_gc = strands.x_pc / scale
    tangent_gc, normal_gc, along_g = frames(x_gc, strands.first_s)
    strand_g = np.repeat(np.arange(len(strands.yarn_s)), np.diff(strands.first_s))
    radius_g = 0.5 * strands.thin_p
    corner = np.sqrt(2.0 * np.pi / (sides * np.sin(2.0 * np.pi / sides)))  # equal areas, derived
    angle_k = 2.0 * np.pi * np.arange(sides) / sides
    binormal_gc = np.cross(tangent_gc, normal_gc)
    ring_gkc = (
        x_gc[:, None]
        + (corner * radius_g[:, None] * np.cos(angle_k))[:, :, None] * normal_gc[:, None]
        + (corner * radius_g[:, None] * np.sin(angle_k))[:, :, None] * binormal_gc[:, None]
    )
    start_s, end_s = strands.first_s[:-1], strands.first_s[1:] - 1
    tips = np.concatenate(
        [
            x_gc[start_s] - CAP * radius_g[start_s, None] * tangent_gc[start_s],
            x_gc[end_s] + CAP * radius_g[end_s, None] * tangent_gc[end_s],
        ]
    )
    ring_of_step_q = np.nonzero(strand_g[1:] == strand_g[:-1])[0]
    side_k = np.arange(sides)
    near = ring_of_step_q[:, None] * sides + side_k
    near_next = ring_of_step_q[:, None] * sides + (side_k + 1) % sides
    far, far_next = near + sides, near_next + sides
    body = np.stack([near, far_next, far, near, near_next, far_next], axis=-1).reshape(-1, 3)
    tip_start = len(x_gc) * sides + np.arange(len(start_s))
    first_cap = np.stack(
        np.broadcast_arrays(
            tip_start[:, None], start_s[:, None] * sides + (side_k + 1) % sides, start_s[:, None] * sides + side_k
        ),
        axis=-1,
    )
    last_cap = np.stack(
        np.broadcast_arrays(
            (tip_start + len(start_s))[:, None],
            end_s[:, None] * sides + side_k,
            end_s[:, None] * sides + (side_k + 1) % sides,
        ),
        axis=-1,
    )
    return Tubes(
        sides=sides,
        x_gc=x_gc.astype(np.float32),
        tangent_gc=tangent_gc.astype(np.float32),
        normal_gc=normal_gc.astype(np.float32),
        along_g=along_g.astype(np.float32),
        radius_g=radius_g.astype(np.float32),
        strand_g=strand_g.astype(np.int32),
        stitch_g=strands.stitch_p.astype(np.int32),
        float_g=strands.float_p.astype(np.int32),
        yarn_g=strands.yarn_s[strand_g].astype(np.int32),
        ring_of_step_q=ring_of_step_q.astype(np.int32),
        vertex_vc=np.concatenate([ring_gkc.reshape(-1, 3), tips]).astype(np.float32),
        triangle_tv=np.concatenate([body, first_cap.reshape(-1, 3), last_cap.reshape(-1, 3)]).astype(np.int32),
        scale=scale,
    )


@dataclass(frozen=True, eq=False)
class Spot:
    """Where rays met the yarn: ring below and above (int), how far between them, and the angle round the yarn."""

    ring_m: Ints
    fraction_m: Singles
    angle_m: Singles


def spots(tubes: Tubes, triangle_m: Indices, u_m: Singles, v_m: Singles) -> Spot:
    """Return where on the yarn points with barycentrics ``u_m``, ``v_m`` of triangles ``triangle_m`` lie.

    A point P = (1 - u - v) V0 + u V1 + v V2. Caps count as the ring they close.
    """
    sides, body = tubes.sides, len(tubes.ring_of_step_q) * 2 * tubes.sides
    of_body_m = np.minimum(triangle_m, body - 1)
    step_m = of_body_m // (2 * sides)
    rest_m = of_body_m - 2 * sides * step_m
    side_m, upper_m = rest_m >> 1, (rest_m & 1).astype(bool)
    fraction_m = np.where(upper_m, v_m, u_m + v_m)
    round_m = np.where(upper_m, u_m + v_m, u_m)
    cap_m = triangle_m >= body
    ring_m = tubes.ring_of_step_q.take(step_m).astype(np.intp)
    if cap_m.any():
        cap, side = np.divmod(triangle_m[cap_m] - body, sides)
        strands = int(tubes.strand_g[-1]) + 1
        begins = np.searchsorted(tubes.strand_g, np.arange(strands))
        ends = np.append(begins[1:], len(tubes.strand_g)) - 1
        at_end = cap >= strands
        strand = np.where(at_end, cap - strands, cap)
        ring_m[cap_m] = np.where(at_end, ends[strand] - 1, begins[strand])
        fraction_m[cap_m] = at_end
        side_m[cap_m], round_m[cap_m] = side, 0.5
    angle_m = (side_m + round_m) * np.float32(2.0 * np.pi / sides)
    return Spot(ring_m, fraction_m.astype(np.float32), angle_m.astype(np.float32))
