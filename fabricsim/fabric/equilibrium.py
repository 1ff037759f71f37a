"""A fabric at rest under its own floats: where every stitch lies and how hard every float pulls."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import ClassVar

from fabricsim.arrays import Floats, Ints
from fabricsim.design.floats.found import Float
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.contact import Contact
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.stopping import Status


@dataclass(frozen=True)
class Effort:
    """What it took to get there, all ramps together. ``residual``: largest force left over the force scale; ``energy``
    J."""

    status: Status
    steps: int
    factorisations: int
    evaluations: int
    residual: float
    energy: float
    ramp_parts: int


@dataclass(frozen=True)
class Equilibrium:
    """What the solver found.

    ``floats``: as counted, in the order of all arrays (f,);
    ``x_nc`` (n, 3) float, m: the stitches; ``normal_nc`` (n, 3) float: unit normals out of the face;
    ``period_a`` (2,) float, m: width and height of the cell in the ``repeat`` case, else None;
    ``chord_f`` (f,) float, m: straight distance between the two ends of each float, half a thickness behind
    the stitches; ``way_f`` (f,) float, m: its way, longer where stitches bulge in the way; ``pressed`` (f): on which of
    the stitches that it passes it lies there, from 1 to its gap, left to right; ``tension_f`` (f,) float, N: pull of
    each float, 0 where it is slack; ``touching``: numbers of the stitches where the fabric presses on itself;
    ``contact``: what was in contact on the way, with its energy, to start a like fabric from.
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
    contact: Contact = field(repr=False, compare=False)

    painter: ClassVar[Callable[[Equilibrium], bytes] | None] = None
    """Makes PNG bytes of an equilibrium; set from above, as the fabric knows nothing of pictures."""

    def _repr_png_(self) -> bytes | None:
        """What a notebook shows."""
        return None if Equilibrium.painter is None else Equilibrium.painter(self)

    @property
    def state(self) -> State:
        """The unknowns of the mechanics, to start a like fabric from."""
        return State(self.x_nc, self.period_a)
