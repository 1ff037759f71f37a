"""The lines up a small tube where its needles had their corners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import ArrayRecord, Ints, norms
from fabricsim.fabric.corner_columns import corner_columns
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures, measure, pucker, taut
from fabricsim.fabric.mesh import RIGHT
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric, at_corners, set_up
from fabricsim.fabric.whole import set_up_whole

BESIDE = 2
"""Steps on either side of a corner that count as its line (chosen: what a float across it usually bridges)."""


@dataclass(frozen=True, eq=False, repr=False)
class CornerLine(ArrayRecord):
    """``column_k`` (k,) int: the columns, from the face's left, on whose left a needle ends, of the first of the rows
    ``row_r`` (r,) int in which floats lie across a corner; how many ``floats`` do, how many of them are ``taut``;
    ``narrower``: the share by which stitches along the lines are narrower than all others of rows with such floats;
    ``ridge`` m: how much further out they stand, as a float drawn tight inside bends the tube there; below 0 further
    in."""

    column_k: Ints
    floats: int
    row_r: Ints
    taut: int
    narrower: float
    ridge: float

    @property
    def rows(self) -> int:
        """In how many rows such floats lie."""
        return len(self.row_r)


@dataclass(frozen=True, repr=False)
class TurnedOut:
    """The same tube knitted inside out, by the same hands: all that it ``measures``, and how much ``narrower`` and
    ``ridge`` (m) is then left along what were lines."""

    measures: Measures
    narrower: float
    ridge: float


def corner_line(rest: Equilibrium) -> CornerLine | None:
    """Return the lines of a tube at rest; None where none are laid or all the tube is as near a corner."""
    mesh = rest.mesh
    needles, short_f = rest.scene.floats.needles, at_corners(rest.contact.fabric)
    if needles is None or not short_f.any():
        return None
    row_r = np.unique(mesh.row_n[mesh.floats.node_f2[:, 0]][short_f])
    beside = _beside_others(rest, row_r)
    if beside is None:
        return None
    column_k = corner_columns(mesh, needles)[row_r[0]]
    return CornerLine(column_k, int(short_f.sum()), row_r, int((taut(rest) & short_f).sum()), *beside)


def inside_out(rest: Equilibrium) -> Fabric:
    """Return the same tube with its floats carried as they are, but knitted inside out: longer, and round no
    corner."""
    fabric = rest.contact.fabric
    table, scene = fabric.mesh.floats, rest.scene
    kept_f = np.where(at_corners(fabric), 1.0 - scene.floats.corner_shorter, 1.0)
    carried_f = (1.0 + table.slack_f) / kept_f - 1.0
    whole = fabric.mesh.standing is not None
    other = set_up_whole(scene, inside_out=True).fabric if whole else set_up(scene, "round", inside_out=True)
    return other.with_slack_of(carried_f).with_stiffness(fabric.stiffness)


def turned_out(rest: Equilibrium, line: CornerLine, progress: Progress | None = None) -> TurnedOut:
    """Return what a tube with this ``line``, at ``rest``, would be if it were knitted inside out.

    Raises NoEquilibriumError if that finds no rest.
    """
    other = come_to_rest(inside_out(rest), progress=progress)
    beside = _beside_others(other, line.row_r)
    assert beside is not None  # it is of the same stitches
    return TurnedOut(measure(other), *beside)


def _beside_others(rest: Equilibrium, row_r: Ints) -> tuple[float, float] | None:
    """Return by what share stitches of these rows are narrower along the corners of the needles than off them, and how
    much further out (m) they stand; None where all or none are near one."""
    mesh, needles = rest.mesh, rest.scene.floats.needles
    assert needles is not None
    right_n = mesh.neighbour_n4[:, RIGHT]
    kept_n = (right_n >= 0) & np.isin(mesh.row_n, row_r)
    # over its own width as plain fabric: beside an increase that is less
    step_n = np.ones(len(right_n))
    now_nc, plain_nc = (x_nc[right_n[kept_n]] - x_nc[kept_n] for x_nc in (rest.x_nc, mesh.rest_nc))
    step_n[kept_n] = norms(now_nc) / norms(plain_nc)
    # The step on the right of column j crosses the corner of column j + 1.
    count_n1 = np.bincount(mesh.row_n)[mesh.row_n, None]
    from_nk = mesh.column_n[:, None] + 1 - corner_columns(mesh, needles)[mesh.row_n]
    off_nk = (from_nk + count_n1 // 2) % count_n1 - count_n1 // 2
    near_n = (np.abs(off_nk) <= BESIDE).any(axis=1)
    if not (kept_n & near_n).any() or not (kept_n & ~near_n).any():
        return None
    height_n = pucker(rest).height_n
    narrower = 1.0 - float(step_n[kept_n & near_n].mean() / step_n[kept_n & ~near_n].mean())
    return narrower, float(height_n[kept_n & near_n].mean() - height_n[kept_n & ~near_n].mean())
