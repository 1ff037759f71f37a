"""How floats run behind the fabric: straight from end to end, or over the backs of the stitches that bulge in the
way."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask
from fabricsim.fabric.build import FLOAT
from fabricsim.fabric.mesh import RIGHT, Mesh
from fabricsim.fabric.places import Place
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.energies.wrap import WrappedDistance
from fabricsim.mechanics.laws import Law, Proportional
from fabricsim.mechanics.terms import Term, places, span_matrix

PRESSED_IN = 0.01
"""Thicknesses by which a straight float may cut into the back of a stitch before it counts as lying on it (chosen: less
than a yarn gives)."""


@dataclass(frozen=True, eq=False)
class Paths:
    """Where the floats run in a state of the fabric.

    ``length_f`` (f,) float, m: the shortest way behind the fabric; ``depth_f`` (f,) float, m: how far the straight way
    would cut into it; ``pressed`` (f) the stitches that each float would lie on if it were taut, counted from 1 at its
    left to its gap.
    """

    length_f: Floats
    depth_f: Floats
    pressed: tuple[tuple[int, ...], ...]

    @property
    def bent_f(self) -> Mask:
        """Which floats lie on any stitch, (f,) bool."""
        return np.array([len(steps) > 0 for steps in self.pressed], dtype=bool)


class Tracks:
    """The floats of a mesh as lines behind all the stitches that they pass, those of one gap together."""

    def __init__(self, mesh: Mesh) -> None:
        self._thickness = mesh.thickness
        self._floats = len(mesh.floats)
        periodic = mesh.period_a is not None
        self._parts = [
            (float_b, term, span_matrix(term, len(mesh.rest_nc), periodic)) for float_b, term in _by_gap(mesh)
        ]

    def at(self, state: State, asked_f: Mask | None = None) -> Paths:
        """Return how the floats run in a ``state`` of the fabric: all of them, or at least those asked for."""
        place_pc = places(state.x_nc, state.period_a)
        length_f, depth_f = np.zeros(self._floats), np.zeros(self._floats)
        pressed: list[tuple[int, ...]] = [()] * self._floats
        for float_b, term, span in self._parts:
            if asked_f is not None and not asked_f[float_b].any():
                continue
            geometry = term.geometry
            assert isinstance(geometry, WrappedDistance)
            length_f[float_b], depth_f[float_b], kept_bk = geometry.course(term.spans_of(span @ place_pc))
            for b in np.flatnonzero(depth_f[float_b] > PRESSED_IN * self._thickness).tolist():
                pressed[float_b[b]] = tuple(np.flatnonzero(kept_bk[b])[1:-1].tolist())
        return Paths(length_f, depth_f, tuple(pressed))

    def wrapped(self, wrapped_f: Mask, law: Callable[[Ints], Law]) -> list[Term]:
        """Return terms of the floats that may lie on the back of any stitch that they pass, of laws by their numbers.

        A float that touches nothing is as if it were straight.
        """
        terms = []
        for float_b, term, _ in self._parts:
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
