"""The fabric as one smooth closed sheet of its own thickness, coloured stitch by stitch: for 3-D files and printers."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Ints
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.mesh import DOWN, LEFT, RIGHT, UP
from fabricsim.render.solid.yarn import SolidBody
from fabricsim.render.trace.paint import yarn_colours
from fabricsim.render.trace.shade import albedos
from fabricsim.render.yarn.surface import StitchSurface
from fabricsim.render.yarn.tiling import tiled

INNER = 0.46
"""Where a stitch's own colour ends, stitches off its middle; it turns into its neighbour's in between (chosen: a seam
that reads as sharp)."""
PLACES = np.array([-INNER, 0.0, INNER])
"""Where in a stitch the surface is worked out, both ways (chosen: pucker is smooth over several stitches)."""
EDGE = 0.5
"""Where an edge stitch ends, stitches off its middle (derived)."""

SIDE = len(PLACES)


def cloth_body(equilibrium: Equilibrium) -> SolidBody:
    """Return the fabric as a closed sheet, front and back half a thickness off the surface through its stitches.

    Of a ``repeat`` it is what a picture shows. Where fabric bends tighter than half its thickness, or lies on itself,
    the sheet may cut into itself.
    """
    tiling = tiled(equilibrium)
    shown_n = tiling.shown_n
    shown_of = np.append(np.where(shown_n, np.cumsum(shown_n) - 1, -1), -1)  # the last answers for "none"
    node_m = np.nonzero(shown_n)[0]
    next_m4 = shown_of[np.where(tiling.neighbour_n4[node_m] < tiling.stitches, tiling.neighbour_n4[node_m], -1)]

    u_mvu, v_mvu = (np.tile(one, (len(node_m), 1, 1)) for one in np.meshgrid(PLACES, PLACES))
    for place_mvu, axis, low, high in ((u_mvu, 2, LEFT, RIGHT), (v_mvu, 1, DOWN, UP)):
        at_low, at_high = (np.take(place_mvu, [end], axis) for end in (0, SIDE - 1))
        at_low[next_m4[:, low] < 0], at_high[next_m4[:, high] < 0] = -EDGE, EDGE
        inner = np.take(place_mvu, range(1, SIDE - 1), axis)
        place_mvu[:] = np.concatenate([at_low, inner, at_high], axis=axis)
    point_pc, normal_pc = StitchSurface(tiling).at(np.repeat(node_m, SIDE * SIDE), u_mvu.ravel(), v_mvu.ravel())

    front_tv = _triangles(next_m4)
    rim_e2 = _rim(front_tv)
    count, half = len(point_pc), 0.5 * equilibrium.mesh.thickness * normal_pc
    walls = np.stack([rim_e2[:, [1, 0, 0]], rim_e2[:, [1, 0, 1]]], axis=1) + count * np.array([[0, 0, 1], [0, 1, 1]])
    light_mc = albedos(yarn_colours(equilibrium.scene))[tiling.yarn_n[node_m]]
    return SolidBody(
        name=equilibrium.scene.title,
        vertex_vc=np.concatenate([point_pc + half, point_pc - half]).astype(np.float32),
        normal_vc=np.concatenate([normal_pc, -normal_pc]).astype(np.float32),
        triangle_tv=np.concatenate([front_tv, front_tv[:, ::-1] + count, walls.reshape(-1, 3)]).astype(np.int32),
        light_vc=np.tile(np.repeat(light_mc, SIDE * SIDE, axis=0), (2, 1)),
    )


def _triangles(next_m4: Ints) -> Ints:
    """Return the triangles (t, 3) of the open surface, wound about its normal: within stitches and between them."""
    number_mvu = np.arange(len(next_m4) * SIDE * SIDE).reshape(-1, SIDE, SIDE)
    right_m, up_m = next_m4[:, RIGHT], next_m4[:, UP]
    beside, above = np.nonzero(right_m >= 0)[0], np.nonzero(up_m >= 0)[0]
    # four stitches meet where both ways round lead to the same one
    both = np.nonzero((right_m >= 0) & (up_m >= 0))[0]
    far = next_m4[right_m[both], UP]
    met = (far >= 0) & (far == next_m4[up_m[both], RIGHT])
    both, far = both[met], far[met]
    corner_kvu = np.array(
        [
            [number_mvu[both, -1, -1], number_mvu[right_m[both], -1, 0]],
            [number_mvu[up_m[both], 0, -1], number_mvu[far, 0, 0]],
        ]
    ).transpose(2, 0, 1)
    sheets = (
        number_mvu,
        np.stack([number_mvu[beside, :, -1], number_mvu[right_m[beside], :, 0]], axis=2),
        np.stack([number_mvu[above, -1, :], number_mvu[up_m[above], 0, :]], axis=1),
        corner_kvu,
    )
    return np.concatenate([_quads(sheet_kvu) for sheet_kvu in sheets])


def _quads(number_kvu: Ints) -> Ints:
    """Return two triangles for every cell of patches of vertices, (k, rows, columns)."""
    a, b = number_kvu[:, :-1, :-1].ravel(), number_kvu[:, :-1, 1:].ravel()
    d, c = number_kvu[:, 1:, :-1].ravel(), number_kvu[:, 1:, 1:].ravel()
    return np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])


def _rim(triangle_tv: Ints) -> Ints:
    """Return the edges (e, 2) that only one triangle has, as it runs along them."""
    edge_e2 = np.concatenate([triangle_tv[:, [0, 1]], triangle_tv[:, [1, 2]], triangle_tv[:, [2, 0]]])
    many = int(triangle_tv.max()) + 1
    forth, back = edge_e2[:, 0] * many + edge_e2[:, 1], edge_e2[:, 1] * many + edge_e2[:, 0]
    rim: Ints = edge_e2[~np.isin(forth, back)]
    return rim
