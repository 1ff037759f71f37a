"""How floats run behind the fabric: straight from end to end, or over the backs of the stitches that bulge in the
way."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask
from fabricsim.fabric.build import FLOAT
from fabricsim.fabric.mesh import RIGHT, Mesh
from fabricsim.fabric.places import Place
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.energies.courses import Courses, courses_of
from fabricsim.mechanics.energies.wrap import WrappedDistance
from fabricsim.mechanics.laws import Law, Proportional
from fabricsim.mechanics.terms import Term, places

PRESSED_IN = 0.01
"""Thicknesses by which a straight float may cut into the back of a stitch before it counts as lying on it (chosen: less
than a yarn gives)."""


@dataclass(frozen=True, eq=False)
class Paths:
    """Where the floats run in a state of the fabric.

    ``length_f`` (f,) float, m: the shortest way behind the fabric; ``depth_f`` (f,) float, m: how far the straight way
    would cut into it; ``bent_f`` (f,) bool: whether they would lie on any stitch if taut; ``turns``: of floats
    by their numbers, those of one gap together, about which anchors they turn, ends included.
    """

    length_f: Floats
    depth_f: Floats
    bent_f: Mask
    turns: tuple[tuple[Ints, Mask], ...]

    @cached_property
    def pressed(self) -> tuple[tuple[int, ...], ...]:
        """The stitches that each float (f) would lie on if it were taut, counted from 1 at its left to its gap."""
        found: list[tuple[int, ...]] = [()] * len(self.length_f)
        for float_b, turns_bk in self.turns:
            for b in np.flatnonzero(self.bent_f[float_b]).tolist():
                found[float_b[b]] = tuple(np.flatnonzero(turns_bk[b])[1:-1].tolist())
        return tuple(found)


class Tracks:
    """The floats of a mesh as lines behind all the stitches that they pass, those of one gap together."""

    def __init__(self, mesh: Mesh) -> None:
        self._thickness = mesh.thickness
        self._floats = len(mesh.floats)
        self._nodes, self._periodic = len(mesh.rest_nc), mesh.period_a is not None
        self._parts = list(_by_gap(mesh))

    @cached_property
    def _courses(self) -> list[Courses]:
        return [courses_of(term, self._nodes, self._periodic) for _, term in self._parts]

    def __getstate__(self) -> dict[str, Any]:
        """What goes to another process: not how lines run, which may be of compiled code."""
        return {name: value for name, value in self.__dict__.items() if name != "_courses"}

    def at(self, state: State, asked_f: Mask | None = None) -> Paths:
        """Return how the floats run in a ``state`` of the fabric: all of them, or at least those asked for."""
        place_pc = places(state.x_nc, state.period_a)
        length_f, depth_f = np.zeros(self._floats), np.zeros(self._floats)
        bent_f, turns = np.zeros(self._floats, dtype=bool), []
        for (float_b, _), course in zip(self._parts, self._courses, strict=True):
            if asked_f is not None and not asked_f[float_b].any():
                continue
            length_f[float_b], depth_f[float_b], turns_bk = course(place_pc)
            deep_b = depth_f[float_b] > PRESSED_IN * self._thickness
            bent_f[float_b] = deep_b & turns_bk[:, 1:-1].any(axis=1)
            turns.append((float_b, turns_bk))
        return Paths(length_f, depth_f, bent_f, tuple(turns))

    def wrapped(self, wrapped_f: Mask, law: Callable[[Ints], Law]) -> list[Term]:
        """Return terms of the floats that may lie on the back of any stitch that they pass, of laws by their numbers.

        A float that touches nothing is as if it were straight.
        """
        terms = []
        for float_b, term in self._parts:
            kept_b = wrapped_f[float_b]
            shift_bpa = None if term.shift_bpa is None else term.shift_bpa[kept_b]
            terms.append(replace(term, law=law(float_b[kept_b]), node_bp=term.node_bp[kept_b], shift_bpa=shift_bpa))
        return terms


def _by_gap(mesh: Mesh) -> Iterator[tuple[Ints, Term]]:
    """Return the floats and their geometry, those that pass behind as many stitches together."""
    ties = mesh.floats
    for gap in np.unique(ties.gap_f).tolist():
        float_b = np.flatnonzero(ties.gap_f == gap)
        place = Place(ties.node_f2[float_b, 0], np.zeros_like(ties.shift_f2[float_b]))
        points = [place, *place.around(mesh)]
        for _ in range(gap + 1):
            place = place.step(mesh, RIGHT)
            points += [place, *place.around(mesh)]
        node_bp, shift_bpa = (np.stack(a, axis=1) for a in ([p.node_b for p in points], [p.shift_b2 for p in points]))
        geometry = WrappedDistance(gap + 2, 0.5 * mesh.thickness)
        yield float_b, Term(f"{FLOAT} behind {gap}", geometry, Proportional(0.0), node_bp, shift_bpa)
