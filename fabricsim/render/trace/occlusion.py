"""How much of the sky above each point of the yarn is open, baked once and used by every view."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Singles
from fabricsim.render.trace.forked import fill, processes_for
from fabricsim.render.trace.rays import GOLDEN_ANGLE, OFFSET, Rays
from fabricsim.render.yarn.tubes import Tubes

REACH = 3.0
"""Yarn farther away than this doesn't darken, yarn thicknesses (chosen: the fabric is about three thick)."""
BURIED = 0.02
"""Openness below which a point lies inside other yarn and knows nothing (chosen)."""
DARKEST = 0.12
"""Openness given to points with no good neighbour to borrow from (chosen)."""
RAYS_A_SECOND = 1.8e6
"""Rays traced a second in one process, to judge whether to fork (measured on one server core)."""
AT_ONCE = 200_000
"""Rays traced at once, for memory's sake (chosen: 10 MB)."""


def openness(rays: Rays, tubes: Tubes, count: int, every: int) -> Singles:
    """Return the open share of the sky (g, sides), cosine-weighted, from ``count`` rays at every ``every``-th ring.

    Rings between are interpolated; buried points borrow from their neighbours; the whole is smoothed once.
    """
    rings = np.unique(np.append(np.arange(0, len(tubes.x_gc), every), len(tubes.x_gc) - 1))
    angle_k = np.float32(2.0 * np.pi / tubes.sides) * np.arange(tubes.sides, dtype=np.float32)
    spread = np.sqrt((np.arange(count) + 0.5) / count).astype(np.float32)
    rise = np.sqrt(1.0 - spread * spread)
    turn = (GOLDEN_ANGLE * np.arange(count)).astype(np.float32)
    step = max(1, AT_ONCE // (count * tubes.sides))

    surface_gkc = tubes.vertex_vc[: len(tubes.x_gc) * tubes.sides].reshape(-1, tubes.sides, 3)

    def work(first: int, end: int, out: Singles) -> None:
        for start in range(first, end, step):
            ring = rings[start : min(end, start + step)]
            normal, tangent = tubes.normal_gc[ring], tubes.tangent_gc[ring]
            binormal = np.cross(tangent, normal)
            outward = np.cos(angle_k)[:, None] * normal[:, None] + np.sin(angle_k)[:, None] * binormal[:, None]
            around = np.cos(angle_k)[:, None] * binormal[:, None] - np.sin(angle_k)[:, None] * normal[:, None]
            place = surface_gkc[ring] + np.float32(OFFSET) * outward
            # each point turns the same set of rays by an angle of its own, so that no pattern shows
            own = np.float32(GOLDEN_ANGLE) * ((ring[:, None] * 7 + np.arange(tubes.sides) * 3) % 97).astype(np.float32)
            heading = turn + own[..., None]
            way = (
                (spread * np.cos(heading))[..., None] * tangent[:, None, None]
                + (spread * np.sin(heading))[..., None] * around[:, :, None]
                + rise[:, None] * outward[:, :, None]
            ).astype(np.float32)
            origin = np.broadcast_to(place[:, :, None], way.shape).astype(np.float32).reshape(-1, 3)
            blocked = rays.blocked(origin, way.reshape(-1, 3), np.full(len(origin), REACH, np.float32))
            out[start - first : start - first + len(ring)] = 1.0 - blocked.reshape(way.shape[:3]).mean(axis=2)

    rays.ready()
    seconds = len(rings) * tubes.sides * count / RAYS_A_SECOND
    open_rk = fill((len(rings), tubes.sides), work, processes_for(seconds))
    return _between(_healed(open_rk, tubes.strand_g[rings]), rings, len(tubes.x_gc))


def _healed(open_rk: Singles, strand_r: np.ndarray) -> Singles:
    """Return the openness smoothed over neighbours, leaving out buried points."""
    good = (open_rk > BURIED).astype(np.float32)
    value, weight = open_rk * good, good
    same = (strand_r[1:] == strand_r[:-1])[:, None]

    def spread(a: Singles) -> Singles:
        a = 2.0 * a + np.roll(a, 1, axis=1) + np.roll(a, -1, axis=1)
        wide = 2.0 * a
        wide[1:] += np.where(same, a[:-1], 0.0)
        wide[:-1] += np.where(same, a[1:], 0.0)
        return wide

    value, weight = spread(value), spread(weight)
    far_value, far_weight = spread(spread(value)), spread(spread(weight))
    far = np.where(far_weight > 0, far_value / np.maximum(far_weight, 1e-6), DARKEST)
    out: Singles = np.where(weight > 0, value / np.maximum(weight, 1e-6), far).astype(np.float32)
    return out


def _between(open_rk: Singles, rings: np.ndarray, total: int) -> Singles:
    """Return the openness of all rings, interpolated between those baked."""
    if len(rings) == total:
        return open_rk
    above = np.clip(np.searchsorted(rings, np.arange(total), side="right"), 1, len(rings) - 1)
    low, high = rings[above - 1], rings[above]
    share = ((np.arange(total) - low) / (high - low)).astype(np.float32)[:, None]
    out: Singles = (open_rk[above - 1] * (1.0 - share) + open_rk[above] * share).astype(np.float32)
    return out
