"""Floats as ties, one by one: how long each is where the fabric lies, and by which unknowns that changes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from scipy import sparse

from fabricsim.arrays import Floats, Ints, Mask
from fabricsim.fabric.behind import Tracks
from fabricsim.fabric.build import float_law, float_term
from fabricsim.fabric.mesh import FloatTable, Mesh
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.laws import Taut
from fabricsim.mechanics.pattern import padded
from fabricsim.mechanics.terms import AXES, PERIODS, Term, places, span_matrix


@dataclass(frozen=True, eq=False)
class Ties:
    """Floats where the fabric lies: the ``way_f`` (f,) m of each, its ``slope`` (f, unknowns), the ``yarn_f`` (f,) m in
    it and its ``stiffness_f`` (f,) N/m."""

    way_f: Floats
    slope: sparse.csr_array
    yarn_f: Floats
    stiffness_f: Floats

    @property
    def over_f(self) -> Floats:
        """How much longer the way is than the yarn, (f,) m; below nought where a float is slack."""
        return self.way_f - self.yarn_f

    @property
    def tension_f(self) -> Floats:
        """How hard each pulls, (f,) N."""
        return self.stiffness_f * np.maximum(self.over_f, 0.0)


def ties_of(mesh: Mesh, stiffness: Stiffness, state: State, free_f: Ints, wrapped_f: Mask | None = None) -> Ties:
    """Return the floats of a mesh in a ``state`` of it, by the unknowns ``free_f``.

    ``wrapped_f`` (f,): which go round what bulges in their way; by default those that would cut into it.
    """
    tracks = Tracks(mesh)
    round_f = tracks.at(state).bent_f if wrapped_f is None else wrapped_f
    count, periodic = len(mesh.floats), state.period_a is not None
    place_pc = places(state.x_nc, state.period_a)
    way_f = np.zeros(count)
    rows, slopes = [], []
    for number_b, term in _terms(mesh, stiffness, tracks, round_f):
        span = span_matrix(term, len(state.x_nc), periodic)
        found = term.geometry.measure(term.spans_of(span @ place_pc), 1)
        assert found.slope_bq is not None
        way_f[number_b] = found.s_b
        rows.append(number_b)
        slopes.append(_by_places(found.slope_bq, span))
    unknowns = AXES * (len(state.x_nc) + (PERIODS if periodic else 0))
    by_place = sparse.vstack(slopes).tocsr() if slopes else sparse.csr_array((0, unknowns))
    back = np.argsort(np.concatenate(rows)) if rows else np.arange(0)
    slope = sparse.csr_array(by_place[back][:, padded(free_f, len(state.x_nc))])
    law = float_law(mesh, stiffness, np.arange(count))
    return Ties(way_f, slope, np.asarray(law.length), np.asarray(law.stiffness))


def with_floats(mesh: Mesh, floats: FloatTable) -> Mesh:
    """Return the mesh with other floats tying its stitches together."""
    return replace(mesh, floats=floats)


def _terms(mesh: Mesh, stiffness: Stiffness, tracks: Tracks, round_f: Mask) -> Iterator[tuple[Ints, Term]]:
    """Yield the terms of straight floats and of those that go round, each with the numbers of its floats."""
    numbers: list[Ints] = []

    def law(float_b: Ints) -> Taut:
        numbers.append(float_b)
        return float_law(mesh, stiffness, float_b)

    if not round_f.all():
        yield np.flatnonzero(~round_f), float_term(mesh, stiffness, ~round_f)
    wrapped = tracks.wrapped(round_f, law)
    yield from ((number_b, term) for number_b, term in zip(numbers, wrapped, strict=True) if len(number_b))


def _by_places(slope_bq: Floats, span: sparse.csr_array) -> sparse.csr_array:
    """Return the slopes (b, places x 3) by all places, of slopes by the spans."""
    count, each = len(slope_bq), slope_bq.shape[1] // AXES
    slope_bmc = slope_bq.reshape(count, each, AXES)
    begin, every = np.arange(0, count * each + 1, each), np.arange(count * each)
    parts = []
    for axis in range(AXES):
        of_axis = sparse.csr_array((slope_bmc[:, :, axis].ravel(), every, begin), shape=(count, count * each))
        parts.append((of_axis @ span).tocoo())
    row = np.concatenate([one.coords[0] for one in parts])
    column = np.concatenate([AXES * one.coords[1] + axis for axis, one in enumerate(parts)])
    data = np.concatenate([one.data for one in parts])
    return sparse.coo_array((data, (row, column)), shape=(count, AXES * span.shape[1])).tocsr()
