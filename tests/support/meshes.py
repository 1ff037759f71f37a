"""Small meshes from charts of our own invention, with floats counted as everywhere else in the program."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fabricsim.arrays import Floats, Ints
from fabricsim.design.floats.found import find_floats
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.build import fabric_energy
from fabricsim.fabric.mesh import CLOSING, Mesh, build_mesh
from fabricsim.fabric.stiffness import Stiffness, default_stiffness
from fabricsim.mechanics.assemble import Energy, State
from fabricsim.mechanics.solver.minimise import Minimum, minimise
from fabricsim.mechanics.solver.stopping import Status, Stopping

GAUGE = (19.0, 25.5, 500.0)
"""Stitches and rows per 10 cm, and tex: the worsted anchor of the defaults."""
WIDTH, HEIGHT = 0.1 / GAUGE[0], 0.1 / GAUGE[1]
WORSTED = replace(default_stiffness(*GAUGE), poisson_across=0.35, shear=6.0)
"""As the defaults, but for a narrowing and a shear so small that closed forms of beams, tubes and strips, which know
neither, are near; and that any Poisson ratio below 0.7 keeps it positive definite."""
PLAIN_3_BY_4 = ("....",) * 3

TIGHT_ROWS = (
    ".....#",
    "..#..#",
    "......",
    "#..#..",
)
"""Gaps of 1, 2 and 4, in one row of no floats and three of some: lopsided, so that a mirror image differs."""


def grid_of(rows: Sequence[str]) -> Ints:
    """Return the chart drawn as printed (row 1 at the bottom) as yarn numbers, row 0 at the bottom."""
    return np.array([[".#o".index(s) for s in row] for row in reversed(rows)], dtype=np.intp)


def mesh_of(
    rows: Sequence[str],
    case: Case,
    slack: float | Sequence[float] = 0.0,
    *,
    width: float = WIDTH,
    height: float = HEIGHT,
    thickness: float = WORSTED.thickness,
    inside_out: bool = False,
) -> Mesh:
    """Return the mesh of a drawn chart with this slack, one for all yarns or one each."""
    grid_ij = grid_of(rows)
    by_yarn = list(slack) if isinstance(slack, Sequence) else [slack] * int(grid_ij.max() + 1)
    floats = find_floats(grid_ij, closing=CLOSING[case], stitch_width=width, slack_by_yarn=by_yarn)
    return build_mesh(
        grid_ij,
        floats,
        case,
        stitch_width=width,
        row_height=height,
        thickness=thickness,
        inside_out=inside_out,
    )


def closed_rings(mesh: Mesh) -> Mesh:
    """Return a tube of level rings instead of a spiral: each row closes on itself, as in closed forms."""
    node_ij = np.arange(mesh.rows * mesh.stitches).reshape(mesh.rows, mesh.stitches)
    neighbour_n4 = mesh.neighbour_n4.copy()
    neighbour_n4[:, 0], neighbour_n4[:, 1] = (np.roll(node_ij, by, axis=1).ravel() for by in (1, -1))
    for way, gone in ((2, node_ij[0]), (3, node_ij[-1])):
        neighbour_n4[:, way] = np.roll(node_ij, 1 if way == 2 else -1, axis=0).ravel()
        neighbour_n4[gone, way] = -1
    angle_n = 2.0 * np.pi * mesh.column_n / mesh.stitches
    radius = mesh.stitch_width / (2.0 * np.sin(np.pi / mesh.stitches))
    height_n = mesh.row_height * mesh.row_n
    rest_nc = np.column_stack([radius * np.sin(angle_n), height_n, radius * np.cos(angle_n)])
    return replace(mesh, rest_nc=rest_nc, neighbour_n4=neighbour_n4, shift_n42=np.zeros_like(mesh.shift_n42))


def shaken(energy: Energy, rng: np.random.Generator, noise: float) -> Floats:
    """Return the free unknowns of the start, each moved by noise (m); periods by a relative share of that."""
    start = energy.start
    moved = start.x_nc + noise * rng.normal(size=start.x_nc.shape)
    period_a = None if start.period_a is None else start.period_a + noise * rng.normal(size=2)
    return energy.free(State(moved, period_a))


def rest(energy: Energy, q_f: Floats | None = None, tolerance: float = 1e-10, steps: int = 200) -> Minimum:
    """Return the minimum from the start or from ``q_f``; the test fails if there is none.

    The default tolerance, 1e-10 N, is a hundred-millionth of a gram's weight, far below the float tensions
    looked at here, and a million times the round-off of a bar (15 N/m times 5e-3 m times 2e-16).
    """
    found = minimise(energy, energy.free(energy.start) if q_f is None else q_f, Stopping(tolerance, steps))
    assert found.status is Status.AT_REST, (found.status, found.residual)
    return found


def at_rest(mesh: Mesh, stiffness: Stiffness = WORSTED, tolerance: float = 1e-10) -> tuple[Energy, State, Minimum]:
    """Return a whole fabric's energy, its state at rest and how it was found."""
    energy = fabric_energy(mesh, stiffness, "test")
    found = rest(energy, tolerance=tolerance)
    return energy, energy.state(found.q_f), found
