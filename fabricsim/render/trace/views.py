"""The sides of a fabric, each case from where a knitter would look at it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from time import perf_counter

import numpy as np
from PIL import Image

from fabricsim.fabric.mesh import RIGHT, UP
from fabricsim.render.basics.memory import check_room
from fabricsim.render.basics.options import Angle, Ground, Side
from fabricsim.render.basics.palette import PAPER
from fabricsim.render.trace.camera import Camera, Scale, facing, fitted, framed, lying, turned, windowed
from fabricsim.render.trace.ground import composited
from fabricsim.render.trace.model import CLOSE_UP_HEIGHT, Timings, YarnModel
from fabricsim.render.trace.trace import trace
from fabricsim.render.yarn.surface import walk

LOOK_DOWN = np.radians(11.0)
"""How far the camera looks down on a tube (chosen: the rim shows that it is one)."""
TURN, TUBE_DOWN = np.radians(30.0), np.radians(36.0)
"""How far a three-quarter view is turned aside, and looks down on a tube (chosen: floats show behind the rim)."""
LOW = np.radians(52.0)
"""How far off the upright a three-quarter view looks at flat fabric as it lies (chosen: pucker stands out)."""
SHRUNK_ABOVE = 900
"""Width in pixels above which a draft is traced small and enlarged (chosen)."""
SHADOW_ROOM = 1.6
"""Paper left for the fabric's shadow, stitch widths (derived: its offset and twice its softness)."""

HOW: dict[Angle, str] = {
    "straight": "",
    "above": ", from above",
    "three-quarter": ", from the front and above; what runs away from you looks shorter",
    "close-up": ", from near by",
}
"""What the name of a picture says of its angle."""


@dataclass(frozen=True)
class Picture:
    """A side of the fabric: ``image``, ``metres_per_px``, ``side``, its ``name`` in words, and what it took."""

    image: Image.Image
    metres_per_px: float
    side: Side
    name: str
    timings: Timings


def camera_for(model: YarnModel, side: Side, scale: Scale, angle: Angle = "straight") -> Camera:
    """Return the camera of a side.

    Straight on, flat fabric is seen so that its width can be read off, its back from behind, mirrored as in life; a
    tube from a little above, its back being the inside of the far half, with the near half cut away. Both sides have
    one scale. A three-quarter view stands to the right and looks down, at flat fabric as it lies on a table. A close-up
    looks square at its stitch, one from above straight down on the top of what stands upright.
    Raises ValueError for a close-up of a model that was built without a focus.
    """
    if angle == "close-up":
        return _close_up(model, side, scale)
    points, room = model.strands.x_pc, SHADOW_ROOM * model.tiling.width
    if model.stage.form is not None:
        points = np.concatenate([points, model.stage.form.x_vc])
    tube, aside = model.tiling.case == "round", float(TURN) if angle == "three-quarter" else 0.0
    if angle == "above":
        return fitted(turned(0.0, 0.5 * np.pi), points, scale, room=room)
    if tube:
        axes = turned(-aside, float(TUBE_DOWN if aside else LOOK_DOWN))
        # what is nearer than the tube's own axis is cut away
        cut = np.array([-np.sin(aside), 0.0, np.cos(aside)]) if side == "back" else None
        return fitted(axes, points, scale, room=room, cut_c=cut)
    if aside:
        return fitted(lying(aside, float(LOW), 1.0 if side == "face" else -1.0), points, scale, room=room)
    axes = turned(0.0 if side == "face" else np.pi, 0.0)
    if model.tiling.window_a is not None:
        return windowed(axes, model.tiling.window_a, scale)
    return fitted(axes, points, scale, room=room)


def _close_up(model: YarnModel, side: Side, scale: Scale) -> Camera:
    tiling, node = model.tiling, model.focus_n
    if model.focus is None:
        raise ValueError("a close-up needs a model that was built with a focus")
    ahead = [int(walk(tiling.neighbour_n4, np.array([node]), direction)[0]) for direction in (RIGHT, UP)]
    up_c = tiling.x_nc[ahead[1]] - tiling.x_nc[node]
    axes = facing(tiling.normal_nc[node] * (1.0 if side == "face" else -1.0), up_c)
    wide = model.focus.across * tiling.width
    return framed(axes, (axes @ tiling.x_nc[node])[:2], wide * np.array([1.0, CLOSE_UP_HEIGHT]), scale)


def draw_side(
    model: YarnModel,
    side: Side,
    angle: Angle = "straight",
    *,
    width_px: int | None = None,
    metres_per_px: float | None = None,
    ground: Ground = PAPER,
) -> Picture:
    """Return the picture of one ``side`` of the fabric on its ``ground``.

    ``width_px`` wide (less if it is very tall; 1200 if nothing is said), or ``metres_per_px`` small. Raises InputError
    if it would be too large for the memory.
    """
    begun = perf_counter()
    scale = Scale(1200) if width_px is None and metres_per_px is None else Scale(width_px, metres_per_px)
    camera = camera_for(model, side, scale, angle)
    check_room(camera.width_px, camera.height_px)
    shrink = model.level.shrink if camera.width_px > SHRUNK_ABOVE else 1
    small = replace(camera, width_px=max(1, camera.width_px // shrink), height_px=max(1, camera.height_px // shrink))
    light = trace(model.stage, small, model.level.samples)
    image = composited(ground, light, model.tiling.width / small.metres_per_px)
    if shrink > 1:
        image = image.resize((camera.width_px, camera.height_px), Image.Resampling.BICUBIC)
    timings = replace(model.timings, trace=perf_counter() - begun)
    return Picture(image, camera.metres_per_px, side, name_of(model, side, angle), timings)


def name_of(model: YarnModel, side: Side, angle: Angle) -> str:
    """Return in words what a picture shows."""
    name: str = side
    if side == "back" and model.tiling.case == "round" and angle != "close-up":
        name = "back, the near half cut away"
    elif side == "back" and angle == "straight":
        name = "back, seen from behind"
    return name + HOW[angle]
