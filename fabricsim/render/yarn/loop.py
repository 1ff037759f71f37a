"""The loop: the path that the yarn takes through one stitch of stockinette, and the feet that it stands on."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Floats, unit
from fabricsim.render.yarn.loop_form import BULGE, DEPTH, HEAD_GAP
from fabricsim.render.yarn.surface import StitchSurface

FOOT = 0.8 * np.pi
"""Where a stitch ends and its link to the next begins, as a loop parameter (chosen: just above the sinker)."""
NUDGE = 1e-3
"""Step of the loop parameter for the direction at a foot (chosen: small against the loop's bends)."""


def loop(t_k: Floats, width: float, height: float) -> tuple[Floats, Floats, Floats]:
    """Return the centreline at parameters ``t_k`` in [-pi, pi], from the left neighbour to the right one.

    ``u_k`` in stitches, ``v_k`` in rows, ``z_k`` m towards the face, for a relaxed stitch ``width`` x ``height`` m:
    x = w t/(2 pi) + a sin 2t, y = H cos t, z = -b cos 2t, with H = c - 0.09 w. The form is that of K. Crane,
    *A Simple Parametric Model of Plain-Knit Yarns* (note, Carnegie Mellon University); the constants are ours.
    """
    u_k = t_k / (2.0 * np.pi) + BULGE * np.sin(2.0 * t_k)
    v_k = (height - HEAD_GAP * width) / height * np.cos(t_k)
    z_k = -DEPTH * width * np.cos(2.0 * t_k)
    return u_k, v_k, z_k


def loops(surface: StitchSurface, t_k: Floats) -> Floats:
    """Return the centrelines of all stitches at parameters ``t_k``: (n, k, 3) float, m."""
    tiling = surface.tiling
    u_k, v_k, z_k = loop(t_k, tiling.width, tiling.height)
    if tiling.shape is None:
        return surface.of_stitches(u_k, v_k, z_k)
    u_nk, v_nk, z_nk = tiling.shape.loops(t_k, u_k, v_k, DEPTH * tiling.width)
    node_p = np.repeat(np.arange(tiling.stitches), len(t_k))
    x_pc, _ = surface.at(node_p, u_nk.ravel(), v_nk.ravel(), z_nk.ravel())
    return x_pc.reshape(tiling.stitches, len(t_k), 3)


def body_parameters(steps: int) -> Floats:
    """Return the loop parameters from foot to foot of a loop cut into about ``steps`` in all, the head among them."""
    return np.linspace(-FOOT, FOOT, 2 * round(0.4 * steps) + 1)


def sinker_parameters(steps: int) -> tuple[Floats, Floats]:
    """Return the parameters between two feet: those of the left stitch, up to pi, and of the right, from -pi."""
    part = np.linspace(FOOT, np.pi, max(1, round(0.1 * steps)) + 1)
    return part[1:], -part[::-1][:-1]


class Feet:
    """Where the left (0) and right (1) foot of every stitch stand, and which way the yarn leaves through them.

    ``x_nsc`` (n, 2, 3) float, m; ``out_nsc`` (n, 2, 3) float: unit directions away from the loop.
    """

    def __init__(self, surface: StitchSurface) -> None:
        t_k = np.array([-FOOT, -FOOT - NUDGE, FOOT, FOOT + NUDGE])
        point_nkc = loops(surface, t_k)
        self.x_nsc = point_nkc[:, [0, 2]]
        self.out_nsc = unit(point_nkc[:, [1, 3]] - point_nkc[:, [0, 2]])
