"""Places in the fabric: stitches and the whole periods by which they lie away."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Ints, Mask
from fabricsim.fabric.mesh import DOWN, LEFT, RIGHT, UP, Mesh


@dataclass(frozen=True, eq=False)
class Place:
    """Stitches and the periods by which they lie away: ``node_b`` (b,) int, -1 for none; ``shift_b2`` (b, 2) int."""

    node_b: Ints
    shift_b2: Ints

    @property
    def there_b(self) -> Mask:
        return self.node_b >= 0

    def step(self, mesh: Mesh, way: int) -> Place:
        """Return the neighbours on one side (LEFT, RIGHT, DOWN or UP)."""
        node_b = np.where(self.there_b, mesh.neighbour_n4[self.node_b, way], -1)
        return Place(node_b, self.shift_b2 + mesh.shift_n42[self.node_b, way])

    def or_else(self, other: Place) -> Place:
        """Return these places, with those of ``other`` standing in where there is none."""
        return Place(
            np.where(self.there_b, self.node_b, other.node_b),
            np.where(self.there_b[:, None], self.shift_b2, other.shift_b2),
        )

    def around(self, mesh: Mesh) -> list[Place]:
        """Return the neighbours left, right, down and up that make a normal; the stitch itself where one is missing."""
        return [self.step(mesh, way).or_else(self) for way in (LEFT, RIGHT, DOWN, UP)]


def all_stitches(mesh: Mesh) -> Place:
    """Return every stitch, in its own period."""
    count = len(mesh.rest_nc)
    return Place(np.arange(count), np.zeros((count, 2), dtype=np.intp))


def cells(mesh: Mesh) -> list[Place]:
    """Return the four corners of the cell up and right of every stitch; one of them is missing at an edge.

    Of shaped rows: those of every cell there is, two of them alike where it has but three.
    """
    if mesh.standing is not None:
        cell_s4 = mesh.standing.cell_s4
        still = np.zeros((len(cell_s4), 2), dtype=np.intp)
        return [Place(cell_s4[:, corner], still) for corner in range(4)]
    here = all_stitches(mesh)
    right, up = here.step(mesh, RIGHT), here.step(mesh, UP)
    return [here, right, up, right.step(mesh, UP)]


def whole(corners: list[Place]) -> Mask:
    """Return which of the cells have all their corners, (b,) bool."""
    return np.asarray(np.all([corner.there_b for corner in corners], axis=0))
