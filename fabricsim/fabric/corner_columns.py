"""Where needles had their corners in every round, shaped or not: over the same stitches all the way up."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Ints
from fabricsim.design.floats.corners import carried_up, corners
from fabricsim.design.scene.made import TAKES
from fabricsim.design.scene.needle_corners import Needles
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.standing import KINDS

TAKEN = np.array([TAKES[one] for one in KINDS])


def corner_columns(mesh: Mesh, needles: Needles) -> Ints:
    """Return the columns (rows, k) int, from the face's left, on whose left a needle ends in each round of a tube.

    The first round is shared out evenly; what comes or goes above stays on the needle where it does.
    """
    at = corners(mesh.stitches, needles)
    s = mesh.standing
    if s is None:
        return np.tile(np.array(at, dtype=np.intp), (mesh.rows, 1))
    found = [at]
    for row in range(1, len(s.count_i)):
        of_row = np.flatnonzero(s.row_n == row)
        if row == s.row_n[s.apex] and s.apex >= 0:  # drawn together: no needle there
            found.append((0,) * len(at))
            continue
        right_first = of_row[np.argsort(-s.column_n[of_row])]
        found.append(carried_up(found[-1], int(s.count_i[row - 1]), TAKEN[s.made_n[right_first]].tolist()))
    return np.array(found, dtype=np.intp)
