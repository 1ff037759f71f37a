"""Which floats follow one another, and the lanes behind the fabric that keep the yarns of a row apart."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.mesh import RIGHT
from fabricsim.render.yarn.loop_form import DEPTH, YARN_THICKNESS
from fabricsim.render.yarn.surface import walk
from fabricsim.render.yarn.tiling import Tiling

LANE_HEIGHT = np.array([-0.62, -0.30, -0.46])
"""Height of the lanes below the middle of their row, stitch widths: first, second, third yarn of a row (chosen)."""
LANE_DEPTH = DEPTH + np.array([0.95, 0.95, 1.75]) * YARN_THICKNESS
"""Depth of the lanes behind the middle surface, stitch widths: the third lies over the other two (chosen)."""
PINCH = 0.32
"""Half the length over which a caught float lies flat under the yarn that holds it, stitches (chosen)."""
SHORTEST = 0.10
"""Least length left to bow between two neighbouring catches, stitches (chosen)."""
EDGE_PLACE = 0.20
"""How far outside the middle of an edge stitch a float that ends there is held, stitches (chosen)."""


def lane(layer: Ints, width: float, height: float) -> tuple[Floats, Floats]:
    """Return ``v`` in rows and ``z`` in m of the lanes of floats in ``layer``; beyond three, lanes are shared."""
    which = np.clip(layer, 0, len(LANE_HEIGHT) - 1)
    return LANE_HEIGHT[which] * width / height, -LANE_DEPTH[which] * width


@dataclass(frozen=True, eq=False)
class Carries:
    """Yarn carried behind the fabric from one stitch of a yarn to the next, or from or to an edge.

    ``from_k``, ``to_k`` (k,) int: the stitches that it leaves and reaches, -1 if it is held at an edge instead;
    ``base_k`` (k,) int: the leftmost stitch it touches, from which ``walk_kw`` (k, most) int counts to the right;
    ``layer_k`` int. Stretches between catches: ``carry_b``, ``begin_b``, ``end_b`` (stitches right of the base),
    ``excess_b`` and ``float_b``, the float of the tiling; ``pressed_q`` (q,) int: the stitches that a stretch
    ``stretch_q`` lies on, likewise. Wraps: ``wrapped_w`` int: stitches at whose right foot the working
    yarn holds a float of ``layer_w``.
    """

    from_k: Ints
    to_k: Ints
    base_k: Ints
    walk_kw: Ints
    layer_k: Ints
    carry_b: Ints
    begin_b: Floats
    end_b: Floats
    excess_b: Floats
    float_b: Ints
    pressed_q: Ints
    stretch_q: Ints
    wrapped_w: Ints
    layer_w: Ints


def find_carries(tiling: Tiling) -> Carries:
    """Return every carry of the fabric, its floats joined at the catches between them."""
    chains = _chains(tiling)
    steps_k = [np.concatenate([[0], np.cumsum(tiling.gap_f[chain] + 1)]) for chain in chains]
    most = max((int(steps[-1]) for steps in steps_k), default=0) + 1
    base_k = np.array([tiling.node_f2[chain[0], 0] for chain in chains], dtype=np.intp)
    walk_kw = np.empty((len(chains), most), dtype=np.intp)
    node_k = base_k
    for far in range(most):
        walk_kw[:, far] = node_k
        ahead_k = walk(tiling.neighbour_n4, node_k, RIGHT)
        node_k = np.where(ahead_k < tiling.stitches, ahead_k, node_k)
    from_k, to_k, layer_k, stretches, wraps = [], [], [], [], []
    for k, (chain, steps) in enumerate(zip(chains, steps_k, strict=True)):
        yarn, layer, last = int(tiling.yarn_f[chain[0]]), int(tiling.layer_f[chain[0]]), int(steps[-1])
        first_node, last_node = int(base_k[k]), int(tiling.node_f2[chain[-1], 1])
        starts_here, ends_here = tiling.yarn_n[first_node] == yarn, tiling.yarn_n[last_node] == yarn
        from_k.append(first_node if starts_here else -1)
        to_k.append(last_node if ends_here else -1)
        layer_k.append(layer)
        begin = 0.5 if starts_here else -EDGE_PLACE
        for number, at in enumerate(steps[1:-1].tolist()):
            place, wrapped = _catch_place(tiling, walk_kw[k], at, last)
            end = max(place - PINCH, begin + SHORTEST)
            stretches.append((k, begin, end, tiling.excess_f[chain[number]], chain[number]))
            begin = max(place + PINCH, end + SHORTEST)
            if wrapped >= 0:
                wraps.append((wrapped, layer))
        end = last - 0.5 if ends_here else last + EDGE_PLACE
        stretches.append((k, min(begin, end - SHORTEST), end, tiling.excess_f[chain[-1]], chain[-1]))
    table = np.array(stretches, dtype=np.float64).reshape(-1, 5)
    stretch_q, pressed_q = np.array(list(_pressed(tiling, chains, steps_k)), dtype=np.intp).reshape(-1, 2).T
    between_q = (table[stretch_q, 1] < pressed_q) & (pressed_q < table[stretch_q, 2])
    wrap_table = np.array(wraps, dtype=np.intp).reshape(-1, 2)
    return Carries(
        from_k=np.array(from_k, dtype=np.intp),
        to_k=np.array(to_k, dtype=np.intp),
        base_k=base_k,
        walk_kw=walk_kw,
        layer_k=np.array(layer_k, dtype=np.intp),
        carry_b=table[:, 0].astype(np.intp),
        begin_b=table[:, 1],
        end_b=table[:, 2],
        excess_b=table[:, 3],
        float_b=table[:, 4].astype(np.intp),
        pressed_q=pressed_q[between_q],
        stretch_q=stretch_q[between_q],
        wrapped_w=wrap_table[:, 0],
        layer_w=wrap_table[:, 1],
    )


def _chains(tiling: Tiling) -> list[list[int]]:
    """Return the floats in order from left to right, those joined by a catch in one list, with a stitch at one end."""
    left, right, yarn = tiling.node_f2[:, 0].tolist(), tiling.node_f2[:, 1].tolist(), tiling.yarn_f.tolist()
    yarn_of_node = tiling.yarn_n.tolist()
    begun_at = {(yarn[f], left[f]): f for f in range(len(yarn))}
    joined = {(yarn[f], right[f]) for f in range(len(yarn)) if yarn_of_node[right[f]] != yarn[f]}
    chains = []
    for f in range(len(yarn)):
        if yarn_of_node[left[f]] != yarn[f] and (yarn[f], left[f]) in joined:
            continue  # goes on from another float, whose chain it belongs to
        chain = [f]
        while yarn_of_node[right[chain[-1]]] != yarn[f]:
            following = begun_at.get((yarn[f], right[chain[-1]]))
            if following is None:
                break
            chain.append(following)
        # what has a stitch at neither end is cut off by the border of a tiled repeat, out of sight
        if yarn[f] in (yarn_of_node[left[f]], yarn_of_node[right[chain[-1]]]):
            chains.append(chain)
    return chains


def _pressed(tiling: Tiling, chains: list[list[int]], steps_k: list[Ints]) -> Iterator[tuple[int, int]]:
    """Return the stretches, chain after chain, and the stitches right of the base that they lie on."""
    stretch = 0
    for chain, steps in zip(chains, steps_k, strict=True):
        for f, at in zip(chain, steps[:-1].tolist(), strict=True):
            yield from ((stretch, at + step) for step in tiling.pressed[f])
            stretch += 1


def _catch_place(tiling: Tiling, walk_w: Ints, at: int, last: int) -> tuple[float, int]:
    """Return where a float is held that is caught ``at`` stitches from its base, and the stitch that holds it.

    That is the sinker nearer the middle of the float, if one yarn works both its stitches; else the stitch
    itself holds it (-1).
    """
    sides = (at, at - 1) if 2 * at <= last else (at - 1, at)
    for left in sides:
        one, other = int(walk_w[left]), int(walk_w[left + 1])
        if 0 < left < last - 1 and tiling.yarn_n[one] == tiling.yarn_n[other]:
            return left + 0.5, one
    return float(at), -1
