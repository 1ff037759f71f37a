"""Strips of fabric two stitches wide: the mesh's own bends and bars, loaded and held as closed forms want it.

A strip lies along x, flat, face up. Its Poisson ratio is nought (so it does not saddle) and it hardly
stretches.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fabricsim.arrays import Ints
from fabricsim.fabric.build import fabric_terms
from fabricsim.fabric.mesh import Mesh, build_mesh
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.mechanics.energies.height import Height
from fabricsim.mechanics.laws import Proportional
from fabricsim.mechanics.terms import Term
from tests.support.meshes import WORSTED

RIGIDITY = 5e-5
"""Bending rigidity put in, N.m: that of the worsted default across."""


def strip_mesh(elements: int, length: float) -> Mesh:
    """Return a strip of so many square cells, ``length`` (m) long."""
    h = length / elements
    grid_ij = np.zeros((2, elements + 1), dtype=np.intp)
    return build_mesh(grid_ij, (), "swatch", stitch_width=h, row_height=h, thickness=WORSTED.thickness)


def strip_stiffness(stretch: float, **changes: float) -> Stiffness:
    """Return the stiffness of a strip: ``stretch`` (N/m) should be far above its loads per width."""
    return replace(
        WORSTED,
        stretch_across=stretch,
        stretch_up=stretch,
        shear=0.1 * stretch,
        poisson_across=0.0,
        bend_across=RIGIDITY,
        bend_up=RIGIDITY,
        twist=RIGIDITY,
        **changes,
    )


def strip_terms(mesh: Mesh, stretch: float, **changes: float) -> list[Term]:
    return fabric_terms(mesh, strip_stiffness(stretch, **changes), "strip")


def column(mesh: Mesh, number: int) -> Ints:
    """Return the two nodes across the strip at one place along it."""
    return np.flatnonzero(mesh.column_n == number % mesh.stitches)


def coordinates(nodes: Ints, axes: str) -> list[int]:
    """Return the numbers of these nodes' unknowns along the axes named, such as ``"xz"``."""
    return [3 * int(n) + "xyz".index(a) for n in nodes for a in axes]


def clamp(mesh: Mesh) -> list[int]:
    """Return the unknowns to hold for a clamp at the left end.

    Two columns are held, so the strip's first bar can't turn. The turn at column 1 stands for the curvature
    from half an element before it to half an element after: the strip is clamped at the middle of that first
    bar, and its free length is that of all the bars less half of one.
    """
    return coordinates(np.concatenate([column(mesh, 0), column(mesh, 1)]), "xyz")


def free_length(mesh: Mesh) -> float:
    """Return the length of a clamped strip that can bend, m: see ``clamp``."""
    return (mesh.stitches - 1.5) * mesh.stitch_width


def dead_load(name: str, nodes: Ints, force: float, up_c: tuple[float, float, float]) -> Term:
    """Return the term of a dead force (N) on each node, against ``up_c``."""
    height = Height(np.array(up_c))
    return Term(name, height, Proportional(force), nodes[:, None])
