"""Yarn cut through by a plane: which places of the plane lie inside a strand, and which strand that is."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from fabricsim.arrays import Floats, Ints, Singles
from fabricsim.render.yarn.tubes import Tubes

NEAREST = 4
"""Rings about a place that are looked at (chosen: of coarse yarn too one is of the nearest strand)."""


class CutFaces:
    """The cut faces of all strands that a plane through the origin goes through, its normal ``cut_c`` (3,).

    Of yarns of one thickness that are pressed into each other, each place belongs to the one whose middle is nearer.
    """

    def __init__(self, tubes: Tubes, cut_c: Floats) -> None:
        self._tubes = tubes
        step_g = np.zeros(len(tubes.x_gc))
        step_g[:-1] = np.linalg.norm(np.diff(tubes.x_gc, axis=0), axis=1)
        within = float(step_g[:-1][tubes.strand_g[1:] == tubes.strand_g[:-1]].max(initial=0.0)) + 1.0
        self._ring_k = np.nonzero(np.abs(tubes.x_gc @ cut_c) < within)[0]
        self._tree = cKDTree(tubes.x_gc[self._ring_k]) if len(self._ring_k) else None

    def ring_at(self, place_mc: Singles) -> Ints:
        """Return a ring of the strand that each place (m, 3) lies inside of, or -1, (m,)."""
        answer = np.full(len(place_mc), -1)
        if self._tree is None or len(place_mc) == 0:
            return answer
        many = min(NEAREST, len(self._ring_k))
        near_mk = self._ring_k[self._tree.query(place_mc, k=many)[1].reshape(len(place_mc), many)]
        best_m = np.full(len(place_mc), np.inf)
        for ring_m in near_mk.T:
            for first_m in (ring_m - 1, ring_m):
                share_m = self._radii_off(place_mc, first_m)
                nearer = share_m < best_m
                best_m[nearer], answer[nearer] = share_m[nearer], ring_m[nearer]
        answer[best_m > 1.0] = -1
        return answer

    def _radii_off(self, place_mc: Singles, first_m: Ints) -> Floats:
        """Return how far places lie from the line from rings ``first_m`` to the next, in radii there."""
        tubes = self._tubes
        first_m = np.clip(first_m, 0, len(tubes.x_gc) - 2)
        begin_mc = tubes.x_gc[first_m].astype(np.float64)
        way_mc = tubes.x_gc[first_m + 1] - begin_mc
        off_mc = place_mc - begin_mc
        along_m = np.einsum("mc,mc->m", off_mc, way_mc) / np.maximum(np.einsum("mc,mc->m", way_mc, way_mc), 1e-12)
        along_m = np.clip(along_m, 0.0, 1.0)
        radius_m = (1.0 - along_m) * tubes.radius_g[first_m] + along_m * tubes.radius_g[first_m + 1]
        share_m: Floats = np.linalg.norm(off_mc - along_m[:, None] * way_mc, axis=1) / radius_m
        share_m[tubes.strand_g[first_m] != tubes.strand_g[first_m + 1]] = np.inf
        return share_m
