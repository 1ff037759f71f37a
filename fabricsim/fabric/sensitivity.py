"""How width and pucker of a fabric at rest change with the slack of each of its floats, by the adjoint.

Widths are those of ``measures``, pucker its root mean square: peak to valley hangs on two stitches alone. Contacts and
taut floats are taken as they are.

What a float costs is its share in the loss of width. While floats are taut and the fabric gives way in proportion, the
loss is of first degree in how short the floats are against plain fabric, so it is the sum of slope times shortness over
all of them (Euler's theorem on such functions): no float's share depends on the order in which they are looked at.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from fabricsim.arrays import ArrayRecord, Floats
from fabricsim.fabric.build import float_term
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import FLAT_TO, girth, pucker, stranded_rows
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.ties import Ties, ties_of
from fabricsim.mechanics.pattern import padded
from fabricsim.mechanics.solver.response import Response
from fabricsim.mechanics.terms import AXES

ROUND_AXES = np.array([0, 2])
"""Components in the plane of a round of a tube, whose axis is y."""


@dataclass(frozen=True, eq=False, repr=False)
class Sensitivity(ArrayRecord):
    """Of a ``rest`` that was solved: by how much each measure changes for every unit of slack more in each float.

    ``loss_f`` (f,): share of the width lost, overall; ``loss_if`` (rows, f): of each row; ``rough_f`` (f,) m: pucker,
    root mean square. ``cost_f`` (f,): share of the width that each float costs. ``yield_fm`` (unknowns, m): how far the
    unknowns give way to the slope of each measure: overall loss, loss of every row, pucker.
    """

    rest: Equilibrium
    loss_f: Floats
    loss_if: Floats
    rough_f: Floats
    cost_f: Floats
    ties: Ties
    response: Response
    yield_fm: Floats


def sensitivity(rest: Equilibrium) -> Sensitivity:
    """Return how the measures of a fabric at rest change with its floats.

    Of an endless fabric what was solved of it: the floats are those of ``rest.solved``. Raises NoEquilibriumError where
    it rests on the verge of another shape.
    """
    solved = rest.solved or rest
    contact, mesh = solved.contact, solved.mesh
    energy, table = contact.energy, mesh.floats
    response = Response.of(energy, energy.free(solved.state))
    slope_fm = _slopes(solved, energy.pattern.free_f)
    yield_fm = response.moves(slope_fm)
    ties = ties_of(mesh, solved.stiffness, solved.state, energy.pattern.free_f, contact.wrapped_f)
    # More yarn lets a taut float pull less: its force on the unknowns changes by stiffness x slope a metre.
    pull_f = np.where(ties.over_f > 0.0, ties.stiffness_f, 0.0)
    by_yarn_mf = (pull_f[:, None] * (ties.slope @ yield_fm)).T
    by_slack_mf = by_yarn_mf * (table.length_f / (1.0 + table.slack_f))
    plain_f = float_term(mesh, solved.stiffness).measures(mesh.rest_nc, mesh.period_a)
    if mesh.needle_i is not None:
        plain_f = plain_f * mesh.needle_i[mesh.row_n[table.node_f2[:, 0]]]
    return Sensitivity(
        rest=solved,
        loss_f=by_slack_mf[0],
        loss_if=by_slack_mf[1:-1],
        rough_f=by_slack_mf[-1],
        cost_f=by_yarn_mf[0] * (table.length_f - plain_f),
        ties=ties,
        response=response,
        yield_fm=yield_fm,
    )


def _slopes(rest: Equilibrium, free_f: np.ndarray) -> Floats:
    """Return how each measure changes with the unknowns (unknowns, m): overall loss, the loss of each row, pucker."""
    mesh = rest.mesh
    places = len(mesh.rest_nc) + (0 if mesh.period_a is None else 2)
    by_place = np.zeros((mesh.rows + 2, places, AXES))
    if mesh.period_a is not None:
        by_place[:-1, len(mesh.rest_nc), 0] = -1.0 / mesh.period_a[0]
    else:
        for row in range(mesh.rows):
            by_place[1 + row, : len(mesh.rest_nc)] = _row_slope(mesh, row, rest.x_nc)
        by_place[0] = by_place[1:-1][stranded_rows(mesh)].mean(axis=0)
    by_place[-1, : len(mesh.rest_nc)] = _rough_slope(rest)
    flat = by_place.reshape(mesh.rows + 2, -1)
    return np.ascontiguousarray(flat[:, padded(free_f, len(mesh.rest_nc))].T)


def _row_slope(mesh: Mesh, row: int, x_nc: Floats) -> Floats:
    """Return how the share lost by a row changes with where its stitches lie, (n, 3) 1/m."""
    slope_nc = np.zeros_like(x_nc)
    here = np.flatnonzero(mesh.row_n == row)
    if mesh.case == "round":
        slope_nc[np.ix_(here, ROUND_AXES)] = _girth_slope(x_nc[np.ix_(here, ROUND_AXES)])
        plain = girth(mesh.rest_nc[np.ix_(here, ROUND_AXES)])
    else:
        across = x_nc[here, 0]
        slope_nc[here[across.argmax()], 0] += 1.0
        slope_nc[here[across.argmin()], 0] -= 1.0
        plain = float(np.ptp(mesh.rest_nc[here, 0]))
    return -slope_nc / plain


def _girth_slope(x_c2: Floats) -> Floats:
    """Return how the perimeter of the convex hull changes with its points, (p, 2)."""
    slope_c2 = np.zeros_like(x_c2)
    try:
        ring = ConvexHull(x_c2).vertices
    except QhullError:  # all on one line: nothing small can be said of its girth
        return slope_c2
    step_c2 = np.roll(x_c2[ring], -1, axis=0) - x_c2[ring]
    step_c2 /= np.linalg.norm(step_c2, axis=1, keepdims=True)
    slope_c2[ring] = np.roll(step_c2, 1, axis=0) - step_c2
    return slope_c2


def _rough_slope(rest: Equilibrium) -> Floats:
    """Return how pucker, root mean square, changes with where the stitches lie, (n, 3); none of it where it is flat.

    Heights are what is left of coordinates after a projection, which leaves them as they are: so h / (n rms) is the
    slope by the coordinates themselves.
    """
    mesh, slope_nc = rest.mesh, np.zeros_like(rest.x_nc)
    found = pucker(rest)
    if found.rms < FLAT_TO:
        return slope_nc
    by_height_n = found.height_n / (len(found.height_n) * found.rms)
    if mesh.case != "round":
        slope_nc[:, 2] = by_height_n
        return slope_nc
    for row in range(mesh.rows):
        here = np.flatnonzero(mesh.row_n == row)
        out_n2 = rest.x_nc[np.ix_(here, ROUND_AXES)]
        out_n2 = out_n2 - out_n2.mean(axis=0)
        pull_n2 = by_height_n[here, None] * out_n2 / np.linalg.norm(out_n2, axis=1, keepdims=True)
        slope_nc[np.ix_(here, ROUND_AXES)] = pull_n2 - pull_n2.mean(axis=0)
    return slope_nc
