"""What a picture shows of a set of triangles, found by compiled code that fills a depth buffer.

A camera without perspective looks the same way everywhere, so that each triangle tells by itself where it may be seen,
and there are fewer triangles than rays: a sixth of the time that rays take. Both find the same, but for what is rounded
along edges.
"""

from __future__ import annotations

import ctypes

import numpy as np

from fabricsim.arrays import Floats, Indices, Ints, Singles
from fabricsim.built import built
from fabricsim.render.trace.rays import Hits

LIBRARY = "_depth"
"""What ``setup.py`` builds beside this."""
LAYOUT = 1
"""Of what is handed over: a library that was built for another is left aside."""
LAYERS = 32
"""Layers that triangles are drawn in from the nearest to the farthest, so that most lie behind what is drawn already
and are left out at once (chosen)."""
LOWEST = 2.0**25
"""A row of pixels below every picture (chosen)."""


class _Picture(ctypes.Structure):
    """``DepthBuffer`` of depth_buffer.c."""

    _fields_ = [
        *((name, ctypes.c_void_p) for name in ("seen", "vertex", "corner", "asked")),
        *((name, ctypes.c_int64) for name in ("count", "first", "end", "wide", "samples")),
        ("inner", ctypes.c_void_p),
        ("begin", ctypes.c_double * 3),
        *((name, ctypes.c_void_p) for name in ("triangle", "u", "v", "distance", "out", "farthest", "drawn")),
    ]


def _fits(library: ctypes.CDLL) -> bool:
    library.fabricsim_depth_layout.restype = ctypes.c_int64
    library.fabricsim_depth_buffer.argtypes = [ctypes.c_void_p]
    library.fabricsim_depth_buffer.restype = ctypes.c_int64
    return bool(library.fabricsim_depth_layout() == LAYOUT)


LOADED = built(__file__, LIBRARY, _fits)


class DepthBuffer:
    """Triangles ``triangle_tv`` (t, 3) of vertices ``vertex_vc`` (v, 3) as one camera sees them.

    ``seen_vc`` (v, 3): how many pixels across and down from the top left the vertices are seen, and how far they lie
    towards the camera. Rays begin as far towards it as ``begin_a`` (3,) says: at the top left, and how much more a
    pixel across and down. Samples lie at ``inner_k2`` (k, 2) in each pixel of rows ``wide`` pixels wide.
    """

    def __init__(
        self,
        vertex_vc: Singles,
        triangle_tv: Indices,
        seen_vc: Floats,
        begin_a: Floats,
        inner_k2: Singles,
        wide: int,
    ) -> None:
        self._vertex_vc = np.ascontiguousarray(vertex_vc, dtype=np.float32)
        self._triangle_tv = np.ascontiguousarray(triangle_tv, dtype=np.int32)
        self._seen_vc = np.ascontiguousarray(seen_vc, dtype=np.float64)
        self._inner_k2 = np.ascontiguousarray(inner_k2, dtype=np.float64)
        self._begin, self._wide = tuple(np.asarray(begin_a).tolist()), wide
        down_v = np.clip(np.nan_to_num(self._seen_vc[:, 1], nan=-1.0), -1.0, LOWEST).astype(np.int32)
        first, second, third = (down_v.take(self._triangle_tv[:, corner]) for corner in range(3))
        top_t = np.minimum(np.minimum(first, second), third)
        self._tallest = int((np.maximum(np.maximum(first, second), third) - top_t).max(initial=0)) + 1
        # the nearest layer first, in each by the row in which they begin: so those of a few rows lie together
        self._lowest = int(top_t.max(initial=0)) + 1
        key_t = (self._layer_of()[self._triangle_tv[:, 0]] * (self._lowest + 1)) + top_t + 1
        self._order_t = np.argsort(key_t, kind="stable").astype(np.int32)
        self._key_t = key_t[self._order_t]

    def _layer_of(self) -> Ints:
        """Return in which of the ``LAYERS`` each vertex lies, (v,) int: nought is nearest to the camera."""
        across_v, down_v, near_v = self._seen_vc.T
        with np.errstate(invalid="ignore"):  # what lies nowhere is left out later
            far_v = self._begin[0] + self._begin[1] * across_v + self._begin[2] * down_v - near_v
        far_v = np.maximum(np.nan_to_num(far_v, posinf=0.0, neginf=0.0), 0.0)
        far = max(float(far_v.max(initial=0.0)), 1e-9)
        near = float(far_v.min(initial=far, where=far_v > 0.0))
        layer_v: Ints = np.clip((far_v - near) * (LAYERS / max(far - near, 1e-9)), 0, LAYERS - 1).astype(np.int32)
        return layer_v

    def rows(self, first: int, end: int) -> Hits:
        """Return what every sample of rows ``first`` to before ``end`` shows, pixel by pixel."""
        assert LOADED is not None
        layer = (self._lowest + 1) * np.arange(LAYERS, dtype=np.int32)  # as the keys: else those were copied
        low, high = (
            np.searchsorted(self._key_t, layer + np.clip(top, 0, self._lowest + 1))
            for top in (first - self._tallest + 1, end + 1)
        )
        asked = np.concatenate([self._order_t[one:other] for one, other in zip(low, high, strict=True)])
        count = (end - first) * self._wide * len(self._inner_k2)
        triangle = np.empty(count, dtype=np.int32)
        u, v, distance = (np.empty(count, dtype=np.float32) for _ in range(3))
        out = np.empty((count, 3), dtype=np.float32)
        handed = _Picture(count=len(asked), first=first, end=end, wide=self._wide, samples=len(self._inner_k2))
        handed.begin[:] = self._begin
        arrays: dict[str, np.ndarray] = {
            "seen": self._seen_vc,
            "vertex": self._vertex_vc,
            "corner": self._triangle_tv,
            "asked": asked,
        }
        arrays |= {"inner": self._inner_k2, "triangle": triangle, "u": u, "v": v, "distance": distance, "out": out}
        for name, array in arrays.items():
            setattr(handed, name, array.ctypes.data)
        if LOADED.fabricsim_depth_buffer(ctypes.addressof(handed)):
            raise MemoryError(f"{end - first} rows of pixels")
        return Hits(triangle, u, v, distance, out)
