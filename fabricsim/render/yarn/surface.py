"""The smooth surface through the stitches, worked out for each stitch from its own neighbours alone."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from scipy.spatial import cKDTree

from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.mesh import DOWN, LEFT, RIGHT, UP
from fabricsim.render.yarn.shaped_stitches import ShapedStitches
from fabricsim.render.yarn.tiling import Tiling

REACH = 2
"""Stitches to each side that a point of the surface depends on (derived: a cubic through four)."""
ABOUT = 8
"""Stitches whose normals make that of a place near them (chosen: the neighbours all round)."""
AT_ONCE = 50_000
"""Points worked out at once, for memory's sake (chosen: 30 MB)."""


def blend_weights(place: Floats) -> Floats:
    """Return the weight of the five stitches at -2 .. 2 for each ``place`` (p,) between -1 and 1: (p, 5).

    The parabolas through each stitch and its two neighbours, blended in proportion to the distance from one
    stitch to the next, make the cubic of Catmull and Rom 1974 (Computer Aided Geometric Design, 317-326; memory).
    In both directions at once it blends quadratic patches that hold the twist of the diagonal neighbours.
    """
    far = np.abs(np.asarray(place)[..., None] - np.arange(-REACH, REACH + 1))
    near = 1.0 + far * far * (1.5 * far - 2.5)
    outer = 2.0 + far * (-4.0 + far * (2.5 - 0.5 * far))
    weights: Floats = np.where(far < 1.0, near, np.where(far < 2.0, outer, 0.0))
    return weights


class StitchSurface:
    """Places points relative to stitches: ``u`` stitches to the right, ``v`` rows up, ``z`` m out of the face."""

    def __init__(self, tiling: Tiling) -> None:
        self.tiling = tiling
        self.stencil_n55 = _stencil(tiling.neighbour_n4, tiling.stitches)
        self.right_n55 = self.stencil_n55
        if tiling.shape is not None:
            self.stencil_n55, self.right_n55 = _shaped_stencils(tiling, tiling.shape)

    def of_stitches(self, u_k: Floats, v_k: Floats, z_k: Floats) -> Floats:
        """Return the same ``k`` places for every stitch: (stitches, k, 3) float, m. |u|, |v| below 1."""
        weight_kb = (blend_weights(v_k)[:, :, None] * blend_weights(u_k)[:, None, :]).reshape(len(u_k), -1)
        near_nb = self.stencil_n55.reshape(len(self.stencil_n55), -1)
        normal_nkc = weight_kb @ self.tiling.normal_nc[near_nb]
        normal_nkc /= np.linalg.norm(normal_nkc, axis=2, keepdims=True)
        point_nkc: Floats = weight_kb @ self.tiling.x_nc[near_nb] + z_k[:, None] * normal_nkc
        return point_nkc

    def at(self, node_p: Ints, u_p: Floats, v_p: Floats, z_p: Floats | float = 0.0) -> tuple[Floats, Floats]:
        """Return points (p, 3) m and unit normals (p, 3) at places near the stitches ``node_p``; |u|, |v| < 1."""
        z_p, tiling = np.broadcast_to(z_p, node_p.shape), self.tiling
        point_pc, normal_pc = np.empty((len(node_p), 3)), np.empty((len(node_p), 3))
        for start in range(0, len(node_p), AT_ONCE):
            part = slice(start, start + AT_ONCE)
            weight_pab = blend_weights(v_p[part])[:, :, None] * blend_weights(u_p[part])[:, None, :]
            near_pab = self.stencil_n55[node_p[part]]
            if tiling.shape is not None:  # to the right of its middle a stitch may stand on another than to the left
                near_pab = np.where((u_p[part] > 0.0)[:, None, None], self.right_n55[node_p[part]], near_pab)
            normal = np.einsum("pab,pabc->pc", weight_pab, self.tiling.normal_nc[near_pab])
            normal /= np.linalg.norm(normal, axis=1, keepdims=True)
            point = np.einsum("pab,pabc->pc", weight_pab, self.tiling.x_nc[near_pab])
            normal_pc[part], point_pc[part] = normal, point + z_p[part, None] * normal
        return point_pc, normal_pc

    def normals_near(self, x_pc: Floats) -> Floats:
        """Return the unit normals (p, 3) of the stitches about points anywhere near the fabric (p, 3) m, the nearer
        ones counting the more."""
        far, near_pk = self._tree.query(x_pc, k=min(ABOUT + 1, len(self.tiling.x_nc)))
        far_pk: Floats = np.asarray(far)
        weight_pk = (1.0 - far_pk / np.maximum(far_pk[:, -1:], 1e-12)) ** 2  # the farthest counts nothing: no jumps
        normal_pc: Floats = np.einsum("pk,pkc->pc", weight_pk, self.tiling.normal_nc[near_pk])
        normal_pc /= np.maximum(np.linalg.norm(normal_pc, axis=1, keepdims=True), 1e-12)
        return normal_pc

    @cached_property
    def _tree(self) -> cKDTree:
        return cKDTree(self.tiling.x_nc)


def walk(neighbour_n4: Ints, node_p: Ints, direction: int) -> Ints:
    """Return the neighbours of ``node_p`` in ``direction``, or the same node where there is none."""
    there_p = neighbour_n4[node_p, direction]
    stepped: Ints = np.where(there_p >= 0, there_p, node_p)
    return stepped


def _stencil(neighbour_n4: Ints, stitches: int) -> Ints:
    """Return the 5 x 5 nodes round every stitch, (stitches, 5 up, 5 across), walking across first, then up."""
    stencil = np.empty((stitches, 2 * REACH + 1, 2 * REACH + 1), dtype=np.intp)
    stencil[:, REACH, REACH] = np.arange(stitches)
    for direction, sign in ((LEFT, -1), (RIGHT, 1)):
        for far in range(1, REACH + 1):
            inner = stencil[:, REACH, REACH + sign * (far - 1)]
            stencil[:, REACH, REACH + sign * far] = walk(neighbour_n4, inner, direction)
    for direction, sign in ((DOWN, -1), (UP, 1)):
        for far in range(1, REACH + 1):
            inner = stencil[:, REACH + sign * (far - 1), :]
            stencil[:, REACH + sign * far, :] = walk(neighbour_n4, inner, direction)
    return stencil


def _shaped_stencils(tiling: Tiling, shape: ShapedStitches) -> tuple[Ints, Ints]:
    """Return the nodes round every stitch of shaped fabric as its left and its right half see them: up or down first,
    to what stands on it or what it stands on there, then along that row."""
    neighbour_n4, stitches = tiling.neighbour_n4, tiling.stitches
    made = []
    for side in (0, 1):
        stencil = np.empty((stitches, 2 * REACH + 1, 2 * REACH + 1), dtype=np.intp)
        here = np.arange(stitches)
        up = walk(neighbour_n4, here, UP)
        down = shape.foot_n2[:, side]
        columns = [walk(neighbour_n4, down, DOWN), down, here, up, walk(neighbour_n4, up, UP)]
        for row, middle in enumerate(columns):
            stencil[:, row, REACH] = middle
            for direction, sign in ((LEFT, -1), (RIGHT, 1)):
                node = middle
                for far in range(1, REACH + 1):
                    if row < REACH:
                        beside = shape.beside_m2[node, int(direction == RIGHT)]
                        node = np.where(beside >= 0, beside, node)
                    else:
                        node = walk(neighbour_n4, node, direction)
                    stencil[:, row, REACH + sign * far] = node
        if shape.apex >= 0:  # to the middle of a drawn-up top all columns lead
            stencil[up == shape.apex, REACH + 1 :] = shape.apex
        made.append(stencil)
    return made[0], made[1]
