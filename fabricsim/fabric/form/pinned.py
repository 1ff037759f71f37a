"""A flat piece pinned out on a board: its two sides held along a line each, as by blocking wires."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.build import TABLE_SINK
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.energies.clearance import AlongLine
from fabricsim.mechanics.laws import Elastic
from fabricsim.mechanics.terms import Term

PIN_RATIO = 100.0
"""Stiffness of the pins of one stitch over the stretch stiffness of the fabric (chosen: a row pulled a tenth wider
bends its pins by a thousandth of a stitch)."""


@dataclass(frozen=True, eq=False)
class Pinned:
    """The stitches of both sides of a flat piece held ``apart`` (m), flat on the board, free along its sides."""

    apart: float

    def terms(self, mesh: Mesh, stiffness: Stiffness) -> list[Term]:
        """Return what the pins do to the stitches of the sides."""
        node_b, k = sides(mesh), PIN_RATIO * stiffness.stretch_across
        right_b = mesh.column_n[node_b] > 0
        out_b = np.where(right_b, 0.5, -0.5) * self.apart
        flat_b = np.full(len(node_b), (0.5 - TABLE_SINK) * mesh.thickness)
        terms = []
        for name, axis, from_b in (("pins across", 0, out_b), ("pins down", 2, flat_b)):
            way_bc = np.zeros((len(node_b), 3))
            way_bc[:, axis] = 1.0
            terms.append(Term(name, AlongLine(way_bc), Elastic(k, from_b), node_b[:, None]))
        return terms

    def held(self) -> list[int]:
        """Return the unknowns to hold: along its sides nothing else keeps it, so without force."""
        return [1]

    def begins(self, start: State) -> State:
        """Return the start as it is: along its sides it is held where plain fabric lies."""
        return start

    def outside(self, x_nc: Floats) -> float:
        """Return that no stitch lies in it: a board is the table, which pushes back by itself."""
        return float("inf")

    @property
    def looked_at_every(self) -> float:
        """How far (m) a stitch may move between two looks: there is nothing to go through."""
        return float("inf")


def sides(mesh: Mesh) -> Ints:
    """Return the stitches at both sides of a flat piece, (b,) int."""
    return np.flatnonzero((mesh.column_n == 0) | (mesh.column_n == mesh.stitches - 1))


def pinned_out(fabric: Fabric, off: Equilibrium, width: float, progress: Progress | None = None) -> Equilibrium:
    """Return a flat piece, at rest ``off`` its pins, pinned out to a ``width`` (m), half a stitch of that beyond the
    stitches at either side.

    Raises NoEquilibriumError if it finds no rest.
    """
    mesh = fabric.mesh
    apart = width * (mesh.stitches - 1) / mesh.stitches
    x_nc = off.x_nc.copy()
    low, high = x_nc[:, 0].min(), x_nc[:, 0].max()
    x_nc[:, 0] = apart * ((x_nc[:, 0] - low) / (high - low) - 0.5)
    return come_to_rest(replace(fabric, placed=Pinned(apart)), State(x_nc), progress)
