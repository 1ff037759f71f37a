"""Strands between two stitches that are lifted and crossed, so that another stitch is made of them."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask
from fabricsim.render.yarn.loop import Feet
from fabricsim.render.yarn.strands import LINK, Pieces
from fabricsim.render.yarn.surface import StitchSurface

WAY = (  # chosen: a loop as wide as a plain one, its legs crossed below, with a thickness between them
    (0.00, -0.86, 0.22),
    (0.29, -0.52, 0.12),
    (0.31, -0.25, -0.08),
    (0.00, -0.09, -0.22),
    (-0.31, -0.25, -0.08),
    (-0.29, -0.52, 0.12),
    (0.00, -0.86, 0.22),
)
"""The way of a lifted strand from the left stitch to the right: stitches across and rows up from the stitch that is
made of it, stitch widths forward."""
CROSSED = 0.15
"""How far the leg in front lies before, and the other behind, at their crossing, stitch widths (chosen)."""


def add_strands(pieces: Pieces, surface: StitchSurface, feet: Feet, lifted_n: Mask, order_n: Ints, steps: int) -> None:
    """Add the strands from the stitches ``lifted_n`` to the next ones, each up to the stitch that is made of it."""
    tiling, shape = surface.tiling, surface.tiling.shape
    assert shape is not None
    kept = lifted_n[shape.strand_k3[:, 0]]
    strand_k3, leans_k = shape.strand_k3[kept], shape.leans_k[kept]
    u_w, v_w, z_w = np.array(WAY).T
    for (left, right, made), lean in zip(strand_k3.tolist(), leans_k.tolist(), strict=True):
        forward_w = z_w.copy()
        # what comes from the left goes up to the right: in front where the stitch leans right
        forward_w[0], forward_w[-1] = z_w[0] + lean * CROSSED, z_w[-1] - lean * CROSSED
        way_wc, _ = surface.at(np.full(len(u_w), made), u_w, v_w, forward_w * tiling.width)
        place_wc = np.concatenate([feet.x_nsc[left, 1][None], way_wc, feet.x_nsc[right, 0][None]])
        points = _through(place_wc, feet.out_nsc[left, 1], -feet.out_nsc[right, 0], 2 * steps // 2 + 1)[1:-1]
        many = len(points)
        pieces.add(np.full(many, order_n[left]), LINK, np.full(many, left), points, loose=False)


def _through(place_wc: Floats, begin_c: Floats, end_c: Floats, many: int) -> Floats:
    """Return ``many`` points of a smooth line through places, leaving and arriving in these unit directions."""
    from scipy.interpolate import CubicSpline  # here: it takes longer to load than all the rest of this room

    far_w = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(place_wc, axis=0), axis=1))])
    line = CubicSpline(far_w, place_wc, bc_type=((1, begin_c), (1, end_c)))
    return np.asarray(line(np.linspace(0.0, far_w[-1], many)))
