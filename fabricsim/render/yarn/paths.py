"""The yarns' paths through the whole fabric: loops, sinkers, floats, catches, and how rows are joined."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask, unit
from fabricsim.breaks import asked
from fabricsim.fabric.mesh import RIGHT
from fabricsim.render.yarn import row_joins as joins
from fabricsim.render.yarn.clearance import keep_apart
from fabricsim.render.yarn.faired import faired
from fabricsim.render.yarn.float_lanes import Carries, find_carries, lane
from fabricsim.render.yarn.float_path import CarryPath, carry_paths
from fabricsim.render.yarn.lifted_strands import add_strands
from fabricsim.render.yarn.loop import Feet, body_parameters, loops, sinker_parameters
from fabricsim.render.yarn.loop_form import YARN_THICKNESS
from fabricsim.render.yarn.shaped_stitches import is_strand, ring_points
from fabricsim.render.yarn.strands import BODY, CARRY_BEFORE, LINK, Pieces, Strands, hermite
from fabricsim.render.yarn.surface import StitchSurface, walk
from fabricsim.render.yarn.tiling import Tiling

SHAPED_ROUNDS = 48
"""Times that strands about stitches that are not plain are looked at (measured: four times as many bring them no
farther apart)."""
CARRY_STEP = 10.0
"""Stitches over steps of a loop, to one step along a carry (chosen: about two and a half steps of a loop)."""
WRAP_DEPTH = 0.92
"""How far behind a caught float the yarn that holds it passes, yarn thicknesses (chosen: it touches)."""
WRAP_THIN = 0.85
"""Thickness at the tight bend of a wrap, share of the full one (chosen: yarn flattens there)."""


def yarn_paths(tiling: Tiling, steps: int, *, hanging: bool = True, apart: bool = True) -> Strands:
    """Return the path of every yarn, loops cut into about ``steps``.

    Slack floats hang down a little as they bow, and carried yarn gives way to other yarn; if not ``hanging``, floats
    stand straight off the back and none gives way, so that a section shows their true lengths. Without ``apart`` none
    gives way either, which takes half of the time: enough for what is still moving.
    Handles any surface whose stitches know their neighbours; draws yarn of one thickness, however far the stitches
    are squeezed or stretched. It may be broken off (``breaks``).
    """
    surface = StitchSurface(tiling)
    carries = find_carries(tiling)
    next_n = following(tiling, carries)
    order_n, first_nodes = ranked(next_n)
    feet = Feet(surface)
    pieces = Pieces()
    asked()

    body_t = body_parameters(steps)
    body_nkc = loops(surface, body_t)
    if tiling.shape is not None and tiling.shape.apex >= 0:
        apex, last = tiling.shape.apex, tiling.shape.ring_r[-1]
        foot_c, out_c = feet.x_nsc[last, 0], feet.out_nsc[last, 0]
        ring_kc = ring_points(tiling.shape, tiling.x_nc, len(body_t), foot_c, out_c)
        body_nkc[apex] = ring_kc
        feet.x_nsc[apex, 0], feet.out_nsc[apex, 0] = ring_kc[0], unit(ring_kc[0] - ring_kc[1])  # its end is tucked away
    node_n = np.arange(tiling.stitches)
    pieces.add(
        np.repeat(order_n, len(body_t)), BODY, np.repeat(node_n, len(body_t)), body_nkc.reshape(-1, 3), loose=False
    )
    sunk_n = (next_n >= 0) & (walk(tiling.neighbour_n4, node_n, RIGHT) == next_n)
    wrapped = np.isin(node_n, carries.wrapped_w)
    if tiling.shape is not None and tiling.shape.apex >= 0:
        sunk_n[tiling.shape.apex] = False  # its ring ends at the foot of the last stitch
    lifted_n = sunk_n & ~wrapped & is_strand(tiling.shape, node_n)
    _add_sinkers(pieces, surface, np.nonzero(sunk_n & ~wrapped & ~lifted_n)[0], next_n, order_n, steps)
    if lifted_n.any():
        add_strands(pieces, surface, feet, lifted_n, order_n, steps)
    _add_wraps(pieces, surface, carries, feet, sunk_n, next_n, order_n, steps)
    asked()
    path = carry_paths(surface, carries, CARRY_STEP / steps, hanging=hanging)
    _add_carries(pieces, carries, path, feet, order_n, max(3, steps // 6))
    asked()
    joins.add_joins(pieces, surface, carries, path, feet, next_n, order_n, first_nodes, max(4, steps // 6))
    strands = pieces.strands(order_n[first_nodes], tiling.yarn_n[first_nodes], YARN_THICKNESS * tiling.width)
    return given_way(surface, strands) if hanging and apart else strands


def given_way(surface: StitchSurface, strands: Strands) -> Strands:
    """Return strands of which none has given way yet, kept apart: what ``yarn_paths`` returns with ``apart``. It may be
    broken off (``breaks``)."""
    asked()
    tiling, loose_p, thickness = surface.tiling, strands.loose_p, strands.thickness
    if tiling.shape is None:
        return replace(
            strands, x_pc=keep_apart(strands.x_pc, strands.first_s, loose_p, surface.normals_near, thickness)
        )
    # loops that are not plain find their places among each other
    loop_p = tiling.shape.crowded_n[strands.stitch_p] & ~loose_p
    x_pc = keep_apart(
        strands.x_pc, strands.first_s, loose_p | loop_p, surface.normals_near, thickness, loop_p, SHAPED_ROUNDS
    )
    return replace(strands, x_pc=faired(x_pc, strands.first_s, loop_p))


def following(tiling: Tiling, carries: Carries) -> Ints:
    """Return the next stitch to the right that the yarn of each stitch makes, -1 at the end of a strand."""
    real = tiling.stitches
    right_n = tiling.neighbour_n4[:real, RIGHT]
    inside_n = (right_n >= 0) & (right_n < real)
    inside_n[inside_n] = tiling.yarn_n[right_n[inside_n]] == tiling.yarn_n[:real][inside_n]
    next_n = np.where(inside_n, right_n, -1)
    both = (carries.from_k >= 0) & (carries.to_k >= 0)
    next_n[carries.from_k[both]] = carries.to_k[both]
    if tiling.shape is not None and tiling.shape.apex >= 0:
        next_n[tiling.shape.apex] = tiling.shape.ring_r[-1]
    return next_n


def ranked(next_n: Ints) -> tuple[Ints, Ints]:
    """Return the rank of every stitch along the strands, strand after strand, and the stitch that begins each."""
    begins = np.ones(len(next_n), dtype=bool)
    begins[next_n[next_n >= 0]] = False
    order, ahead = [-1] * len(next_n), next_n.tolist()
    firsts, rank = [], 0
    # a closed ring of stitches has no beginning: it is cut at its lowest number
    for node in [*np.nonzero(begins)[0].tolist(), *range(len(next_n))]:
        if order[node] >= 0:
            continue
        firsts.append(node)
        while node >= 0 and order[node] < 0:
            order[node] = rank
            rank, node = rank + 1, ahead[node]
    return np.array(order, dtype=np.intp), np.array(firsts, dtype=np.intp)


def _add_sinkers(pieces: Pieces, surface: StitchSurface, left_l: Ints, next_n: Ints, order_n: Ints, steps: int) -> None:
    """Add the links between neighbours of one yarn, the halves of both blended so that they meet."""
    to_pi, from_pi = sinker_parameters(steps)
    left_lkc = loops(surface, to_pi)[left_l]
    right_lkc = loops(surface, from_pi)[next_n[left_l]]
    apart_l1c = right_lkc[:, :1] - left_lkc[:, -1:]
    grow_k = (np.arange(1, len(to_pi) + 1) / len(to_pi))[:, None]
    left_lkc = left_lkc + 0.5 * grow_k * apart_l1c
    right_lkc = right_lkc - 0.5 * grow_k[::-1] * apart_l1c
    link_lkc = np.concatenate([left_lkc, right_lkc[:, 1:]], axis=1)
    many = link_lkc.shape[1]
    pieces.add(np.repeat(order_n[left_l], many), LINK, np.repeat(left_l, many), link_lkc.reshape(-1, 3), loose=False)


def _add_wraps(
    pieces: Pieces,
    surface: StitchSurface,
    carries: Carries,
    feet: Feet,
    sunk_n: Mask,
    next_n: Ints,
    order_n: Ints,
    steps: int,
) -> None:
    """Add the links that pass behind a caught float and so hold it."""
    tiling = surface.tiling
    left_w, which = np.unique(carries.wrapped_w, return_index=True)
    which, left_w = which[sunk_n[left_w]], left_w[sunk_n[left_w]]
    v_w, z_w = lane(carries.layer_w[which], tiling.width, tiling.height)
    z_w = z_w - WRAP_DEPTH * YARN_THICKNESS * tiling.width
    half = np.full(len(left_w), 0.5)
    behind_wc, _ = surface.at(left_w, half, v_w, z_w)
    along_wc = unit(surface.at(left_w, half + 0.1, v_w, z_w)[0] - surface.at(left_w, half - 0.1, v_w, z_w)[0])
    right_w = next_n[left_w]
    few = max(3, steps // 4)
    down = hermite(feet.x_nsc[left_w, 1], feet.out_nsc[left_w, 1], behind_wc, along_wc, few)[:, 1:]
    up = hermite(behind_wc, along_wc, feet.x_nsc[right_w, 0], -feet.out_nsc[right_w, 0], few)[:, 1:-1]
    link_wkc = np.concatenate([down, up], axis=1)
    many = link_wkc.shape[1]
    bend_k = np.sin(np.pi * np.arange(1, many + 1) / (many + 1))
    pieces.add(
        np.repeat(order_n[left_w], many),
        LINK,
        np.repeat(left_w, many),
        link_wkc.reshape(-1, 3),
        thin_p=np.tile(1.0 - (1.0 - WRAP_THIN) * bend_k, len(left_w)),
    )


def _add_carries(pieces: Pieces, carries: Carries, path: CarryPath, feet: Feet, order_n: Ints, few: int) -> None:
    """Add the carries and fair them into the feet of the stitches that they join."""
    count = len(carries.base_k)
    first_k = np.searchsorted(path.carry_p, np.arange(count))
    last_k = np.searchsorted(path.carry_p, np.arange(count), side="right") - 1
    owner_k = np.where(carries.from_k >= 0, carries.from_k, carries.to_k)
    place_k = np.where(carries.from_k >= 0, LINK, CARRY_BEFORE)

    def add(which_k: Ints, points_kpc: Floats, float_k: Ints) -> None:
        k_p, float_p = (np.repeat(each_k, points_kpc.shape[1]) for each_k in (which_k, float_k))
        pieces.add(order_n[owner_k[k_p]], place_k[k_p], owner_k[k_p], points_kpc.reshape(-1, 3), float_p=float_p)

    leave, reach = np.nonzero(carries.from_k >= 0)[0], np.nonzero(carries.to_k >= 0)[0]
    begin_kc, onward_kc = path.x_pc[first_k], unit(path.x_pc[first_k + 1] - path.x_pc[first_k])
    end_kc, inward_kc = path.x_pc[last_k], unit(path.x_pc[last_k] - path.x_pc[last_k - 1])
    foot, out = feet.x_nsc[carries.from_k[leave], 1], feet.out_nsc[carries.from_k[leave], 1]
    add(leave, hermite(foot, out, begin_kc[leave], onward_kc[leave], few)[:, 1:-1], path.float_p[first_k[leave]])
    owner_p = owner_k[path.carry_p]
    pieces.add(order_n[owner_p], place_k[path.carry_p], owner_p, path.x_pc, float_p=path.float_p)
    foot, out = feet.x_nsc[carries.to_k[reach], 0], feet.out_nsc[carries.to_k[reach], 0]
    add(reach, hermite(end_kc[reach], inward_kc[reach], foot, -out, few)[:, 1:-1], path.float_p[last_k[reach]])
