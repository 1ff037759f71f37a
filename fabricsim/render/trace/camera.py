"""Where the picture is taken from: an orthographic camera, so that every centimetre has the same length in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats

TALLEST = 1.5
"""Greatest height of a picture over its width, where only its width is asked for (chosen: fits a page)."""
MARGIN = 0.015
"""Paper left round a fabric with edges, share of the longer side, beside the room for its shadow (chosen)."""


@dataclass(frozen=True, eq=False)
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


@dataclass(frozen=True)
class Scale:
    """How large a picture is: so many pixels wide, or so many metres a pixel. One of the two is given."""

    width_px: int | None = None
    metres_per_px: float | None = None

    def __post_init__(self) -> None:
        if (self.width_px is None) == (self.metres_per_px is None):
            raise ValueError("a scale is either a width in pixels or metres a pixel")


def turned(about_y: float, down: float) -> Floats:
    """Return camera axes turned by ``about_y`` round the upright axis and looking ``down`` by an angle, radians.

    At 0, 0 the camera looks at the face of flat fabric: x to the right, y up.
    """
    right = np.array([np.cos(about_y), 0.0, -np.sin(about_y)])
    level = np.array([np.sin(about_y), 0.0, np.cos(about_y)])
    up = np.array([0.0, np.cos(down), 0.0]) - np.sin(down) * level
    return np.stack([right, up, np.cross(right, up)])


def lying(aside: float, low: float, side: float = 1.0) -> Floats:
    """Return the axes of a camera that looks at fabric lying on a table, its face up (``side`` 1) or its back (-1).

    It stands ``aside`` of the lower edge to the right and ``low`` off the upright, radians; at 0, 0 it looks straight
    down, and up in the picture is up the fabric.
    """
    right, up, out = np.array([side, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, side])
    away = np.cos(aside) * up - np.sin(aside) * right
    return facing(np.cos(low) * out - np.sin(low) * away, away)


def facing(towards_c: Floats, up_c: Floats) -> Floats:
    """Return the axes of a camera that lies in the direction ``towards_c``, with ``up_c`` upwards in its picture."""
    towards = towards_c / np.linalg.norm(towards_c)
    up = up_c - (up_c @ towards) * towards
    up /= np.linalg.norm(up)
    return np.stack([np.cross(up, towards), up, towards])


def fitted(axes_ac: Floats, x_pc: Floats, scale: Scale, *, room: float, cut_c: Floats | None = None) -> Camera:
    """Return a camera that sees all points ``x_pc`` (p, 3) m with ``room`` m and a margin of paper about them."""
    seen = x_pc @ axes_ac.T
    low, high = seen[:, :2].min(axis=0), seen[:, :2].max(axis=0)
    middle, size = 0.5 * (low + high), high - low
    size = size + 2.0 * (room + MARGIN * size.max())
    if scale.width_px is not None:
        # a piece too tall for the page stands in the middle of a picture as wide as asked for
        size[0] = max(size[0], size[1] / TALLEST)
    return framed(axes_ac, middle, size, scale, cut_c)


def windowed(axes_ac: Floats, window_a: Floats, scale: Scale) -> Camera:
    """Return a camera that sees exactly the window (left, right, bottom, top in m, as seen from the face)."""
    flip = float(np.sign(axes_ac[0, 0]))
    middle = np.array([flip * (window_a[0] + window_a[1]) / 2, (window_a[2] + window_a[3]) / 2])
    size = np.array([window_a[1] - window_a[0], window_a[3] - window_a[2]])
    if scale.width_px is not None and size[1] > TALLEST * size[0]:
        scale = Scale(max(1, round(TALLEST * scale.width_px * size[0] / size[1])))
    return framed(axes_ac, middle, size, scale)


def framed(axes_ac: Floats, middle_a: Floats, size_a: Floats, scale: Scale, cut_c: Floats | None = None) -> Camera:
    """Return a camera whose picture has its middle at ``middle_a`` (2,) m along its axes, ``size_a`` (2,) m large.

    The picture is whole pixels wide and high, by which it may be less than a pixel larger or smaller.
    """
    metres_per_px = scale.metres_per_px or float(size_a[0]) / (scale.width_px or 1)
    width_px, height_px = (max(1, round(float(size) / metres_per_px)) for size in size_a)
    half = 0.5 * metres_per_px * np.array([width_px, height_px])
    frame = np.array([middle_a[0] - half[0], middle_a[0] + half[0], middle_a[1] - half[1], middle_a[1] + half[1]])
    return Camera(axes_ac, frame, width_px, height_px, cut_c)
