"""The two sides of a fabric, each case from where a knitter would look at it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from time import perf_counter

import numpy as np
from PIL import Image
from scipy import ndimage

from fabricsim.render.camera import Camera, fitted, turned, windowed
from fabricsim.render.kinds import Side
from fabricsim.render.model import Timings, YarnModel
from fabricsim.render.shade import linear, softened, srgb
from fabricsim.render.trace import trace
from fabricsim.render.tubes import Singles

PAPER = (247, 244, 238)
"""Colour of the paper behind fabric and sheets, sRGB (chosen: a quiet warm white)."""
NAMES: dict[tuple[Side, bool], str] = {
    ("face", False): "face",
    ("back", False): "back, seen from behind",
    ("face", True): "face",
    ("back", True): "back, the near half cut away",
}
"""What each side shows, flat and in the round."""
LOOK_DOWN = np.radians(11.0)
"""How far the camera looks down on a tube (chosen: the rim shows that it is one)."""
SHRUNK_ABOVE = 900
"""Width in pixels above which a draft is traced small and enlarged (chosen)."""
SHADOW = 0.26
"""Darkest share that the fabric's shadow takes from the paper (chosen by eye)."""
SHADOW_ROOM = 1.6
"""Paper left for that shadow, stitch widths (derived: its offset and twice its softness)."""
SHADOW_SOFT, SHADOW_OFF = 0.55, 0.40
"""Softness and offset of that shadow, stitch widths (chosen by eye)."""


@dataclass(frozen=True)
class Picture:
    """A side of the fabric: ``image``, ``metres_per_px``, ``side``, its ``name`` in words, and what it took."""

    image: Image.Image
    metres_per_px: float
    side: Side
    name: str
    timings: Timings


def camera_for(model: YarnModel, side: Side, width_px: int) -> Camera:
    """Return the camera of a side.

    Flat fabric is seen straight on, so that its width can be read off; its back from behind, mirrored as in life. A
    tube is seen from a little above; its back is the inside of the far half, the near half being cut away. Both sides
    have one scale.
    """
    points, room = model.strands.x_pc, SHADOW_ROOM * model.laid.width
    if model.laid.case == "round":
        axes = turned(0.0, float(LOOK_DOWN))
        if side == "face":
            return fitted(axes, points, width_px, room=room)
        cut = np.array([0.0, 0.0, 1.0])
        return fitted(axes, points, width_px, room=room, cut_c=cut)
    axes = turned(0.0 if side == "face" else np.pi, 0.0)
    if model.laid.window_a is not None:
        return windowed(axes, model.laid.window_a, width_px)
    return fitted(axes, points, width_px, room=room)


def draw_side(model: YarnModel, side: Side, *, width_px: int = 1200) -> Picture:
    """Return the picture of one ``side`` of the fabric, ``width_px`` wide (less if it is very tall), on paper."""
    begun = perf_counter()
    camera = camera_for(model, side, width_px)
    shrink = model.level.shrink if width_px > SHRUNK_ABOVE else 1
    small = replace(camera, width_px=max(1, camera.width_px // shrink), height_px=max(1, camera.height_px // shrink))
    light = trace(model.stage, small, model.level.samples)
    light[..., :3] = softened(light[..., :3])
    pixels = on_paper(light, model.laid.width / small.metres_per_px)
    image = Image.fromarray((255.0 * srgb(pixels) + 0.5).astype(np.uint8), "RGB")
    if shrink > 1:
        image = image.resize((camera.width_px, camera.height_px), Image.Resampling.BICUBIC)
    timings = replace(model.timings, trace=perf_counter() - begun)
    return Picture(image, camera.metres_per_px, side, NAMES[side, model.laid.case == "round"], timings)


def on_paper(light: Singles, stitch_px: float) -> Singles:
    """Return linear light (h, w, 3) of traced ``light`` (h, w, 4) laid on paper, throwing a soft shadow on it."""
    cover = light[..., 3]
    paper = linear(np.array(PAPER) / 255.0)
    if cover.min() >= 1.0:
        return light[..., :3]
    off = SHADOW_OFF * stitch_px
    shadow = ndimage.gaussian_filter(cover, SHADOW_SOFT * stitch_px, mode="constant")
    shadow = ndimage.shift(shadow, (off, off), order=1, mode="constant")
    ground = paper * (1.0 - np.float32(SHADOW) * shadow)[..., None]
    out: Singles = (light[..., :3] + (1.0 - cover)[..., None] * ground).astype(np.float32)
    return out
