"""How hard the elements of a term pull."""

from __future__ import annotations

from fabricsim.arrays import Floats
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.terms import Term


def pulls(term: Term, state: State) -> Floats:
    """U' (b,) of every element: the pull (N) of a float or a bar, the moment of a bend."""
    return term.law(term.measures(state.x_nc, state.period_a))[1]
