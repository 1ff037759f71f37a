"""The yarn of a fabric built once, with its light, ready for pictures from all sides."""

from __future__ import annotations

from dataclasses import dataclass, replace
from time import perf_counter

import numpy as np

from fabricsim.arrays import Floats, Mask
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form.shapes import Form
from fabricsim.render.basics.options import Quality
from fabricsim.render.trace.camera import Scale
from fabricsim.render.trace.lining import lining
from fabricsim.render.trace.occlusion import openness
from fabricsim.render.trace.paint import Paint, as_dyed, yarn_colours
from fabricsim.render.trace.rays import Rays
from fabricsim.render.trace.shade import Skin, albedos, fibre_noise
from fabricsim.render.trace.shown_form import shown_form
from fabricsim.render.trace.trace import TraceStage
from fabricsim.render.yarn.paths import yarn_paths
from fabricsim.render.yarn.strands import Strands, cropped
from fabricsim.render.yarn.tiling import Tiling, tiled
from fabricsim.render.yarn.tubes import Tubes, tubes


@dataclass(frozen=True)
class LevelOfDetail:
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
    (600, LevelOfDetail(40, 8, 14, 3)),
    (1500, LevelOfDetail(30, 7, 12, 2)),
    (4000, LevelOfDetail(20, 6, 10, 2)),
    (12_000, LevelOfDetail(14, 5, 6, 1)),
    (1 << 60, LevelOfDetail(10, 4, 5, 1)),
)
"""Stitches in the picture up to which yarn is drawn so finely (chosen: steps of 3 to 6 pixels, 0.4 to 4 million
triangles)."""
USUAL_PX = 1200
"""Width in pixels of the pictures that ``LEVELS`` are for (chosen)."""
MOST_TRIANGLES = 5e6
"""Triangles to which yarn is drawn more finely for a larger picture (chosen: 1.5 GB)."""
DRAFT = LevelOfDetail(14, 5, 4, 1, shrink=2)
"""A quick look (chosen: 0.2 million triangles at 30 x 30 stitches)."""
BEYOND = 2.5
"""Yarn drawn beyond the window of a repeat or a close-up, for its shade and shadow, stitch widths (chosen)."""
LINED = 1.0
"""Dark inside beyond the window, stitch widths (chosen: it ends before the yarn does, and so never shows)."""
CLOSE_UP_HEIGHT = 0.75
"""Height of a close-up over its width (chosen)."""
CAMERA_OFF = 10.0
"""How far a camera stands outside everything that it may see, yarn thicknesses (chosen; any length does)."""


@dataclass(frozen=True)
class Timings:
    """Seconds spent on paths and triangles (``build``), on the open sky (``bake``) and on the picture (``trace``)."""

    build: float
    bake: float
    trace: float = 0.0


@dataclass(frozen=True)
class Focus:
    """What a close-up looks at: the ``stitch``, by its number in the equilibrium, and how many stitches ``across``."""

    stitch: int
    across: float = 9.0


@dataclass(frozen=True)
class YarnModel:
    """Everything that the pictures of a fabric share.

    ``focus_n``: the stitch that a close-up looks at, by its number in the tiling, ``focus`` how closely; None where
    all of the fabric is built.
    """

    equilibrium: Equilibrium
    tiling: Tiling
    strands: Strands
    stage: TraceStage
    level: LevelOfDetail
    timings: Timings
    focus: Focus | None = None
    focus_n: int = 0

    @property
    def tubes(self) -> Tubes:
        """The yarn's surface."""
        return self.stage.skin.tubes

    def painted(self, paint: Paint) -> YarnModel:
        """Return the same yarn in other colours; nothing is built or baked anew."""
        skin = replace(self.stage.skin, albedo_kc=albedos(paint.rgb_k3), paint_g=paint.which_g)
        return replace(self, stage=replace(self.stage, skin=skin))

    def worn_on(self, form: Form) -> YarnModel:
        """Return the same yarn with the ``form`` under it, on which the fabric lies."""
        under = shown_form(form, self.equilibrium.x_nc, self.stage.scale)
        far = max(self.stage.far, 2.0 * float(np.abs(under.x_vc).max()) / self.stage.scale + CAMERA_OFF)
        return replace(self, stage=replace(self.stage, form=under, far=far))


def level_for(quality: Quality, stitches: int, width_px: float = USUAL_PX) -> LevelOfDetail:
    """Return how finely to draw a picture of so many ``stitches``, ``width_px`` wide.

    What is larger than usual is drawn as finely as fewer stitches would be, as far as memory goes.
    """
    if quality == "draft":
        return DRAFT
    usual = next(rank for rank, (most, _) in enumerate(LEVELS) if stitches <= most)
    as_if = stitches * min(1.0, USUAL_PX / width_px) ** 2
    wanted = next(rank for rank, (most, _) in enumerate(LEVELS) if as_if <= most)
    while wanted < usual and 2 * stitches * LEVELS[wanted][1].steps * LEVELS[wanted][1].sides > MOST_TRIANGLES:
        wanted += 1
    return LEVELS[wanted][1]


def build_yarns(
    equilibrium: Equilibrium, quality: Quality = "full", focus: Focus | None = None, size: Scale | None = None
) -> YarnModel:
    """Return the yarn of the fabric with its baked light; ``draft`` is coarser and several times faster.

    With a ``focus`` only the yarn near it, finely. ``size`` of the largest picture to be made of it, if that is known.
    """
    begun = perf_counter()
    tiling = tiled(equilibrium)
    focus_n = _middlemost(tiling, focus.stitch) if focus is not None else 0
    shown_n = _near(tiling, tiling.x_nc[: tiling.stitches], focus, focus_n, 0.0)
    level = level_for(quality, int(shown_n.sum()), _pixels_wide(tiling.x_nc[: tiling.stitches][shown_n], size))
    strands = yarn_paths(tiling, level.steps)
    if tiling.window_a is not None or focus is not None:
        strands = cropped(strands, _near(tiling, strands.x_pc, focus, focus_n, BEYOND * tiling.width))
    yarn = tubes(strands, level.sides)
    rays = Rays(yarn.vertex_vc, yarn.triangle_tv)
    lined_n = _near(tiling, tiling.x_nc[: tiling.stitches], focus, focus_n, LINED * tiling.width)
    vertices, triangles = lining(tiling, yarn.scale, lined_n)
    inside = Rays(vertices, triangles) if len(triangles) else None
    built = perf_counter()
    open_gk = openness(rays, yarn, level.sky, level.every)
    paint = as_dyed(equilibrium.scene, yarn)
    # a tube is rounded enough by itself; flat fabric shows its pucker by how it lies to the light
    lie_gc = tiling.normal_nc[yarn.stitch_g if tiling.case != "round" else []].astype(np.float32)
    level_c = tiling.normal_nc[: tiling.stitches].mean(axis=0).astype(np.float32)
    level_c /= max(float(np.linalg.norm(level_c)), 1e-6)
    skin = Skin(yarn, albedos(paint.rgb_k3), paint.which_g, open_gk, lie_gc, level_c, fibre_noise())
    gap_c = albedos(yarn_colours(equilibrium.scene)).mean(axis=0)
    far = 2.0 * float(np.abs(yarn.x_gc).max()) + CAMERA_OFF
    stage = TraceStage(rays, inside, skin, yarn.scale, far, gap_c)
    timings = Timings(built - begun, perf_counter() - built)
    return YarnModel(equilibrium, tiling, strands, stage, level, timings, focus, focus_n)


def _pixels_wide(x_nc: Floats, size: Scale | None) -> float:
    """Return how wide a picture of stitches (n, 3) m is, about."""
    if size is None:
        return USUAL_PX
    if size.metres_per_px is not None:
        return float(np.ptp(x_nc[:, 0]) / size.metres_per_px)
    return float(size.width_px or USUAL_PX)


def _middlemost(tiling: Tiling, stitch: int) -> int:
    """Return the copy of a ``stitch`` of the equilibrium that lies nearest the middle of the tiling."""
    copies = np.nonzero(tiling.origin_n == stitch)[0]
    off = tiling.x_nc[copies] - tiling.x_nc[: tiling.stitches].mean(axis=0)
    return int(copies[np.einsum("kc,kc->k", off, off).argmin()])


def _near(tiling: Tiling, x_pc: Floats, focus: Focus | None, focus_n: int, beyond: float) -> Mask:
    """Return which points (p, 3) lie in the picture or up to ``beyond`` m outside it, (p,) bool."""
    if focus is None:
        return tiling.shows(x_pc, beyond)
    # a ball about the focus: what a close-up shows, seen from either side
    reach = 0.5 * focus.across * tiling.width * np.hypot(1.0, CLOSE_UP_HEIGHT) + beyond
    return np.asarray(np.linalg.norm(x_pc - tiling.x_nc[focus_n], axis=1) <= reach)
