"""A repeat pulled across or up, as a strip of fabric is in a strip test: held at a size, or by a dead load.

The cell is held at its new size along the pull and free the other way, so the fabric narrows as it likes: far from the
clamps and the cut edges of a strip. What holds it pulls with the derivative of the energy by that size; as in a strip
test the load is that force over the width that the strip had before it was pulled, under its own floats.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np

from fabricsim.errors import InputError
from fabricsim.fabric.build import drawn_out
from fabricsim.fabric.cell import copied
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.mesh import FloatTable, Grip, build_mesh
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric
from fabricsim.units import CM

Along = Literal["across", "up"]
"""Which way a fabric is pulled: along its rows, or along its wales."""
AXIS: dict[Along, int] = {"across": 0, "up": 1}

PRETENSION = 0.5
"""N/m: what strips of knitted fabric are pulled with before their stretch is counted (EN ISO 20932-1:2020)."""
STRIP = 5 * CM
"""Width (m) of a strip, for loads in words (EN ISO 20932-1 cuts strips of 5 cm, memory)."""


def stretched(
    fabric: Fabric,
    along: Along,
    strain: float,
    start: Equilibrium | None = None,
    progress: Progress | None = None,
) -> Equilibrium:
    """Return a ``repeat`` held at (1 + ``strain``) times its size at rest under its floats, the other way free.

    ``start``: a rest of it, pulled or not, to start from, so that it need not be let come to rest first; one of another
    stiffness or slack only saves time. Raises InputError for another case or nothing left, NoEquilibriumError if it
    finds no rest.
    """
    if not -1.0 < strain < float("inf"):
        raise InputError(f"{fabric.where}: stretch", f"{strain:g}", "a share above -1", "0.1 is 10 % longer")
    fabric, begin, relaxed = _begun(fabric, start, progress)
    axis = AXIS[along]
    size = (1.0 + strain) * relaxed[axis]
    pulled_out = drawn_out(begin.state, axis, size)
    begin = replace(begin, x_nc=pulled_out.x_nc, period_a=pulled_out.period_a)
    return come_to_rest(_gripped(fabric, Grip(axis, relaxed, size=size)), begin, progress)


def pulled(
    fabric: Fabric,
    along: Along,
    load: float,
    start: Equilibrium | None = None,
    progress: Progress | None = None,
) -> Equilibrium:
    """Return a ``repeat`` under a dead ``load``, N per m of the width it had at rest; ``start`` and errors as above."""
    fabric, begin, relaxed = _begun(fabric, start, progress)
    return come_to_rest(_gripped(fabric, Grip(AXIS[along], relaxed, load=load)), begin, progress)


def load_of(equilibrium: Equilibrium, along: Along) -> float:
    """Return what a ``repeat`` pulls with along a direction, N per m of the width it had at rest before it was pulled.

    The derivative of the energy by the size of its cell, which holds to the solver's tolerance; nought where it is
    free. A dead load is none of the energy here: the fabric carries it.
    """
    equilibrium = equilibrium.solved or equilibrium
    assert equilibrium.period_a is not None
    axis, grip = AXIS[along], equilibrium.mesh.grip
    energy = equilibrium.contact.energy
    force = float(energy.forces(energy.free(equilibrium.state))[equilibrium.x_nc.size + axis])
    if grip is not None and grip.axis == axis:
        force += grip.force
    return force / relaxed_of(equilibrium)[1 - axis]


def strain_of(equilibrium: Equilibrium, along: Along) -> float:
    """Return how much longer a ``repeat`` is than at rest before it was pulled, a share."""
    assert equilibrium.period_a is not None
    axis = AXIS[along]
    return float(equilibrium.period_a[axis]) / relaxed_of(equilibrium)[axis] - 1.0


def relaxed_of(equilibrium: Equilibrium) -> tuple[float, float]:
    """Return width and height (m) of the cell of a ``repeat`` at rest under its floats before it was pulled."""
    if equilibrium.mesh.grip is not None:
        return equilibrium.mesh.grip.relaxed
    assert equilibrium.period_a is not None
    return float(equilibrium.period_a[0]), float(equilibrium.period_a[1])


def without_floats(fabric: Fabric) -> Fabric:
    """Return plain fabric of the same gauge and stiffness: one stitch, over and over, as it is all alike."""
    mesh = fabric.mesh
    plain = build_mesh(
        np.zeros((1, 1), dtype=np.intp),
        (),
        "repeat",
        stitch_width=mesh.stitch_width,
        row_height=mesh.row_height,
        thickness=mesh.thickness,
    )
    return replace(fabric, floats=(), mesh=plain)


def _gripped(fabric: Fabric, grip: Grip | None) -> Fabric:
    return replace(fabric, mesh=replace(fabric.mesh, grip=grip))


def _begun(
    fabric: Fabric, start: Equilibrium | None, progress: Progress | None
) -> tuple[Fabric, Equilibrium, tuple[float, float]]:
    """Return ``fabric``, as often as its rest needs it, an equilibrium of it to start from, and its sizes at rest
    before it was pulled."""
    if fabric.mesh.case != "repeat":
        raise InputError(
            f"{fabric.where}: case", f"'{fabric.mesh.case}'", "repeat", "only an endless repeat is pulled: take that"
        )
    if start is not None:
        fabric = copied(fabric, start.mesh.rows, start.mesh.stitches)
    if start is None or not _is_of(start, fabric):
        start = come_to_rest(_gripped(fabric, None), start, progress)
    return fabric, start, relaxed_of(start)


def _is_of(start: Equilibrium, fabric: Fabric) -> bool:
    """Return whether ``start`` is a rest of this very ``fabric``, pulled or not."""
    one, other = start.mesh, fabric.mesh
    return (
        start.stiffness == fabric.stiffness
        and one.rest_nc.shape == other.rest_nc.shape
        and np.array_equal(one.rest_nc, other.rest_nc)
        and _same_floats(one.floats, other.floats)
    )


def _same_floats(one: FloatTable, other: FloatTable) -> bool:
    return (
        np.array_equal(one.node_f2, other.node_f2)
        and np.array_equal(one.shift_f2, other.shift_f2)
        and np.array_equal(one.length_f, other.length_f)
    )
