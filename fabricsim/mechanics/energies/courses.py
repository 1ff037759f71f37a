"""How lines behind a surface run: by compiled code where there is any, else by numpy, which is the reference."""

from __future__ import annotations

from collections.abc import Callable

from fabricsim.arrays import Floats, Mask
from fabricsim.mechanics.compiled import compiled_courses
from fabricsim.mechanics.energies.wrap import WrappedDistance
from fabricsim.mechanics.terms import Points, Term, span_matrix

Courses = Callable[[Floats], tuple[Floats, Floats, Mask]]
"""Given places (p, 3) m, periods among them, tells of each line what ``WrappedDistance.course`` does."""


def courses_of(term: Term, nodes: int, periodic: bool) -> Courses:
    """Return how the elements of a term of wrapped distances run, among so many nodes."""
    return compiled_courses(term, Points.of(term, nodes, periodic)) or courses_by_arrays(term, nodes, periodic)


def courses_by_arrays(term: Term, nodes: int, periodic: bool) -> Courses:
    """Return the same by numpy."""
    geometry, span = term.geometry, span_matrix(term, nodes, periodic)
    assert isinstance(geometry, WrappedDistance)
    return lambda place_pc: geometry.course(term.spans_of(span @ place_pc))
