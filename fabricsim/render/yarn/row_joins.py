"""How yarns go from row to row: turns at the edges of flat work, colours carried up, ends tucked away."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fabricsim.arrays import Floats, Ints, unit
from fabricsim.design.floats.carry_ups import BREAK_FROM
from fabricsim.fabric.mesh import LEFT, RIGHT, UP
from fabricsim.render.yarn.float_lanes import LANE_DEPTH, Carries
from fabricsim.render.yarn.float_path import CarryPath
from fabricsim.render.yarn.loop import Feet
from fabricsim.render.yarn.strands import JOIN_AFTER, JOIN_BEFORE, Pieces, hermite
from fabricsim.render.yarn.surface import StitchSurface

TURN_OUT = 0.62
"""How far outside the middle of an edge stitch the yarn turns to the next row, stitches (chosen)."""
TURN_LOW, TURN_BACK = 0.25, 0.25
"""How far below the middle of the lower row it turns, rows, and behind the surface, stitch widths (chosen by eye)."""
CARRY_UP_OUT = 0.40
"""How far outside the middle of an edge stitch the first yarn climbs, stitches (chosen: hidden from the face)."""
CARRY_UP_IN, CARRY_UP_BACK = 0.10, 0.30
"""How much farther in, stitches, and back, stitch widths, each further yarn climbs (chosen: they don't meet)."""
CARRY_UP_LOW = 0.1
"""How far below the middle of each row it passes that row, rows (chosen by eye)."""
TAIL_OUT, TAIL_LOW = 0.50, 0.45
"""Where a tucked end stops: out and down from the middle of its last stitch, stitch widths (chosen by eye)."""
TAIL_WAY = 0.3, 0.5
"""Which way it lies there: stitches outwards, rows up (chosen by eye)."""
FARTHEST = 15
"""Most stitches that a colour is carried sideways on its way up in the round (chosen; beyond, it is cut)."""
SIDEWAYS_LOW = 0.4
"""How far below the middle of the stitches it passes them then, rows (chosen: between the lanes)."""
BEHIND = float(LANE_DEPTH[0])
"""Depth of a colour climbing an edge and of tucked ends, stitch widths: that of the first lane."""
OVER_FLOATS = float(LANE_DEPTH[2])
"""Depth of a colour climbing the back, stitch widths: that of the third lane, so that it lies over the floats."""
THIN_END = 0.6
"""Thickness of the very end of a tucked yarn, share of the full one (chosen)."""


@dataclass(frozen=True, eq=False)
class _End:
    """One end of a strand: its stitch, the stitch it is held at, place, direction outwards; whether it is at
    an edge, and whether it got there as a float."""

    stitch: int
    held: int
    x_c: Floats
    out_c: Floats
    at_edge: bool
    carried: bool


@dataclass(frozen=True)
class _Knot:
    """A point that a join passes: by stitch, place on the surface and direction there."""

    node: int
    u: float
    v: float
    z: float
    du: float
    dv: float


def add_joins(
    pieces: Pieces,
    surface: StitchSurface,
    carries: Carries,
    path: CarryPath,
    feet: Feet,
    next_n: Ints,
    order_n: Ints,
    first_nodes: Ints,
    few: int,
) -> None:
    """Add a join or a tucked end at both ends of every strand."""
    tiling = surface.tiling
    last_nodes = np.nonzero(next_n < 0)[0]
    last_nodes = last_nodes[np.argsort(order_n[last_nodes])]
    ends = {
        side: [_end(surface, carries, path, feet, node, side) for node in nodes.tolist()]
        for side, nodes in ((LEFT, first_nodes), (RIGHT, last_nodes))
    }
    if len(last_nodes) != len(first_nodes):
        return  # closed rings: nothing ends
    row_low = tiling.row_n[last_nodes] if tiling.case == "round" else tiling.row_n[first_nodes]
    joined: set[tuple[int, int]] = set()
    plans: list[tuple[_End, int, list[_Knot], _End | None]] = []
    for yarn in np.unique(tiling.yarn_n).tolist():
        mine = np.nonzero(tiling.yarn_n[first_nodes] == yarn)[0]
        mine = mine[np.argsort(row_low[mine], kind="stable")].tolist()
        for lower, upper in pairwise(mine):
            if tiling.case == "swatch":
                side = LEFT if row_low[lower] % 2 == 0 else RIGHT  # the first row is worked right to left
                one, other = ends[side][lower], ends[side][upper]
                rows = int(row_low[upper] - row_low[lower])
                if rows % 2 == 0 or rows > BREAK_FROM or not (one.at_edge and other.at_edge):
                    continue
                plans.append((one, side, _up_the_edge(surface, one, side, rows), other))
                joined |= {(side, lower), (side, upper)}
            elif tiling.case == "round":
                one, other = ends[RIGHT][upper], ends[LEFT][lower]
                knots = _up_the_back(surface, other, one)
                if knots is not None:
                    plans.append((one, RIGHT, knots[::-1], other))
                    joined |= {(RIGHT, upper), (LEFT, lower)}
    for side in (LEFT, RIGHT):
        for s, end in enumerate(ends[side]):
            # yarn that ends at an edge stitch as a float is held there already, and so is what draws up a top
            drawn_up = tiling.shape is not None and end.stitch == tiling.shape.apex
            if (side, s) not in joined and not end.carried and not drawn_up:
                plans.append((end, side, [_tail(surface, end, side)], None))
    _draw(pieces, surface, order_n, plans, few)


def _end(surface: StitchSurface, carries: Carries, path: CarryPath, feet: Feet, node: int, side: int) -> _End:
    tiling = surface.tiling
    own, other = (carries.to_k, carries.from_k) if side == LEFT else (carries.from_k, carries.to_k)
    dangling = np.nonzero((own == node) & (other < 0))[0]
    if len(dangling):
        k = int(dangling[0])
        first, last = np.searchsorted(path.carry_p, [k, k + 1])
        tip, inner = (first, first + 1) if side == LEFT else (last - 1, last - 2)
        steps = round(float(carries.end_b[carries.carry_b == k].max())) if side == RIGHT else 0
        held = int(carries.walk_kw[k, min(steps, carries.walk_kw.shape[1] - 1)])
        return _End(node, held, path.x_pc[tip], unit(path.x_pc[tip] - path.x_pc[inner]), True, True)
    at_edge = bool(tiling.neighbour_n4[node, side] >= tiling.stitches)
    return _End(node, node, feet.x_nsc[node, side], feet.out_nsc[node, side], at_edge, False)


def _up_the_edge(surface: StitchSurface, end: _End, side: int, rows: int) -> list[_Knot]:
    """Return the way from one row to another at the ``side`` edge: round the edge, or up behind it."""
    tiling, node, out = surface.tiling, end.held, -1.0 if side == LEFT else 1.0
    if rows == 1 and not end.carried:
        return [_Knot(node, out * TURN_OUT, -TURN_LOW, -TURN_BACK * tiling.width, 0.0, 1.0)]
    rank = int(tiling.yarn_n[end.stitch]) % 3
    place = out * (CARRY_UP_OUT - CARRY_UP_IN * rank)
    depth = -(BEHIND + CARRY_UP_BACK * rank) * tiling.width
    knots = []
    for _ in range(rows):
        knots.append(_Knot(node, place, -CARRY_UP_LOW, depth, 0.0, 1.0))
        node = int(tiling.neighbour_n4[node, UP])
    return knots


def _up_the_back(surface: StitchSurface, lower: _End, upper: _End) -> list[_Knot] | None:
    """Return the way of a colour idle for some rounds from its last stitch to its next; None if it is cut."""
    tiling = surface.tiling
    a, b = lower.stitch, upper.stitch
    around, above = (int((tiling.row_n == tiling.row_n[one]).sum()) for one in (a, b))
    if around != above:
        return None  # where stitches come or go its way is not told by columns
    left = int(tiling.column_n[a]) + around - int(tiling.column_n[b])
    up = int(tiling.row_n[b] - tiling.row_n[a]) - 1
    if left >= around:
        left, up = left - around, up + 1
    if left > FARTHEST or not 0 < up < BREAK_FROM:
        return None
    steps = max(left, up)
    du, dv = -left / steps, up / steps
    knots, node, gone = [], a, [0, 0]
    for step in range(1, steps):
        while gone[0] < round(left * step / steps):
            node, gone[0] = int(tiling.neighbour_n4[node, LEFT]), gone[0] + 1
        while gone[1] < round(up * step / steps):
            node, gone[1] = int(tiling.neighbour_n4[node, UP]), gone[1] + 1
        if node >= tiling.stitches:
            return None
        u, v = gone[0] - left * step / steps, up * step / steps - gone[1]
        knots.append(_Knot(node, u, v - SIDEWAYS_LOW, -OVER_FLOATS * tiling.width, du, dv))
    return knots


def _tail(surface: StitchSurface, end: _End, side: int) -> _Knot:
    out = -1.0 if side == LEFT else 1.0
    height = TAIL_LOW * surface.tiling.width / surface.tiling.height
    return _Knot(end.held, out * TAIL_OUT, -height, -BEHIND * surface.tiling.width, out * TAIL_WAY[0], TAIL_WAY[1])


def _draw(
    pieces: Pieces,
    surface: StitchSurface,
    order_n: Ints,
    plans: list[tuple[_End, int, list[_Knot], _End | None]],
    few: int,
) -> None:
    """Add the planned joins: cubics from knot to knot, all at once."""
    knots = [knot for _, _, passed, _ in plans for knot in passed]
    if not plans:
        return
    node = np.array([k.node for k in knots], dtype=np.intp)
    u, v, z, du, dv = (np.array([getattr(k, name) for k in knots]) for name in ("u", "v", "z", "du", "dv"))
    x_kc, _ = surface.at(node, u, v, z)
    ahead, _ = surface.at(node, u + 0.1 * du, v + 0.1 * dv, z)
    behind, _ = surface.at(node, u - 0.1 * du, v - 0.1 * dv, z)
    along_kc = unit(ahead - behind)
    begin, begin_t, end, end_t, plan_of = [], [], [], [], []
    count = 0
    for number, (one, _, passed, other) in enumerate(plans):
        places = [one.x_c, *x_kc[count : count + len(passed)]]
        ways = [one.out_c, *along_kc[count : count + len(passed)]]
        if other is not None:
            places.append(other.x_c)
            ways.append(-other.out_c)
        count += len(passed)
        begin += places[:-1]
        begin_t += ways[:-1]
        end += places[1:]
        end_t += ways[1:]
        plan_of += [number] * (len(places) - 1)
    curve_kpc = hermite(np.array(begin), np.array(begin_t), np.array(end), np.array(end_t), few)[:, 1:]
    plan = np.array(plan_of)
    for number, (one, side, _, other) in enumerate(plans):
        points = curve_kpc[plan == number].reshape(-1, 3)
        thin = np.ones(len(points))
        if other is None:
            thin[-1] = THIN_END
        if side == LEFT:
            points, thin = points[::-1], thin[::-1]
        place = JOIN_BEFORE if side == LEFT else JOIN_AFTER
        pieces.add(
            np.full(len(points), order_n[one.stitch]), place, np.full(len(points), one.stitch), points, thin_p=thin
        )
