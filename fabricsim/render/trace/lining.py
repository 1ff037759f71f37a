"""A dark sheet inside the fabric, seen only through its gaps: depth that loops far behind would give."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Indices, Mask, Singles
from fabricsim.fabric.mesh import RIGHT, UP
from fabricsim.render.yarn.tiling import Tiling


def lining(tiling: Tiling, scale: float, shown_n: Mask) -> tuple[Singles, Indices]:
    """Return vertices and triangles of the middle surface between stitches, lengths in units of ``scale`` m.

    Only where the stitch at the lower left is ``shown_n`` (stitches,).
    """
    real = tiling.stitches
    right = tiling.neighbour_n4[:real, RIGHT]
    above = tiling.neighbour_n4[:real, UP]
    cell = shown_n & (right >= 0) & (right < real) & (above >= 0) & (above < real)
    corner = np.nonzero(cell)[0]
    across, up = right[corner], above[corner]
    far = tiling.neighbour_n4[across, UP]
    whole = (far >= 0) & (far < real)
    corner, across, up, far = corner[whole], across[whole], up[whole], far[whole]
    triangles = np.concatenate([np.stack([corner, across, far], 1), np.stack([corner, far, up], 1)])
    return (tiling.x_nc[:real] / scale).astype(np.float32), triangles.astype(np.int32)
