"""The feet of the stitches: where a loop ends and its link to the next one begins."""

from __future__ import annotations

import numpy as np

from fabricsim.render.yarn.loop import FOOT, loop
from fabricsim.render.yarn.strands import unit
from fabricsim.render.yarn.surface import Surface

NUDGE = 1e-3
"""Step of the loop parameter for the direction at a foot (chosen: small against the loop's bends)."""


class Feet:
    """Where the left (0) and right (1) foot of every stitch stand, and which way the yarn leaves through them.

    ``x_nsc`` (n, 2, 3) float, m; ``out_nsc`` (n, 2, 3) float: unit directions away from the loop.
    """

    def __init__(self, surface: Surface) -> None:
        t_k = np.array([-FOOT, -FOOT - NUDGE, FOOT, FOOT + NUDGE])
        point_nkc = surface.of_stitches(*loop(t_k, surface.laid.width, surface.laid.height))
        self.x_nsc = point_nkc[:, [0, 2]]
        self.out_nsc = unit(point_nkc[:, [1, 3]] - point_nkc[:, [0, 2]])
