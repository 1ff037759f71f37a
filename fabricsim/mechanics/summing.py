"""The sum over the elements of one term: by compiled code where there is any, else by numpy, which is the reference."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from fabricsim.arrays import Floats
from fabricsim.mechanics.compiled import compiled_sum
from fabricsim.mechanics.pattern import Pattern
from fabricsim.mechanics.terms import AXES, Term


class TermSum(Protocol):
    """Sums over the elements of a term in their order, at places ``place_pc`` (p, 3) m, periods among them.

    Each returns the energy, J; forces are added to ``total_pc`` (p, 3) N, blocks to stored ones (pairs, 9), N/m.
    """

    def energy(self, place_pc: Floats, /) -> float: ...

    def gradient(self, place_pc: Floats, total_pc: Floats, /) -> float: ...

    def hessian(self, place_pc: Floats, total_pc: Floats, exact_eb: Floats, /) -> float: ...

    def material(self, place_pc: Floats, material_eb: Floats, /) -> None: ...


@dataclass(frozen=True, eq=False)
class ArraySum:
    """The sum by numpy: from places to spans and from forces and blocks back by constant sparse matrices."""

    term: Term
    pattern: Pattern
    number: int

    def energy(self, place_pc: Floats) -> float:
        return self.term.energy(self._spans(place_pc))

    def gradient(self, place_pc: Floats, total_pc: Floats) -> float:
        u, force_bq = self.term.gradient(self._spans(place_pc))
        self._add_forces(total_pc, force_bq)
        return u

    def hessian(self, place_pc: Floats, total_pc: Floats, exact_eb: Floats) -> float:
        u, force_bq, exact_bqq = self.term.hessian(self._spans(place_pc))
        self._add_forces(total_pc, force_bq)
        self.pattern.add(exact_eb, self.number, exact_bqq)
        return u

    def material(self, place_pc: Floats, material_eb: Floats) -> None:
        material_bqq = self.term.material(self._spans(place_pc))
        if material_bqq is not None:
            self.pattern.add(material_eb, self.number, material_bqq)

    def _spans(self, place_pc: Floats) -> Floats:
        return self.term.spans_of(self.pattern.reach_t[self.number].span @ place_pc)

    def _add_forces(self, total_pc: Floats, force_bq: Floats) -> None:
        total_pc += self.pattern.reach_t[self.number].turned @ force_bq.reshape(-1, AXES)


def term_sum(term: Term, pattern: Pattern, number: int) -> TermSum:
    """Return how to sum a term, the ``number``-th of a pattern."""
    summed = compiled_sum(term, pattern.reach_t[number], lambda: pattern.pair_t[number])
    return summed or ArraySum(term, pattern, number)
