"""What the samples of a picture look at: where their rays begin, and what they meet first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, Ints, Singles
from fabricsim.render.trace import depth_buffer
from fabricsim.render.trace.camera import Camera
from fabricsim.render.trace.rays import Hits, Rays

Shown = Callable[[int, int], Hits]
"""Returns what every sample of rows of pixels shows, from one to before another, pixel by pixel."""


@dataclass(frozen=True, eq=False)
class Sight:
    """The samples of a picture by ``camera``, at ``inner_k2`` (k, 2) of each pixel from its top left; lengths in units
    of ``scale`` m, in which a camera ``far`` from the origin is outside everything."""

    camera: Camera
    scale: float
    far: float
    inner_k2: Singles

    @property
    def way(self) -> Singles:
        """Where all rays go, (1, 3)."""
        return -self.camera.axes_ac[2:].astype(np.float32)

    def of(self, rays: Rays) -> Shown:
        """Return how to find what is seen of a set of triangles, before the work is split: by a depth buffer where
        there is compiled code, else by rays."""
        if depth_buffer.LOADED is None:
            rays.ready()
            return lambda first, end: rays.first_hits(self.origins(first, end), self.way)
        left, top, across, down = self._pixels
        seen_vc: Floats = np.einsum("vc,ac->va", rays.vertex_vc.astype(np.float64), self.camera.axes_ac)
        seen_vc[:, 0] = (seen_vc[:, 0] - left) / across
        seen_vc[:, 1] = (top - seen_vc[:, 1]) / down
        lean_x, lean_y, away = self._plane
        begin = np.array([away + lean_x * left + lean_y * top, lean_x * across, -lean_y * down])
        made = depth_buffer.DepthBuffer(
            rays.vertex_vc, rays.triangle_tv, seen_vc, begin, self.inner_k2, self.camera.width_px
        )
        return made.rows

    def origins(self, first: int, end: int) -> Singles:
        """Return where the rays of all samples of rows ``first`` to before ``end`` begin, (m, 3), pixel by pixel."""
        row, column = np.arange(first, end, dtype=np.float32), np.arange(self.camera.width_px, dtype=np.float32)
        return self.origins_at(column[:, None] + self.inner_k2[:, 0], row[:, None, None] + self.inner_k2[:, 1])

    def origins_of(self, number_m: Ints, first: int) -> Singles:
        """Return where the rays of samples begin, (m, 3), by their numbers from row ``first`` on."""
        pixel = number_m // len(self.inner_k2)
        inner = self.inner_k2.take(number_m - pixel * len(self.inner_k2), axis=0)
        row = pixel // self.camera.width_px
        column = (pixel - row * self.camera.width_px).astype(np.float32)
        return self.origins_at(column + inner[:, 0], (row + first).astype(np.float32) + inner[:, 1])

    def origins_at(self, x: Singles, y: Singles) -> Singles:
        """Return where rays through the picture at pixels ``x``, ``y`` (from the top left) begin, (m, 3).

        They may be of any shapes that broadcast together: what a row or a column has in common is reckoned once.
        """
        left, top, wide, tall = self._pixels
        across, up = left + wide * x, top - tall * y
        lean_x, lean_y, away = self._plane
        towards = away if self.camera.cut_c is None else across * lean_x + up * lean_y
        axes = self.camera.axes_ac
        origin = np.empty((*np.broadcast_shapes(x.shape, y.shape), 3), dtype=np.float32)
        for c in range(3):
            origin[..., c] = across * axes[0, c] + up * axes[1, c] + towards * axes[2, c]
        return origin.reshape(-1, 3)

    @property
    def _pixels(self) -> tuple[float, float, float, float]:
        """The left and the top of the picture, and the width and the height of a pixel."""
        left, right, bottom, top = (self.camera.frame_a / self.scale).tolist()
        return left, top, (right - left) / self.camera.width_px, (top - bottom) / self.camera.height_px

    @property
    def _plane(self) -> tuple[float, float, float]:
        """How far towards the camera rays begin: so much more along its other two axes, and from their crossing on."""
        if self.camera.cut_c is None:
            return 0.0, 0.0, self.far
        lean: Floats = self.camera.axes_ac @ self.camera.cut_c
        return float(-lean[0] / lean[2]), float(-lean[1] / lean[2]), 0.0
