"""Tubes of level rings with floats of one kind all round, inside or outside."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fabricsim.fabric.mesh import FloatTable, Mesh
from tests.support.meshes import HEIGHT, WIDTH, WORSTED, closed_rings, mesh_of


def turned_out(mesh: Mesh) -> Mesh:
    """Return a tube seen in a mirror: its face is then inside and its floats outside."""
    return replace(mesh, rest_nc=mesh.rest_nc * [-1.0, 1.0, 1.0])


def level_tube(
    rows: int,
    stitches: int,
    gap: int,
    slack: float = 0.0,
    *,
    outside: bool = True,
    width: float = WIDTH,
    thickness: float = WORSTED.thickness,
) -> Mesh:
    """Return a tube of level rings in which every stitch is the start of a float behind the next ``gap`` stitches.

    Stitch 0 lies at x = -R and the one opposite at x = R, so that what a tube is held by carries no force.
    """
    rings = closed_rings(mesh_of(("." * stitches,) * rows, "round", width=width, height=HEIGHT, thickness=thickness))
    x, y, z = rings.rest_nc.T
    tube = replace(rings, rest_nc=np.column_stack([-z, y, x]), floats=level_floats(rings, gap, slack))
    return turned_out(tube) if outside else tube


def level_floats(rings: Mesh, gap: int, slack: float) -> FloatTable:
    """Return a float of one gap from every stitch of level rings to one of the same ring."""
    count = len(rings.rest_nc)
    end_n = rings.row_n * rings.stitches + (rings.column_n + gap + 1) % rings.stitches
    span_f = np.full(count, (gap + 1) * rings.stitch_width)
    none = np.zeros(count, dtype=np.intp)
    return FloatTable(
        node_f2=np.column_stack([np.arange(count), end_n]),
        shift_f2=np.zeros((count, 2), dtype=np.intp),
        yarn_f=none,
        gap_f=np.full(count, gap),
        layer_f=none,
        span_f=span_f,
        slack_f=np.full(count, slack),
        length_f=span_f * (1.0 + slack),
    )
