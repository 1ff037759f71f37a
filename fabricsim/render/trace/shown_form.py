"""The body that a piece is worn on: a pale matt surface under the yarn, so that one sees what it is stretched over."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, Indices, Mask, Singles
from fabricsim.fabric.form.shapes import Form
from fabricsim.render.trace.rays import OFFSET, Hits, Rays
from fabricsim.render.trace.shade import Light, albedos

PLASTER = (226, 217, 203)
"""Red, green, blue of the body (chosen: a plaster cast, no skin; dark and light yarns stand out from it)."""
BELOW, ABOVE = 0.35, 1.4
"""How far it is shown under the piece and over it, heights of the piece, where it goes on so far (chosen: of a head the
whole top, of what lies below enough to see that it goes on)."""
SIDES, RINGS = 256, 160
"""Facets round it and up it (chosen: no edge of one shows)."""
SKY, KEY = 0.42, 0.62
"""Light from the sky and from the key light, where they are square on it (chosen by eye to go with the yarn's)."""


@dataclass(frozen=True, eq=False)
class ShownForm:
    """The shown part of a form: vertices ``x_vc`` (v, 3) m, triangles ``triangle_tv`` (t, 3), and what rays meet."""

    x_vc: Floats
    triangle_tv: Indices
    rays: Rays


def shown_form(form: Form, x_nc: Floats, scale: float) -> ShownForm:
    """Return what is shown of a form under stitches at ``x_nc`` (n, 3) m, for rays in units of ``scale`` m."""
    x_vc, triangle_tv = form_surface(form, x_nc, SIDES, RINGS)
    return ShownForm(x_vc, triangle_tv, Rays((x_vc / scale).astype(np.float32), triangle_tv))


def form_surface(form: Form, x_nc: Floats, sides: int, rings: int) -> tuple[Floats, Indices]:
    """Return the vertices (v, 3), m, and the triangles (t, 3) of what is shown of a form under stitches at ``x_nc``
    (n, 3) m, so many ``sides`` round and ``rings`` up; ring by ring from below."""
    low, high = float(x_nc[:, 1].min()), float(x_nc[:, 1].max())
    tall = high - low
    bottom, top = max(form.bottom, low - BELOW * tall), min(form.top, high + ABOVE * tall)
    # rings lie closer where a form closes, evenly in the angle of an arc
    height_i = bottom + (top - bottom) * np.sin(0.5 * np.pi * np.linspace(0.0, 1.0, rings + 1))
    ring_kc = form.section(np.arange(sides) / sides)
    x_ikc = np.empty((rings + 1, sides, 3))
    x_ikc[..., [0, 2]] = form.scale(height_i)[:, None, None] * ring_kc
    x_ikc[..., 1] = height_i[:, None]
    corner = np.arange((rings + 1) * sides).reshape(rings + 1, sides)
    across = np.roll(corner, -1, axis=1)
    quads = np.stack([corner[:-1], across[:-1], across[1:], corner[1:]], axis=-1).reshape(-1, 4)
    ends = [np.column_stack([one[1:-1], one[2:], np.full(sides - 2, one[0])]) for one in (corner[0], corner[-1])]
    triangles: Indices = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]], *ends]).astype(np.int32)
    return x_ikc.reshape(-1, 3), triangles


def in_front(bare: Hits, yarn: Hits) -> Mask:
    """Return which rays meet the body before any yarn, (m,)."""
    return np.asarray((bare.triangle_m >= 0) & ((yarn.triangle_m < 0) | (bare.distance_m < yarn.distance_m)))


def lit(bare: Hits, which: Mask, origin_mc: Singles, light: Light, yarn: Rays) -> Singles:
    """Return the linear light (k, 3) of the body where rays that were chosen meet it, in the shadow of the yarn too."""
    out_kc = bare.out_mc[which] / np.linalg.norm(bare.out_mc[which], axis=1, keepdims=True)
    out_kc *= np.where(out_kc @ light.eye_c < 0.0, np.float32(-1.0), np.float32(1.0))[:, None]
    place_kc = origin_mc[which] - bare.distance_m[which][:, None] * light.eye_c + np.float32(OFFSET) * out_kc
    facing_k = np.maximum(out_kc @ light.key_c, 0.0)
    far_k = np.full(len(place_kc), 1e30, dtype=np.float32)
    seen_k = ~yarn.blocked(place_kc.astype(np.float32), light.key_c[None], far_k)
    bright_k = SKY * (0.6 + 0.4 * (out_kc @ light.up_c)) + KEY * facing_k * seen_k
    return np.asarray(albedos(np.array([PLASTER])) * bright_k[:, None], dtype=np.float32)
