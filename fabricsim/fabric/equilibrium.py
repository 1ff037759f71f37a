"""A fabric at rest under its own floats: where every stitch lies and how hard every float pulls."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from fabricsim.arrays import ArrayRecord, Floats, Ints
from fabricsim.design.floats.found import Float
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.contact import Contact
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.solver.stopping import Status

if TYPE_CHECKING:
    from fabricsim.fabric.cell import Cut


@dataclass(frozen=True)
class Effort:
    """What it took to get there, all ramps together. ``status``: how the solver ended; ``steps``, ``factorisations``,
    ``evaluations`` of the energy; ``residual``: largest force left over the force scale; ``energy`` J;
    ``ramp_parts``: in how many parts the floats were let in."""

    status: Status
    steps: int
    factorisations: int
    evaluations: int
    residual: float
    energy: float
    ramp_parts: int

    def after(self, before: Effort) -> Effort:
        """Return the same with what was taken ``before`` counted in."""
        return replace(
            self,
            steps=before.steps + self.steps,
            factorisations=before.factorisations + self.factorisations,
            evaluations=before.evaluations + self.evaluations,
        )


@dataclass(frozen=True, eq=False, repr=False)
class Equilibrium(ArrayRecord):
    """What the solver found.

    ``scene``: what was relaxed; ``mesh``: its stitches before any float pulled; ``stiffness``: of the fabric;
    ``effort``: what the solve took; ``floats``: as counted, in the order of all arrays (f,);
    ``x_nc`` (n, 3) float, m: the stitches; ``normal_nc`` (n, 3) float: unit normals out of the face;
    ``period_a`` (2,) float, m: width and height of the cell in the ``repeat`` case, else None;
    ``chord_f`` (f,) float, m: straight distance between the two ends of each float, half a thickness behind
    the stitches; ``way_f`` (f,) float, m: its way, longer where stitches bulge in the way; ``pressed`` (f): on which of
    the stitches that it passes it lies there, from 1 to its gap, left to right; ``tension_f`` (f,) float, N: pull of
    each float, 0 where it is slack; ``touching``: numbers of the stitches where the fabric presses on itself;
    ``contact``: what was in contact on the way, with its energy, to start a like fabric from; of the part that was
    ``solved`` where that is not all (a ``repeat`` typed over and over, or seen as a tile of several), which ``cut``
    took; ``start``: which way in led here;
    ``painter`` makes the PNG that a notebook shows: the fabric knows nothing of pictures, so whoever does gives it one.
    """

    scene: Scene
    floats: tuple[Float, ...]
    mesh: Mesh
    x_nc: Floats
    normal_nc: Floats
    period_a: Floats | None
    chord_f: Floats
    way_f: Floats
    pressed: tuple[tuple[int, ...], ...]
    tension_f: Floats
    touching: Ints
    stiffness: Stiffness
    effort: Effort
    contact: Contact = field(compare=False)
    painter: Callable[[Equilibrium], bytes] | None = field(default=None, compare=False)
    solved: Equilibrium | None = field(default=None, compare=False)
    cut: Cut | None = field(default=None, compare=False)
    start: str = field(default="plain fabric", compare=False)

    def __repr__(self) -> str:
        mesh = self.mesh
        size = f"{mesh.rows} rows of {mesh.stitches} stitches, {len(self.floats)} floats"
        return f"<Equilibrium of {self.scene.title!r}: {mesh.case}, {size}>"

    def _repr_png_(self) -> bytes | None:
        """Return what a notebook shows, if there is anyone to paint it."""
        return None if self.painter is None else self.painter(self)

    @property
    def repeats(self) -> tuple[int, int]:
        """How many times the chart lies here, across and up: more than once where a wave of several repeats needs
        it."""
        if self.cut is None:
            return 1, 1
        rows, stitches = len(self.scene.chart_rows()), self.scene.stitches_per_repeat
        return max(1, self.mesh.stitches // stitches), max(1, self.mesh.rows // rows)

    @property
    def state(self) -> State:
        """The unknowns of the mechanics, to start a like fabric from."""
        return State(self.x_nc, self.period_a)
