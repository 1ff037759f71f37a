"""Where the picture is taken from: an orthographic camera, so that every centimetre has the same length in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.fabric.mesh import Floats

TALLEST = 1.5
"""Greatest height of a picture over its width (chosen: fits a page)."""
MARGIN = 0.015
"""Paper left round a fabric with edges, share of the longer side, beside the room for its shadow (chosen)."""


@dataclass(frozen=True)
class Camera:
    """An orthographic view.

    ``axes_ac`` (3, 3) float: unit vectors to the right, up and towards the camera; ``frame_a`` (4,) float, m: left,
    right, bottom, top along them; ``width_px``, ``height_px``; ``cut_c``: where given, only what lies behind the plane
    through the origin with this unit normal is seen.
    """

    axes_ac: Floats
    frame_a: Floats
    width_px: int
    height_px: int
    cut_c: Floats | None = None

    @property
    def metres_per_px(self) -> float:
        """The side of a pixel, m."""
        return float(self.frame_a[1] - self.frame_a[0]) / self.width_px


def turned(about_y: float, down: float) -> Floats:
    """Return camera axes turned by ``about_y`` round the upright axis and looking ``down`` by an angle, radians.

    At 0, 0 the camera looks at the face of flat fabric: x to the right, y up.
    """
    right = np.array([np.cos(about_y), 0.0, -np.sin(about_y)])
    level = np.array([np.sin(about_y), 0.0, np.cos(about_y)])
    up = np.array([0.0, np.cos(down), 0.0]) - np.sin(down) * level
    return np.stack([right, up, np.cross(right, up)])


def fitted(axes_ac: Floats, x_pc: Floats, width_px: int, *, room: float, cut_c: Floats | None = None) -> Camera:
    """Return a camera that sees all points ``x_pc`` (p, 3) m with ``room`` m and a margin of paper about them."""
    seen = x_pc @ axes_ac.T
    low, high = seen[:, :2].min(axis=0), seen[:, :2].max(axis=0)
    middle, size = 0.5 * (low + high), high - low
    size = size + 2.0 * (room + MARGIN * size.max())
    height_px = max(1, round(width_px * min(TALLEST, float(size[1] / size[0]))))
    size[0] = max(size[0], size[1] * width_px / height_px)
    return _framed(axes_ac, middle, float(size[0]), width_px, height_px, cut_c)


def windowed(axes_ac: Floats, window_a: Floats, width_px: int) -> Camera:
    """Return a camera that sees exactly the window (left, right, bottom, top in m, as seen from the face)."""
    flip = float(np.sign(axes_ac[0, 0]))
    middle = np.array([flip * (window_a[0] + window_a[1]) / 2, (window_a[2] + window_a[3]) / 2])
    size = np.array([window_a[1] - window_a[0], window_a[3] - window_a[2]])
    if size[1] > TALLEST * size[0]:
        width_px = round(TALLEST * width_px * size[0] / size[1])
    height_px = max(1, round(width_px * size[1] / size[0]))
    return _framed(axes_ac, middle, float(size[0]), max(1, width_px), height_px, None)


def _framed(
    axes_ac: Floats, middle: Floats, wide: float, width_px: int, height_px: int, cut_c: Floats | None
) -> Camera:
    tall = wide * height_px / width_px
    frame = np.array([middle[0] - wide / 2, middle[0] + wide / 2, middle[1] - tall / 2, middle[1] + tall / 2])
    return Camera(axes_ac, frame, width_px, height_px, cut_c)
