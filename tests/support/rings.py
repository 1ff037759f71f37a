"""A long tube under a ring line load: Timoshenko's closed form, and the same on level rings of stitches."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fabricsim.arrays import Floats
from tests.support.meshes import WORSTED, closed_rings, mesh_of
from tests.support.small_loads import answer_to
from tests.support.strips import coordinates

STRETCH, RIGIDITY, RADIUS = 15.0, 50e-6, 0.09
"""E_x N/m, B N.m, R m: the worsted default and a hat, as in the printed value of the closed form."""
SHEAR = 2e-3
"""N/m; soft, as cells that are fifteen to sixty times wider than high ask. It hardly matters, see below."""
STITCHES = 12
"""Round the tube; see ``ring_load_response`` for why so few will do."""
LOAD = 1e-4
"""N/m; pushes in by 1.7e-5 of the radius, so that what is not linear is a share of 1e-9."""


def decay_length() -> float:
    """Return (4 B R^2/E_x)^(1/4), m: the reach of a ring load."""
    return float((4.0 * RIGIDITY * RADIUS**2 / STRETCH) ** 0.25)


def inward_under_unit_load(pull: float = 0.0) -> float:
    """Return w0/P, m2/N: 1/(2 sqrt(k) sqrt(N_y + 2 sqrt(k B))), k = E_x/R^2, N_y the ``pull``, N/m (Timoshenko)."""
    k = STRETCH / RADIUS**2
    return float(1.0 / (2.0 * np.sqrt(k) * np.sqrt(pull + 2.0 * np.sqrt(k * RIGIDITY))))


def pull_of_the_polygon() -> float:
    """Return the N_y (N/m) that stitches of a finite width w add to the closed form: -G (w/2R)^2 = -G sin^2(pi/n).

    The diagonals carry G (w/c)^2 of the hoop stiffness, and feel the mean of the two rows they join. The square of a
    mean is less than the mean of squares by (c w')^2/4, which is G (w/c)^2 c^2/(4 R^2) w'^2: whatever the row height,
    the same as a push along the tube (derived). It is gone once cells are split both ways; here they are split up only.
    """
    return float(-SHEAR * np.sin(np.pi / STITCHES) ** 2)


def ring_load_response(row_height: float) -> tuple[Floats, Floats]:
    """Return how far a long tube goes in, (i,) m2/N, under a ring load at its middle, and the heights (i,) m.

    A ring of twelve stitches is a polygon, but a true stand-in for the circle: where all its stitches go in by w, its
    bars shorten by w/R, load and hoop stiffness both count its own girth, and bends along the tube see only one line.
    What is left of the polygon is ``pull_of_the_polygon``.
    """
    width = 2.0 * RADIUS * np.sin(np.pi / STITCHES)
    # 8 decay lengths each way: the far ends send back exp(-16) = 1e-7.
    rows = 2 * round(8.0 * decay_length() / row_height) + 1
    mesh = closed_rings(mesh_of(("." * STITCHES,) * rows, "round", width=width, height=row_height))
    stiffness = replace(WORSTED, shear=SHEAR, bend_up=RIGIDITY, stretch_across=STRETCH)
    out_nc = mesh.rest_nc * np.array([1.0, 0.0, 1.0]) / RADIUS
    thirds = np.array([0, STITCHES // 3, 2 * STITCHES // 3])
    held = coordinates(thirds, "y")  # three heights of the lowest ring, and no sliding or turning of it
    held += [0, *coordinates(np.array([STITCHES // 2]), "x"), *coordinates(np.array([STITCHES // 4]), "z")]
    on_ring = mesh.row_n == rows // 2
    load_nc = np.where(on_ring[:, None], -LOAD * width * out_nc, 0.0)
    inward_n = -(answer_to(mesh, stiffness, load_nc, held) * out_nc).sum(axis=1) / LOAD
    inward_ij = inward_n.reshape(rows, STITCHES)
    # the softest modes keep what force round-off leaves: up to a hundred-thousandth of the greatest
    np.testing.assert_allclose(inward_ij, inward_ij[:, :1] * np.ones(STITCHES), atol=2e-5 * inward_ij.max())
    return inward_ij[:, 0], row_height * (np.arange(rows, dtype=float) - rows // 2)
