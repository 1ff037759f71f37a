"""What the middle of every pixel of a picture shows, and fabrics whose light does not matter."""

from __future__ import annotations

from dataclasses import dataclass
from unittest.mock import patch

import numpy as np
from scipy.spatial import cKDTree

from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render import build_yarns
from fabricsim.render.basics.options import Quality
from fabricsim.render.trace.camera import Camera
from fabricsim.render.trace.model import Focus, YarnModel
from fabricsim.render.trace.rays import Rays
from fabricsim.render.trace.trace import first_hits
from fabricsim.render.yarn.tubes import Tubes, spots

GAP, OUTSIDE = -1, -2
"""Shown in place of a yarn: the dark between stitches, and the paper round the fabric."""
DEEP = 0.5
"""Depth behind the fabric's middle beyond which a link is a float, stitch widths: sinkers reach 0.22, lanes 0.6."""


@dataclass(frozen=True)
class Seen:
    """``yarn_hw`` int: the yarn that each pixel shows, or GAP or OUTSIDE; ``carried_hw`` bool: that it is a float."""

    yarn_hw: np.ndarray
    carried_hw: np.ndarray

    @property
    def gaps(self) -> float:
        """The share of the fabric's pixels in which no yarn is seen."""
        return float((self.yarn_hw == GAP).sum() / (self.yarn_hw != OUTSIDE).sum())

    @property
    def carried(self) -> float:
        """The share of the yarn's pixels that show a float."""
        return float(self.carried_hw.sum() / (self.yarn_hw >= 0).sum())

    def share(self, yarn: int) -> float:
        """The share of the yarn's pixels that show ``yarn``."""
        return float((self.yarn_hw == yarn).sum() / (self.yarn_hw >= 0).sum())


def unlit(equilibrium: Equilibrium, quality: Quality = "draft", focus: Focus | None = None) -> YarnModel:
    """Return the yarn of a fabric without its baked light, which takes as long as all the rest: for tests of what is
    where and in which paint."""

    def all_open(rays: Rays, tubes: Tubes, count: int, every: int) -> np.ndarray:
        return np.ones((len(tubes.x_gc), tubes.sides), dtype=np.float32)

    with patch("fabricsim.render.trace.model.openness", all_open):
        return build_yarns(equilibrium, quality, focus)


def seen(model: YarnModel, camera: Camera) -> Seen:
    """Return what the middle of each pixel shows."""
    hits, origin = first_hits(model.stage, camera)
    met = hits.triangle_m >= 0
    yarn = np.full(len(met), OUTSIDE)
    if model.stage.lining is not None:
        way = -camera.axes_ac[2:].astype(np.float32)
        yarn[model.stage.lining.first_hits(origin, way).triangle_m >= 0] = GAP
    spot = spots(model.stage.skin.tubes, hits.triangle_m[met], hits.u_m[met], hits.v_m[met])
    yarn[met] = model.stage.skin.tubes.yarn_g[spot.ring_m]
    carried = np.zeros(len(met), dtype=bool)
    carried[met] = floating(model)[spot.ring_m]
    shape = (camera.height_px, camera.width_px)
    return Seen(yarn.reshape(shape), carried.reshape(shape))


def floating(model: YarnModel) -> np.ndarray:
    """Return which points of the yarn lie as deep behind the stitch nearest to them as only floats do, (p,) bool."""
    tiling, strands = model.tiling, model.strands
    _, nearest_p = cKDTree(tiling.x_nc[: tiling.stitches]).query(strands.x_pc)
    out_p = np.einsum("pc,pc->p", strands.x_pc - tiling.x_nc[nearest_p], tiling.normal_nc[nearest_p])
    return strands.link_p & (out_p < -DEEP * tiling.width)
