"""Small dead loads on a piece of fabric, answered by the program's own solver, and cells split ever finer.

Loads are so small that the linear theory of the references holds; see ``answer_to``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.bars import bars_of
from fabricsim.fabric.build import fabric_terms
from fabricsim.fabric.mesh import Mesh, build_mesh
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.mechanics.assemble import State, assemble
from fabricsim.mechanics.energies.height import Height
from fabricsim.mechanics.laws import Response
from fabricsim.mechanics.terms import Term
from tests.support.meshes import WORSTED, rest

ROUND_OFF = 8.0 * float(np.finfo(float).eps)
"""Force left at rest, over the stiffest bar times the farthest coordinate: a place in floating point is no finer than
``eps`` times its size, and several bars meet at a stitch. One to two such units have been seen to be reached."""


@dataclass(frozen=True)
class DeadLoad:
    """U = -force (s - rest): a dead force (N) along s whose energy is counted from the place at rest (m).

    Counted from anywhere else its energy is a small difference of large terms, and the solver can't tell points near
    rest apart by it.
    """

    force: Floats
    rest: Floats

    def __call__(self, s_b: Floats) -> Response:
        return -self.force * (s_b - self.rest), -self.force, np.zeros_like(s_b)


def piece(case: Case, cells: tuple[int, int], size: tuple[float, float], split: int) -> Mesh:
    """Return plain fabric of a fixed size (m), ``cells`` across and up, every cell split ``split`` times both ways."""
    across, up = (split * n for n in cells)
    edge = 0 if case == "repeat" else 1  # between free edges stands one stitch more than there are cells
    return build_mesh(
        np.zeros((up + edge, across + edge), dtype=np.intp),
        (),
        case,
        stitch_width=size[0] / across,
        row_height=size[1] / up,
        thickness=WORSTED.thickness,
    )


def shares(mesh: Mesh) -> Floats:
    """Return the area (n,) m2 that belongs to each stitch of a piece: half a cell's along an edge, a quarter at a
    corner."""
    sides = (mesh.neighbour_n4 >= 0).reshape(-1, 2, 2).mean(axis=2)
    area_n: Floats = mesh.stitch_width * mesh.row_height * sides.prod(axis=1)
    return area_n


def answer_to(mesh: Mesh, stiffness: Stiffness, load_nc: Floats, held: Iterable[int]) -> Floats:
    """Return the linear answer (n, 3) m to dead forces ``load_nc`` (n, 3) N.

    Half the difference of what the load and its opposite do: whatever is of the second order in the load drops out,
    which leaves the third, a share of the order of the strain (or slope) squared.
    """
    fabric = fabric_terms(mesh, stiffness, "test")
    node_bp = np.arange(len(load_nc))[:, None]
    bars = bars_of(stiffness, mesh.stitch_width, mesh.row_height, "test")
    tolerance = ROUND_OFF * max(bars.course, bars.wale, bars.diagonal) * float(np.abs(mesh.rest_nc).max())
    loaded = [axis for axis in range(3) if load_nc[:, axis].any()]
    laws = {f"load {axis}": DeadLoad(load_nc[:, axis], mesh.rest_nc[:, axis]) for axis in loaded}
    loads = [
        Term(name, Height(np.eye(3)[axis]), law, node_bp)
        for axis, (name, law) in zip(loaded, laws.items(), strict=True)
    ]
    energy = assemble([*fabric, *loads], State(mesh.rest_nc, mesh.period_a), held)
    opposite = energy
    for name, law in laws.items():
        opposite = opposite.with_law(name, replace(law, force=-law.force))
    forth_nc, back_nc = (e.state(rest(e, tolerance=tolerance).q_f).x_nc for e in (energy, opposite))
    half: Floats = 0.5 * (forth_nc - back_nc)
    return half


def orders(error_m: Sequence[float] | Floats) -> Floats:
    """Return the observed orders log2(e_m / e_2m) of errors at splits 1, 2, 4 and so on."""
    size_m = np.abs(np.asarray(error_m))
    order_m: Floats = np.log2(size_m[:-1] / size_m[1:])
    return order_m


def extrapolated(value_m: Sequence[float]) -> float:
    """Return the limit of values at splits 1, 2, 4, .. by Richardson's rule for errors in even powers of the cell."""
    column, power = np.asarray(value_m, dtype=float), 4.0
    while len(column) > 1:
        column, power = column[1:] + np.diff(column) / (power - 1.0), 4.0 * power
    return float(column[0])
