"""The lines up a small tube where its needles had their corners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import ArrayRecord, Ints, norms
from fabricsim.design.floats.corners import corners
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import taut
from fabricsim.fabric.mesh import RIGHT
from fabricsim.fabric.setup import at_corners

BESIDE = 2
"""Steps on either side of a corner that count as its line (chosen: what a float across it usually bridges)."""


@dataclass(frozen=True, eq=False, repr=False)
class CornerLine(ArrayRecord):
    """``column_k`` (k,) int: the columns, from the face's left, on whose left a needle ends; how many ``floats`` lie
    across a corner, in how many ``rows``, how many of them are ``taut``; ``narrower``: the share by which stitches
    along the lines are narrower than all others of rows with such floats."""

    column_k: Ints
    floats: int
    rows: int
    taut: int
    narrower: float


def corner_line(rest: Equilibrium) -> CornerLine | None:
    """Return the lines of a tube at rest; None where none are laid, rows differ in their count, or all the tube is
    as near a corner."""
    mesh = rest.mesh
    needles, short_f = rest.scene.floats.needles, at_corners(rest.contact.fabric)
    if needles is None or mesh.standing is not None or not short_f.any():
        return None
    column_k = np.array(corners(mesh.stitches, needles), dtype=np.intp)
    row_f = mesh.row_n[mesh.floats.node_f2[:, 0]]
    rows = np.unique(row_f[short_f])
    right_n = mesh.neighbour_n4[:, RIGHT]
    kept_n = (right_n >= 0) & np.isin(mesh.row_n, rows)
    step_n = norms(rest.x_nc[right_n] - rest.x_nc)
    # The step on the right of column j crosses the corner of column j + 1.
    off_nk = (mesh.column_n[:, None] + 1 - column_k + mesh.stitches // 2) % mesh.stitches - mesh.stitches // 2
    near_n = (np.abs(off_nk) <= BESIDE).any(axis=1)
    if not (kept_n & near_n).any() or not (kept_n & ~near_n).any():
        return None
    return CornerLine(
        column_k=column_k,
        floats=int(short_f.sum()),
        rows=len(rows),
        taut=int((taut(rest) & short_f).sum()),
        narrower=1.0 - float(step_n[kept_n & near_n].mean() / step_n[kept_n & ~near_n].mean()),
    )
