"""The lines up a small tube where its needles had their corners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import ArrayRecord, Ints, norms
from fabricsim.design.floats.corners import corners
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures, measure, pucker, taut
from fabricsim.fabric.mesh import RIGHT
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric, at_corners, set_up

BESIDE = 2
"""Steps on either side of a corner that count as its line (chosen: what a float across it usually bridges)."""


@dataclass(frozen=True, eq=False, repr=False)
class CornerLine(ArrayRecord):
    """``column_k`` (k,) int: the columns, from the face's left, on whose left a needle ends; how many ``floats`` lie
    across a corner, in which rows ``row_r`` (r,) int, how many of them are ``taut``; ``narrower``: the share by which
    stitches along the lines are narrower than all others of rows with such floats; ``ridge`` m: how much further out
    they stand, as a float drawn tight inside bends the tube there; below 0 further in."""

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
    """Return the lines of a tube at rest; None where none are laid, rows differ in their count, or all the tube is
    as near a corner."""
    mesh = rest.mesh
    needles, short_f = rest.scene.floats.needles, at_corners(rest.contact.fabric)
    if needles is None or mesh.standing is not None or not short_f.any():
        return None
    column_k = np.array(corners(mesh.stitches, needles), dtype=np.intp)
    row_r = np.unique(mesh.row_n[mesh.floats.node_f2[:, 0]][short_f])
    beside = _beside_others(rest, column_k, row_r)
    if beside is None:
        return None
    return CornerLine(column_k, int(short_f.sum()), row_r, int((taut(rest) & short_f).sum()), *beside)


def inside_out(rest: Equilibrium) -> Fabric:
    """Return the same tube with its floats carried as they are, but knitted inside out: longer, and round no
    corner."""
    fabric = rest.contact.fabric
    table, scene = fabric.mesh.floats, rest.scene
    kept_f = np.where(at_corners(fabric), 1.0 - scene.floats.corner_shorter, 1.0)
    carried_f = (1.0 + table.slack_f) / kept_f - 1.0
    return set_up(scene, "round", inside_out=True).with_slack_of(carried_f).with_stiffness(fabric.stiffness)


def turned_out(rest: Equilibrium, line: CornerLine, progress: Progress | None = None) -> TurnedOut:
    """Return what a tube with this ``line``, at ``rest``, would be if it were knitted inside out.

    Raises NoEquilibriumError if that finds no rest.
    """
    other = come_to_rest(inside_out(rest), progress=progress)
    beside = _beside_others(other, line.column_k, line.row_r)
    assert beside is not None  # it is of the same stitches
    return TurnedOut(measure(other), *beside)


def _beside_others(rest: Equilibrium, column_k: Ints, row_r: Ints) -> tuple[float, float] | None:
    """Return by what share stitches of these rows are narrower along the lines at these columns than off them, and how
    much further out (m) they stand; None where all or none are near one."""
    mesh = rest.mesh
    right_n = mesh.neighbour_n4[:, RIGHT]
    kept_n = (right_n >= 0) & np.isin(mesh.row_n, row_r)
    step_n = norms(rest.x_nc[right_n] - rest.x_nc)
    # The step on the right of column j crosses the corner of column j + 1.
    off_nk = (mesh.column_n[:, None] + 1 - column_k + mesh.stitches // 2) % mesh.stitches - mesh.stitches // 2
    near_n = (np.abs(off_nk) <= BESIDE).any(axis=1)
    if not (kept_n & near_n).any() or not (kept_n & ~near_n).any():
        return None
    height_n = pucker(rest).height_n
    narrower = 1.0 - float(step_n[kept_n & near_n].mean() / step_n[kept_n & ~near_n].mean())
    return narrower, float(height_n[kept_n & near_n].mean() - height_n[kept_n & ~near_n].mean())
