"""What lies behind a fabric in its picture: paper, any plain colour, or nothing."""

from __future__ import annotations

import numpy as np
from PIL import Image
from scipy import ndimage

from fabricsim.arrays import Singles
from fabricsim.colour import linear, srgb
from fabricsim.render.basics.options import Ground
from fabricsim.render.trace.shade import softened

SHADOW = 0.26
"""Darkest share that the fabric's shadow takes from the ground (chosen by eye)."""
SHADOW_SOFT, SHADOW_OFF = 0.55, 0.40
"""Softness and offset of that shadow, stitch widths (chosen by eye)."""
STILL_SOFT = 3.0
"""Blocks of pixels that the softness spans at the least where it is reckoned in blocks (chosen: within a 255th of what
it is pixel by pixel, in a third of the time)."""
ROWS_AT_ONCE = 128
"""Rows of pixels finished at once, for memory's sake (chosen)."""


def composited(ground: Ground, light: Singles, stitch_px: float) -> Image.Image:
    """Return traced ``light`` (h, w, 4) as a picture on its ground, on which the fabric throws a soft shadow."""
    cover = light[..., 3]
    shadow = _shadow(cover, stitch_px)
    pixels = np.empty((*cover.shape, 3 if ground is not None else 4), dtype=np.uint8)
    for start in range(0, len(cover), ROWS_AT_ONCE):
        part = slice(start, start + ROWS_AT_ONCE)
        shade = None if shadow is None else shadow[part]
        pixels[part] = (255.0 * _finished(ground, light[part], shade) + 0.5).astype(np.uint8)
    return Image.fromarray(pixels)


def _shadow(cover: Singles, stitch_px: float) -> Singles | None:
    """Return the share of its light that every pixel of the ground loses; None if no ground shows."""
    if cover.size == 0 or cover.min() >= 1.0:
        return None
    off, soft = SHADOW_OFF * stitch_px, SHADOW_SOFT * stitch_px
    coarse = max(1, int(soft / STILL_SOFT))
    # in blocks of so many pixels, with one about them in which nothing stands
    tall, wide = (-(-size // coarse) for size in cover.shape)
    padded = np.zeros((tall * coarse, wide * coarse), dtype=np.float32)
    padded[: cover.shape[0], : cover.shape[1]] = cover
    blocks = np.pad(padded.reshape(tall, coarse, wide, coarse).mean(axis=(1, 3)), 1)
    blurred = ndimage.gaussian_filter(blocks, soft / coarse, mode="constant")
    first = (0.5 - off) / coarse + 0.5  # where the first pixel takes its shadow from, in blocks
    shadow: Singles = np.float32(SHADOW) * ndimage.affine_transform(
        blurred, [1.0 / coarse] * 2, first, output_shape=cover.shape, order=1, mode="constant"
    )
    return shadow


def _finished(ground: Ground, light: Singles, shadow: Singles | None) -> Singles:
    """Return sRGB values 0 to 1 of some rows, with how opaque they are where there is no ground."""
    fabric, cover = softened(light[..., :3]), light[..., 3:]
    bare = 1.0 - cover
    if ground is not None:
        if shadow is not None:
            paper = linear((np.array(ground) / 255.0).astype(np.float32))
            fabric = fabric + bare * paper * (1.0 - shadow[..., None])
        return srgb(fabric)
    opaque = cover if shadow is None else cover + bare * shadow[..., None]
    return np.concatenate([srgb(fabric / np.maximum(opaque, np.float32(1e-6))), opaque], axis=2)
