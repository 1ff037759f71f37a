"""How fabric curves within itself: the angles about a stitch against a full turn."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask, cross, dot, norms
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.places import cells, whole

RING = (0, 1, 3, 2)
"""The corners of a cell in turn: lower left, lower right, upper right, upper left."""


def angle_defects(mesh: Mesh, x_nc: Floats) -> Floats:
    """Return the whole Gaussian curvature that each stitch holds, (n,) rad: 2 pi less the angles about it in the cells
    around; nan at edges.

    Above nought the fabric is cupped there, below it saddles; by Gauss and Bonnet (Descartes for corners) the sum over
    a cap bounded by a round is 2 pi less the angle of the cone that goes on from it. A cell that is not flat counts as
    the mean of its two ways to be halved. Not for a ``repeat``, whose cells reach into its next copy.
    """
    corners = cells(mesh)
    ring_s4 = np.stack([corners[at].node_b for at in RING], axis=1)[whole(corners)]
    count = len(x_nc)
    about_n = np.zeros(count)
    for at in range(4):
        here_s, next_s, over_s, before_s = (ring_s4[:, (at + step) % 4] for step in range(4))
        first_s = here_s != before_s  # of two corners alike the second is no corner
        next_s, over_s = np.where(here_s == next_s, over_s, next_s), np.where(here_s == next_s, next_s, over_s)
        square_s = (over_s != here_s) & (over_s != next_s) & (over_s != before_s)
        straight_s = _angle(x_nc, here_s, next_s, before_s)
        halved_s = _angle(x_nc, here_s, next_s, over_s) + _angle(x_nc, here_s, over_s, before_s)
        turn_s = np.where(square_s, 0.5 * (straight_s + halved_s), straight_s)
        np.add.at(about_n, here_s[first_s], turn_s[first_s])
    return np.where(_inside(ring_s4, count), 2.0 * np.pi - about_n, np.nan)


def _angle(x_nc: Floats, here_s: Ints, one_s: Ints, other_s: Ints) -> Floats:
    a_sc, b_sc = x_nc[one_s] - x_nc[here_s], x_nc[other_s] - x_nc[here_s]
    return np.asarray(np.arctan2(norms(cross(a_sc, b_sc)), dot(a_sc, b_sc)))


def _inside(ring_s4: Ints, count: int) -> Mask:
    """Return which stitches lie inside (n,): no edge at them belongs to one cell only."""
    sides = np.sort(np.concatenate([ring_s4[:, [at, (at + 1) % 4]] for at in range(4)]), axis=1)
    sides = sides[sides[:, 0] != sides[:, 1]]
    known, times = np.unique(sides[:, 0] * count + sides[:, 1], return_counts=True)
    inside = np.zeros(count, dtype=bool)
    inside[ring_s4] = True
    open_b = known[times == 1]
    inside[open_b // count] = inside[open_b % count] = False
    return inside
