"""How much every stitch wants to curl, by how near the edges of its fabric it lies."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.stiffness import Stiffness


def curls(mesh: Mesh, stiffness: Stiffness) -> tuple[Floats, Floats]:
    """Return the curvature, 1/m, that each stitch wants across and up, two arrays (n,): that of the ``stiffness`` as
    deep as it says in from where its row ends, and from the first and the last row.

    Rib wants none, and holds the end that it makes.
    """
    row_n, s = mesh.row_n, mesh.standing
    count_n = np.full(len(row_n), mesh.stitches) if s is None else s.count_i[row_n]
    ribbed_n = np.zeros(len(row_n), dtype=bool) if s is None else s.ribbed_n
    from_side_n = np.minimum(mesh.column_n, count_n - 1 - mesh.column_n)
    across_n = stiffness.curl_across * _within(stiffness.curl_depth / mesh.stitch_width, from_side_n)
    near_n = np.zeros(len(row_n))
    for end in (0, mesh.rows - 1):
        if not ribbed_n[row_n == end].any():
            within_n = _within(stiffness.curl_depth / mesh.row_height, np.abs(row_n - end))
            near_n = np.maximum(near_n, within_n)
    return np.where(ribbed_n, 0.0, across_n), np.where(ribbed_n, 0.0, stiffness.curl_up * near_n)


def _within(depth: float, nearest_n: Ints) -> Floats:
    """Return how much of each stitch (n,) lies within a ``depth`` of the edge that is so many stitches away: 1 all, 0
    none."""
    return np.asarray(np.clip(depth - nearest_n, 0.0, 1.0))
