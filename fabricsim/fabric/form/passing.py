"""Whether a tube goes on: round by round, the widest that it must pass against the widest that it opens.

A round opens as far as its stitches and its floats let it: no stitch stretches farther than plain fabric does at hand,
and no stitches that a float bridges are together longer than its yarn, but for the little that stitches lend it. Both
are owned where sizes are counted, ``design/sizes/going_on.py``. How far that is, is a linear program.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from fabricsim.arrays import NULL, ArrayRecord, Floats, Ints
from fabricsim.design.sizes.going_on import BEYOND_SLACK, PLAIN_MOST
from fabricsim.fabric.form.laying import is_closed
from fabricsim.fabric.form.shapes import Form
from fabricsim.fabric.form.wearing import stitches_of
from fabricsim.fabric.mesh import Mesh


@dataclass(frozen=True, eq=False, repr=False)
class WayOn(ArrayRecord):
    """The way of a tube onto a form, round by round from below, (rows,) m: ``needed_i`` round the widest place that
    each must pass, 0 of a drawn-up top, ``opens_i`` how wide it opens at the most. ``first``: the round that goes
    first, its rim."""

    needed_i: Floats
    opens_i: Floats
    first: int

    @property
    def goes_on(self) -> bool:
        """Whether every round passes."""
        return bool((self.opens_i >= self.needed_i).all())

    @property
    def tightest(self) -> int:
        """The round that has least room to spare, or lacks most; of those alike the one that comes first."""
        spare_i = self.opens_i / np.maximum(self.needed_i, NULL)
        order = np.arange(len(spare_i)) if self.first == 0 else np.arange(len(spare_i))[::-1]
        return int(order[int(np.round(spare_i[order], 9).argmin())])


def way_on(mesh: Mesh, form: Form, x_nc: Floats) -> WayOn:
    """Return the way onto a ``form`` of a tube whose stitches lie at ``x_nc`` when it is on."""
    height_i = np.bincount(mesh.row_n, x_nc[:, 1], mesh.rows) / stitches_of(mesh)
    first = 0 if form.way == "above" else mesh.rows - 1
    # Round the outside of what fills it lies the middle of the fabric, half a thickness off.
    needed_i = form.to_pass(height_i) + np.pi * mesh.thickness
    if is_closed(mesh):
        needed_i[-1] = 0.0
    return WayOn(needed_i, opens(mesh), first)


def opens(mesh: Mesh, stretch: float = PLAIN_MOST, lent: float = BEYOND_SLACK) -> Floats:
    """Return the widest that every row opens, (rows,) m: each stitch by ``stretch`` at the most, no float longer than
    its yarn and what is ``lent`` to it, both shares."""
    table = mesh.floats
    widest_i = np.empty(mesh.rows)
    known: dict[bytes, float] = {}
    times_i = np.ones(mesh.rows) if mesh.needle_i is None else mesh.needle_i
    for row, stitches in enumerate(stitches_of(mesh).tolist()):
        float_r = np.flatnonzero(mesh.row_n[table.node_f2[:, 0]] == row)
        start_r, gap_r = mesh.column_n[table.node_f2[float_r, 0]], table.gap_f[float_r]
        most_r = table.length_f[float_r] * (1.0 + lent)
        key = (
            bytes(f"{stitches} {times_i[row]}", "ascii")
            + np.column_stack([start_r, gap_r, np.round(most_r, 9)]).tobytes()
        )
        if key not in known:
            under_b, column_b = _bridged(start_r, gap_r, stitches)
            widest = (1.0 + stretch) * mesh.stitch_width * times_i[row]
            bridges = csr_array((np.ones(len(under_b)), (under_b, column_b)), shape=(len(float_r), stitches))
            known[key] = _opens(bridges, most_r, widest) if len(float_r) else widest * stitches
        widest_i[row] = known[key]
    return widest_i


def _opens(bridges: csr_array, most_r: Floats, widest: float) -> float:
    """Return the greatest sum of steps, each at most ``widest``, those under each float together at most ``most_r``."""
    from scipy.optimize import linprog  # here: most commands need none of what it takes to load

    less_b = -np.ones(bridges.shape[1])
    return float(-linprog(less_b, A_ub=bridges, b_ub=most_r, bounds=(0.0, widest), method="highs").fun)  # type: ignore[call-overload]


def _bridged(start_r: Ints, gap_r: Ints, stitches: int) -> tuple[Ints, Ints]:
    """Return pairs of floats and the steps that they bridge, each from one stitch to the next on its right."""
    under_b = np.repeat(np.arange(len(start_r)), gap_r + 1)
    step_b = np.concatenate([np.arange(gap + 1) for gap in gap_r.tolist()] or [np.zeros(0, dtype=np.intp)])
    return under_b, (start_r[under_b] + step_b) % stitches
