"""Rays against triangles, by embree: what is hit first, and whether anything stands in the way."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from embreex.mesh_construction import TriangleMesh
from embreex.rtcore_scene import EmbreeScene

from fabricsim.arrays import Indices, Singles

FAR = np.float32(1e30)
"""A length no ray of ours reaches (chosen, in float32's range)."""
OFFSET = 0.03
"""How far rays start off the yarn, yarn thicknesses (chosen: clears the flats of an eight-sided tube)."""

GOLDEN_ANGLE = np.pi * (3.0 - np.sqrt(5.0))
"""Turn from each of a set of rays to the next that spreads any number of them evenly, radians (derived)."""


@dataclass(frozen=True, eq=False)
class Hits:
    """First hits: ``triangle_m`` (m,) int, -1 for none; barycentrics ``u_m``, ``v_m``; ``distance_m``; ``out_mc``: the
    triangle's own normal, not of unit length."""

    triangle_m: Indices
    u_m: Singles
    v_m: Singles
    distance_m: Singles
    out_mc: Singles


class Rays:
    """A set of triangles ``triangle_tv`` (t, 3) of vertices ``vertex_vc`` (v, 3) for rays. All arrays are float32,
    lengths in yarn thicknesses.

    Their tree is built when the first ray asks, or by ``ready``: what a depth buffer shows needs none."""

    def __init__(self, vertex_vc: Singles, triangle_tv: Indices) -> None:
        self.vertex_vc, self.triangle_tv = vertex_vc, triangle_tv

    def ready(self) -> None:
        """Build the tree now: before work is forked, as every process would build its own, without embree's threads."""
        _ = self._scene

    @cached_property
    def _scene(self) -> EmbreeScene:
        scene = EmbreeScene()
        self._mesh = TriangleMesh(scene, self.vertex_vc, self.triangle_tv)
        scene.run(np.zeros((1, 3), np.float32), np.ones((1, 3), np.float32))
        return scene

    def first_hits(self, origin_mc: Singles, way_mc: Singles) -> Hits:
        """Return the first hit of each ray; ``way_mc`` is (m, 3), or (1, 3) for all of them."""
        found = self._scene.run(origin_mc, way_mc, output=True)
        return Hits(found["primID"], found["u"], found["v"], found["tfar"], found["Ng"])

    def blocked(self, origin_mc: Singles, way_mc: Singles, reach_m: Singles) -> np.ndarray:
        """Return whether each ray meets anything within ``reach_m``."""
        answer: np.ndarray = self._scene.run(origin_mc, way_mc, dists=reach_m, query="OCCLUDED") >= 0
        return answer
