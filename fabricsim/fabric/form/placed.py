"""What a form adds to the energy of the tube that is on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, unit
from fabricsim.fabric.form.shapes import Form
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.energies.clearance import AlongLine, Clearance
from fabricsim.mechanics.laws import Cushion, Dragged, Elastic
from fabricsim.mechanics.terms import Term

FORM_RATIO = 100.0
"""Stiffness of a form over the stretch stiffness of the fabric, for each stitch (chosen: fabric stretched by a tenth
over a head sinks in by a hundredth of its thickness)."""
SOFT = 0.01
"""Thicknesses over which the form's push comes up (chosen: a touch of the fuzz)."""
STICK_RATIO = 1.0
"""Stiffness along the form of a stitch that sticks, over the stretch stiffness of the fabric (chosen: it gives by less
than a tenth of a row)."""
GIVE = 0.1
"""Row heights over which friction comes up: what moves less counts as held (chosen)."""


@dataclass(frozen=True, eq=False)
class Drag:
    """Friction along the form: on each stitch up to ``force_n`` (n,) N, against its way from ``from_n`` (n,) m along
    ``way_nc`` (n, 3), unit vectors up the form. ``force_n`` None: every stitch sticks where it was laid."""

    way_nc: Floats
    from_n: Floats
    force_n: Floats | None = None


@dataclass(frozen=True, eq=False)
class Placed:
    """A ``form`` where the tube is on it, in the form's own heights, with stitch 0 laid at ``first_c`` (3,) m, the
    ``drag`` of friction, if there is any, and how ``hard`` the form is: its stiffness for each stitch over the stretch
    stiffness of the fabric."""

    form: Form
    first_c: Floats
    drag: Drag | None = None
    hard: float = FORM_RATIO

    def terms(self, mesh: Mesh, stiffness: Stiffness) -> list[Term]:
        """Return what the form does to every stitch."""
        every_bp = np.arange(len(mesh.rest_nc))[:, None]
        law = Cushion(self.hard * stiffness.stretch_across, 0.5 * mesh.thickness, SOFT * mesh.thickness)
        terms = [Term("form", Clearance(self.form.parts), law, every_bp)]
        if self.drag is not None:
            along, force_n = AlongLine(self.drag.way_nc), self.drag.force_n
            held = Elastic(STICK_RATIO * stiffness.stretch_across, self.drag.from_n)
            if force_n is None:
                terms.append(Term("friction", along, held, every_bp))
            else:
                give = GIVE * mesh.row_height
                terms.append(Term("friction", along, Dragged(force_n, self.drag.from_n, give), every_bp))
        return terms

    def outside(self, x_nc: Floats) -> float:
        """Return how far outside the form (m) the innermost stitch lies, negative inside."""
        return float(Clearance(self.form.parts).measure(x_nc[:, None], 0).s_b.min())

    @property
    def looked_at_every(self) -> float:
        """How far (m) a stitch may move between two looks so as not to have gone through the form."""
        return 0.5 * min(self.form.half_width, self.form.half_depth)

    def held(self) -> list[int]:
        """Return the unknowns to hold: what neither form nor friction along it keeps in place, so without force on a
        round form; on a flat one the tube is kept from creeping round it, as friction would."""
        # Stitch 0 is laid at z = 0 on the left: it turns along z and climbs along y.
        return [1, 2] if self.form.is_straight and self.drag is None else [2]

    def begins(self, start: State) -> State:
        """Return the ``start`` with stitch 0 where it is laid: held elsewhere it would be torn off those beside it."""
        x_nc = start.x_nc.copy()
        x_nc[0] = self.first_c
        return State(x_nc, start.period_a)


def up_the_form(form: Form, x_nc: Floats) -> Floats:
    """Return the unit vectors (n, 3) along the surface at stitches, straight up it, away from the row below."""
    out_nc = form.parts(x_nc)[1]
    out_nc = unit(out_nc)
    way_nc = np.array([0.0, 1.0, 0.0]) - out_nc[:, 1:2] * out_nc
    return unit(way_nc)  # right on its top there is no way up
