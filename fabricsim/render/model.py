"""The yarn of a fabric built once, with its light, ready for pictures of either side."""

from __future__ import annotations

from dataclasses import dataclass
from time import perf_counter

import numpy as np

from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.kinds import Quality
from fabricsim.render.laid import Laid, lay
from fabricsim.render.lining import lining
from fabricsim.render.occlusion import openness
from fabricsim.render.paths import yarn_paths
from fabricsim.render.rays import Rays
from fabricsim.render.shade import Skin, albedos, fibre_noise
from fabricsim.render.strands import Strands, cropped
from fabricsim.render.trace import Stage
from fabricsim.render.tubes import tubes


@dataclass(frozen=True)
class Level:
    """How finely yarn is drawn.

    ``steps`` of a loop and ``sides`` of the yarn; ``sky`` rays at every ``every``-th ring; ``samples`` a pixel, in a
    picture ``shrink`` times smaller than asked for if that is wide, then enlarged.
    """

    steps: int
    sides: int
    sky: int
    every: int
    samples: int = 4
    shrink: int = 1


LEVELS = (
    (600, Level(40, 8, 14, 3)),
    (1500, Level(30, 7, 12, 2)),
    (4000, Level(20, 6, 10, 2)),
    (12_000, Level(14, 5, 6, 1)),
    (1 << 60, Level(10, 4, 5, 1)),
)
"""Stitches in the picture up to which yarn is drawn so finely (chosen: steps of 3 to 6 pixels, 0.4 to 4 million
triangles)."""
DRAFT = Level(14, 5, 4, 1, shrink=2)
"""A quick look (chosen: 0.2 million triangles at 30 x 30 stitches)."""
BEYOND = 2.5
"""Yarn drawn beyond the window of a repeat, for its shade and shadow, stitch widths (chosen)."""
CAMERA_OFF = 10.0
"""How far a camera stands outside everything that it may see, yarn thicknesses (chosen; any length does)."""


@dataclass(frozen=True)
class Timings:
    """Seconds spent on paths and triangles (``build``), on the open sky (``bake``) and on the picture (``trace``)."""

    build: float
    bake: float
    trace: float = 0.0


@dataclass(frozen=True)
class YarnModel:
    """Everything that the pictures of both sides share."""

    equilibrium: Equilibrium
    laid: Laid
    strands: Strands
    stage: Stage
    quality: Quality
    level: Level
    timings: Timings


def level_for(quality: Quality, stitches: int) -> Level:
    """Return how finely to draw a picture of so many ``stitches``."""
    return DRAFT if quality == "draft" else next(level for most, level in LEVELS if stitches <= most)


def _shown(laid: Laid) -> int:
    """Return how many stitches the picture holds."""
    if laid.window_a is None:
        return laid.stitches
    left, right, bottom, top = laid.window_a
    x_n, y_n = laid.x_nc[: laid.stitches, 0], laid.x_nc[: laid.stitches, 1]
    return int(((x_n >= left) & (x_n <= right) & (y_n >= bottom) & (y_n <= top)).sum())


def build_yarns(equilibrium: Equilibrium, quality: Quality = "full") -> YarnModel:
    """Return the yarn of the fabric with its baked light; ``draft`` is coarser and several times faster."""
    begun = perf_counter()
    laid = lay(equilibrium)
    level = level_for(quality, _shown(laid))
    strands = yarn_paths(laid, level.steps)
    if laid.window_a is not None:
        beyond = BEYOND * laid.width
        strands = cropped(strands, laid.window_a[::2] - beyond, laid.window_a[1::2] + beyond)
    yarn = tubes(strands, level.sides)
    rays = Rays(yarn.vertex_vc, yarn.triangle_tv)
    vertices, triangles = lining(laid, yarn.scale)
    inside = Rays(vertices, triangles) if len(triangles) else None
    built = perf_counter()
    open_gk = openness(rays, yarn, level.sky, level.every)
    albedo_yc = albedos(np.array([one.rgb for one in equilibrium.scene.yarns]))
    # a tube is rounded enough by itself; flat fabric shows its pucker by how it lies to the light
    lie_gc = laid.normal_nc[yarn.stitch_g if laid.case != "round" else []].astype(np.float32)
    skin = Skin(yarn, albedo_yc, open_gk, lie_gc, fibre_noise())
    stage = Stage(rays, inside, skin, yarn.scale, 2.0 * float(np.abs(yarn.x_gc).max()) + CAMERA_OFF)
    timings = Timings(built - begun, perf_counter() - built)
    return YarnModel(equilibrium, laid, strands, stage, quality, level, timings)
