"""An arch of two bars with two minima and a hill between, and the parts of an energy that a direction asks for."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.laws import Elastic
from fabricsim.mechanics.terms import Term

SINGLE = 1e-5
"""Relative, of what comes of single-precision factors alone: their round-off, 6e-8, times a condition of up to 100."""
REACH = 0.03
"""How far bold moves go at first, m: a thirtieth of a bar (chosen)."""


def arch(apex: float, *, nudge: float = 0.0, stiffness: float = 10.0) -> Energy:
    """Two bars of rest length 1 between pins at x = -0.8 and 0.8; their joint at (nudge, 0, apex) is free in x and z.

    It has two minima, joint at z = +-0.6, and between them a hill: in the flat middle both bars are pressed together.
    """
    x_nc = np.array([[-0.8, 0.0, 0.0], [nudge, 0.0, apex], [0.8, 0.0, 0.0]])
    bars = Term("bars", Distance(), Elastic(stiffness, 1.0), np.array([[0, 1], [1, 2]]))
    return assemble([bars], State(x_nc), [0, 1, 2, 4, 6, 7, 8])


def parts(energy: Energy) -> tuple[Floats, Floats, Floats, Floats]:
    """Return gradient, stored blocks of the exact Hessian, and both whole matrices at the start, exact and material."""
    q = energy.free(energy.start)
    _, gradient, exact_eb = energy.hessian(q)
    fill = energy.pattern.fill
    return gradient, exact_eb, fill(exact_eb).toarray(), fill(energy.material(q)).toarray()


def material_of(energy: Energy) -> Callable[[], Floats]:
    return partial(energy.material, energy.free(energy.start))


def never() -> Floats:
    raise AssertionError("the material part was asked for where it has no part")
