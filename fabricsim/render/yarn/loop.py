"""The loop: the path that the yarn takes through one stitch of stockinette, and the feet that it stands on."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Floats, unit
from fabricsim.render.yarn.surface import StitchSurface

BULGE = 0.235
"""How far the sides of a loop swing out, stitch widths (chosen so that a loop is 4.2 stitch widths long)."""
DEPTH = 0.22
"""How far legs come forward and heads go back, stitch widths (chosen: widest clearance of crossing strands)."""
HEAD_GAP = 0.09
"""Row height less half the height of a loop, stitch widths (chosen, with the two above)."""
YARN_THICKNESS = 0.40
"""Drawn diameter of the yarn, stitch widths (chosen: strands side by side just touch, so the fabric is closed)."""
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
        point_nkc = surface.of_stitches(*loop(t_k, surface.tiling.width, surface.tiling.height))
        self.x_nsc = point_nkc[:, [0, 2]]
        self.out_nsc = unit(point_nkc[:, [1, 3]] - point_nkc[:, [0, 2]])
