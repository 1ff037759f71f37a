"""From a mesh and a stiffness to the energy that is minimised: bars, cells, bends and floats as index arrays."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask
from fabricsim.fabric.bars import bars_of
from fabricsim.fabric.edges import curls
from fabricsim.fabric.mesh import DOWN, LEFT, RIGHT, UP, Mesh
from fabricsim.fabric.places import Place, all_stitches, cells, whole
from fabricsim.fabric.shaped_terms import shaped_terms
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.energies.bend import Curvature
from fabricsim.mechanics.energies.coupling import StrainProduct
from fabricsim.mechanics.energies.height import Height
from fabricsim.mechanics.energies.tie import AnchoredDistance
from fabricsim.mechanics.energies.twist import Twist
from fabricsim.mechanics.laws import Elastic, Floor, Knitted, Law, Proportional, Taut
from fabricsim.mechanics.terms import Geometry, Term
from fabricsim.units import GRAVITY

TABLE_SINK = 0.005
"""How far plain fabric sinks into the table under its own weight, in thicknesses: a hard table, yet soft enough for the
solver (chosen; 0.01 mm for worsted)."""

FLOAT = "float"
"""The name of the term that holds the floats."""


def _term(
    mesh: Mesh, name: str, geometry: Geometry, points: list[Place], keep_b: Mask, law_at_rest: Callable[[Floats], Law]
) -> Term:
    """Return the term over the elements kept; its law is made of the measures at rest, which so cost no energy."""
    node_bp = np.stack([p.node_b for p in points], axis=1)[keep_b]
    shift_bpa = np.stack([p.shift_b2 for p in points], axis=1)[keep_b]
    blank = Term(name, geometry, Proportional(0.0), node_bp, shift_bpa)
    return replace(blank, law=law_at_rest(blank.measures(mesh.rest_nc, mesh.period_a)))


def fabric_terms(mesh: Mesh, stiffness: Stiffness, where: str) -> list[Term]:
    """Return the terms of the knitted fabric itself, at rest in the mesh's rest positions.

    Along a free edge a bar belongs to one cell and a bend to half a width: they count half.
    Raises InputError, naming ``where``, if the stiffness is not positive definite.
    """
    if mesh.standing is not None:
        return shaped_terms(mesh, stiffness, where)
    w, c = mesh.stitch_width, mesh.row_height
    bars = bars_of(stiffness, w, c, where)
    here = all_stitches(mesh)
    left, right, down, up = (here.step(mesh, way) for way in (LEFT, RIGHT, DOWN, UP))
    cell = cells(mesh)
    corner = cell[-1]
    terms = []
    sized = partial(_sized, mesh)
    for name, ahead, sides, k, part, lock in (
        ("course", right, (DOWN, UP), bars.course, bars.course_part, stiffness.lock_across),
        ("wale", up, (LEFT, RIGHT), bars.wale, bars.wale_part, stiffness.lock_up),
    ):
        keep_b = ahead.there_b
        # A side counts if the cell on it is whole: both ends of the bar have a neighbour there.
        celled = [here.step(mesh, side).there_b & ahead.step(mesh, side).there_b for side in sides]
        share_b = (0.5 * np.sum(celled, axis=0))[keep_b]
        lock_ratio, jam_ratio = (1.0 + part * (ratio - 1.0) for ratio in (stiffness.lock_ratio, stiffness.jam_ratio))
        law = partial(_knitted, share_b * k, lock, (lock_ratio, stiffness.jam, jam_ratio))
        terms.append(_term(mesh, name, Distance(), [here, ahead], keep_b, sized([here, ahead], keep_b, law)))
    whole_b = whole(cell)
    for name, start, end in (("shear right", here, corner), ("shear left", right, up)):
        law_at_rest = sized([start, end], whole_b, partial(Elastic, bars.diagonal))
        terms.append(_term(mesh, name, Distance(), [start, end], whole_b, law_at_rest))
    times = 1.0 if mesh.needle_i is None else _times(mesh, cell, whole_b)
    coupled = StrainProduct(times * _mean_length(terms[0], mesh), times * _mean_length(terms[1], mesh))
    factor = bars.coupling * w * c * times**2  # as the bars', so that all together stay positive definite
    terms.append(_term(mesh, "coupling", coupled, cell, whole_b, lambda _: Proportional(factor)))
    twisted = Twist(w * c)
    terms.append(_term(mesh, "twist", twisted, cell, whole_b, lambda s_b: Elastic(2.0 * stiffness.twist * w * c, s_b)))
    across_n, up_n = curls(mesh, stiffness)
    for name, points, geometry, rigidity, curl_n in (
        ("bend across", (left, right, down, up), Curvature(w), stiffness.bend_across, across_n),
        ("bend up", (down, up, left, right), Curvature(c, flip=True), stiffness.bend_up, up_n),
    ):
        before, after, one_side, other_side = points
        keep_b = before.there_b & after.there_b & (one_side.there_b | other_side.there_b)
        share_b = (0.5 * (1.0 * one_side.there_b + 1.0 * other_side.there_b))[keep_b]
        line = [before, here, after, one_side.or_else(here), other_side.or_else(here)]
        law = partial(_curled, rigidity * w * c * share_b, curl_n[keep_b])
        terms.append(_term(mesh, name, geometry, line, keep_b, law))
    return terms


def _times(mesh: Mesh, points: list[Place], keep_b: Mask) -> Floats:
    """Return how many times as large each element kept is for the needles of its rows, the mean over its stitches."""
    assert mesh.needle_i is not None
    row_bp = np.stack([mesh.row_n[one.node_b] for one in points], axis=1)[keep_b]
    return np.asarray(mesh.needle_i[row_bp].mean(axis=1))


def _sized(
    mesh: Mesh, points: list[Place], keep_b: Mask, law_at_rest: Callable[[Floats], Law]
) -> Callable[[Floats], Law]:
    """Return a law that rests where the needles of each row have it."""
    if mesh.needle_i is None:
        return law_at_rest
    times_b = _times(mesh, points, keep_b)
    return lambda rest_b: law_at_rest(times_b * rest_b)


def _knitted(k: Floats, lock: float, ratios: tuple[float, float, float], rest: Floats) -> Law:
    lock_ratio, jam, jam_ratio = ratios
    return Knitted(k, rest, lock, lock_ratio, jam, jam_ratio)


def _curled(stiffness: Floats, curl: Floats, rest: Floats) -> Law:
    return Elastic(stiffness, rest + curl)


def _mean_length(bars: Term, mesh: Mesh) -> float:
    """Rest length of the bars of a uniform mesh, m."""
    return float(bars.measures(mesh.rest_nc, mesh.period_a).mean())


def float_term(mesh: Mesh, stiffness: Stiffness, straight_f: Mask | None = None) -> Term:
    """Return the term of all floats: each a tie that only pulls, between anchors half a thickness behind its stitches.

    Its stiffness is ``float_ratio`` times that of the strip of fabric, one row high, that it bridges. ``straight_f``
    (f,) leaves out those that are not to be straight.
    """
    ties = mesh.floats
    kept_f = np.ones(len(ties), dtype=bool) if straight_f is None else straight_f
    start = Place(ties.node_f2[:, 0], np.zeros_like(ties.shift_f2))
    end = Place(ties.node_f2[:, 1], ties.shift_f2)
    points = [start, *start.around(mesh), end, *end.around(mesh)]
    geometry = AnchoredDistance(0.5 * mesh.thickness)
    return _term(mesh, FLOAT, geometry, points, kept_f, lambda _: float_law(mesh, stiffness, np.flatnonzero(kept_f)))


def float_law(mesh: Mesh, stiffness: Stiffness, float_b: Ints) -> Taut:
    """Return the law of some of the floats: near-inextensible yarn."""
    strip = stiffness.stretch_across * mesh.row_height / mesh.floats.span_f[float_b]
    return Taut(stiffness.float_ratio * strip, mesh.floats.length_f[float_b])


def table_terms(mesh: Mesh, stiffness: Stiffness) -> list[Term]:
    """Return weight and table of a fabric lying face up, mid-plane half a thickness above the table top at z = 0."""
    weight = stiffness.areal_mass * mesh.stitch_width * mesh.row_height * GRAVITY
    node_bp = np.arange(len(mesh.rest_nc))[:, None]
    push = weight / (TABLE_SINK * mesh.thickness)
    return [
        Term("weight", Height(), Proportional(weight), node_bp),
        Term("table", Height(), Floor(push, 0.5 * mesh.thickness), node_bp),
    ]


def load_terms(mesh: Mesh) -> list[Term]:
    """Return the dead load on a cell that is pulled by one: -F L, by a line from a stitch to itself a cell further."""
    if mesh.grip is None or mesh.grip.size is not None:
        return []
    shift_bpa = np.zeros((1, 2, 2), dtype=np.intp)
    shift_bpa[0, 1, mesh.grip.axis] = 1
    return [Term("load", Distance(), Proportional(-mesh.grip.force), np.zeros((1, 2), dtype=np.intp), shift_bpa)]


def start_of(mesh: Mesh) -> State:
    """Return the rest state: plain fabric as it lies, on the table sunk in by just its own weight; pulled to the size
    at which it is held, if it is."""
    x_nc = mesh.rest_nc.copy()
    if mesh.case == "swatch":
        x_nc[:, 2] = (0.5 - TABLE_SINK) * mesh.thickness
    if mesh.grip is None or mesh.grip.size is None or mesh.period_a is None:
        return State(x_nc, mesh.period_a)
    return drawn_out(State(x_nc, mesh.period_a), mesh.grip.axis, mesh.grip.size)


def drawn_out(state: State, axis: int, size: float) -> State:
    """Return a periodic ``state`` drawn out evenly along an ``axis`` until its cell is ``size`` (m) long."""
    assert state.period_a is not None
    x_nc, period_a = state.x_nc.copy(), state.period_a.copy()
    x_nc[:, axis] *= size / period_a[axis]
    period_a[axis] = size
    return State(x_nc, period_a)


def held_unknowns(mesh: Mesh) -> list[int]:
    """Return the unknowns to hold so that the fabric can't move as a whole: statically determinate, so without
    force."""
    far = mesh.stitches - 1
    if mesh.case == "repeat":
        held = [0, 1, 2]  # no shifting; turning is ruled out by the axes of the cell
        if mesh.grip is not None and mesh.grip.size is not None:
            held.append(mesh.rest_nc.size + mesh.grip.axis)
        return held
    if mesh.case == "swatch":
        return [0, 1, 3 * far + 1]  # slide and spin; the table holds the rest
    opposite, aside = mesh.stitches // 2, 3 * mesh.stitches // 4  # three different ones, of 3 stitches too
    # The one opposite lies along x from stitch 0: free to come nearer, not to swing; the third stops the last turn.
    return [0, 1, 2, 3 * opposite + 1, 3 * opposite + 2, 3 * aside + 1]


def fabric_energy(mesh: Mesh, stiffness: Stiffness, where: str) -> Energy:
    """Return the energy of a mesh: the fabric, its floats, and for a swatch its weight and the table.

    Floats are straight and nothing minds what it meets; see ``contact`` for what comes on top where they aren't and do.
    """
    return assemble(
        [*cloth_terms(mesh, stiffness, where), float_term(mesh, stiffness)], start_of(mesh), held_unknowns(mesh)
    )


def cloth_terms(mesh: Mesh, stiffness: Stiffness, where: str) -> list[Term]:
    """Return everything but the floats: the knitted fabric, for a swatch its weight and the table, and any load."""
    terms = [*fabric_terms(mesh, stiffness, where), *load_terms(mesh)]
    return [*terms, *table_terms(mesh, stiffness)] if mesh.case == "swatch" else terms
