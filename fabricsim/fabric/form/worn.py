"""What is measured of a tube on a form: pure functions of where it rests."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import NULL, ArrayRecord, Floats, Mask, cross, norms
from fabricsim.fabric.form.wearing import Resting
from fabricsim.fabric.measures import girths, taut
from fabricsim.fabric.places import all_stitches


@dataclass(frozen=True, eq=False, repr=False)
class WornFit(ArrayRecord):
    """A tube on a form, round by round from below, (rows,).

    ``girth_i`` m; ``stretch_i``: share by which each round is wider than off the form; ``pressure_i`` Pa, the mean of
    each round, 0 where it doesn't touch; ``taut``: how many floats pull, ``greatest`` N the hardest.
    """

    girth_i: Floats
    stretch_i: Floats
    pressure_i: Floats
    taut: int
    greatest: float

    @property
    def pressure(self) -> float:
        """The mean pressure where it touches, Pa."""
        return float(self.pressure_i[self.touching_i].mean()) if self.touching_i.any() else 0.0

    @property
    def touching_i(self) -> Mask:
        """Which rounds touch, (rows,) bool."""
        return self.pressure_i > 0.0

    @property
    def hardest(self) -> int:
        """The round that presses hardest, from below, counted from 0."""
        return int(self.pressure_i.argmax())


def areas(resting: Resting) -> Floats:
    """Return the area (n,) m2 of the fabric that belongs to each stitch, as it lies: at an edge, where the mesh
    has half a stitch, half."""
    rest = resting.equilibrium
    left, right, down, up = (rest.x_nc[p.node_b] for p in all_stitches(rest.mesh).around(rest.mesh))
    return np.asarray(0.25 * norms(cross(right - left, up - down)))


def worn_fit(resting: Resting, off_girth_i: Floats) -> WornFit:
    """Return what a tube on a form measures; ``off_girth_i`` (rows,) m: its girth off it."""
    rest = resting.equilibrium
    mesh = rest.mesh
    girth_i = girths(mesh, rest.x_nc)
    push_i, area_i = (np.bincount(mesh.row_n, value_n, mesh.rows) for value_n in (resting.push_n, areas(resting)))
    return WornFit(
        girth_i=girth_i,
        stretch_i=np.where(off_girth_i > 0.0, girth_i / np.maximum(off_girth_i, NULL) - 1.0, 0.0),
        pressure_i=push_i / area_i,
        taut=int(taut(rest).sum()),
        greatest=float(rest.tension_f.max(initial=0.0)),
    )
