"""Sum the terms over all nodes: energy, gradient and a sparse Hessian with one fixed pattern.

The unknowns are the node positions, three each, and, for a periodic cell, its two periods. *Held* unknowns keep their
starting value and take no part. The pattern is found once; how elements are added into it, see ``summing``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from fabricsim.arrays import ArrayRecord, Floats
from fabricsim.breaks import asked
from fabricsim.mechanics.laws import Law
from fabricsim.mechanics.pattern import BLOCK, Pattern, Reach, find_pattern, padded, reach_of
from fabricsim.mechanics.summing import TermSum, term_sum
from fabricsim.mechanics.terms import AXES, PERIODS, Term, places


@dataclass(frozen=True, eq=False, repr=False)
class State(ArrayRecord):
    """Node positions ``x_nc`` (n, 3) float, m, and the periods ``period_a`` (2,) float, m, of a periodic cell or
    None."""

    x_nc: Floats
    period_a: Floats | None = None

    def to_vector(self) -> Floats:
        flat = self.x_nc.ravel()
        return flat.copy() if self.period_a is None else np.concatenate([flat, self.period_a])


@dataclass(frozen=True, eq=False)
class Energy:
    """The total energy of a set of terms, as a function of one vector of free unknowns ``q_f``.

    ``start`` holds the values that held unknowns keep; ``reach_t``: what each term draws on. Make one with
    ``assemble``.
    """

    terms: tuple[Term, ...]
    start: State
    pattern: Pattern
    reach_t: tuple[Reach, ...]

    def free(self, state: State) -> Floats:
        """Return the free unknowns (f,) of a state, m."""
        return state.to_vector()[self.pattern.free_f]

    def state(self, q_f: Floats) -> State:
        """Return the state that the free unknowns ``q_f`` stand for."""
        vector = self.start.to_vector()
        vector[self.pattern.free_f] = q_f
        if self.start.period_a is None:
            return State(vector.reshape(-1, AXES))
        return State(vector[:-PERIODS].reshape(-1, AXES), vector[-PERIODS:])

    def with_law(self, name: str, law: Law) -> Energy:
        """Return the same energy with another law for the terms called ``name``; the pattern is shared."""
        terms = tuple(replace(t, law=law) if t.name == name else t for t in self.terms)
        return replace(self, terms=terms)

    def with_laws_of(self, terms: Iterable[Term], start: State) -> Energy | None:
        """Return the energy of ``terms`` with the same unknowns held at ``start``, on this one's pattern; None unless
        they are the same elements in the same order."""
        kept = tuple(t for t in terms if len(t.node_bp))
        same = len(kept) == len(self.terms) and all(
            one.name == other.name and _same(one, other) for one, other in zip(kept, self.terms, strict=True)
        )
        return replace(self, terms=kept, start=start) if same else None

    def term(self, name: str) -> Term:
        """Return the one term called ``name``. Raises KeyError."""
        for term in self.terms:
            if term.name == name:
                return term
        raise KeyError(name)

    @property
    def spacing(self) -> float:
        """The mean length (m) of the spans of the first term: how far apart neighbours lie; 1 where they coincide."""
        if not self.terms:
            return 1.0
        span_bmc = self.terms[0].spans(self.start.x_nc, self.start.period_a)
        return float(np.linalg.norm(span_bmc, axis=2).mean()) or 1.0

    def value(self, q_f: Floats) -> float:
        """Return the energy, J."""
        total, place_pc = 0.0, self._places(q_f)
        for (
            one
        ) in self._sums():  # added one by one, to the same last bit as beside the gradient: sum() rounds otherwise
            total += one.energy(place_pc)
        return total

    def gradient(self, q_f: Floats) -> tuple[float, Floats]:
        """Return the energy (J) and its gradient (f,), N."""
        total, total_pc = self._all_forces(q_f)
        return total, self._free_part(total_pc)

    def forces(self, q_f: Floats) -> Floats:
        """Return the gradient (k,) by all unknowns, N: at rest, what holds the held ones pulls with."""
        every_k = np.arange(len(self.start.to_vector()))
        return self._all_forces(q_f)[1].ravel()[padded(every_k, len(self.start.x_nc))]

    def hessian(self, q_f: Floats) -> tuple[float, Floats, Floats]:
        """Return energy, gradient (f,), and the stored blocks (pairs, 9) of the exact Hessian, N/m."""
        total, total_pc, place_pc = 0.0, self._nothing(), self._places(q_f)
        exact_eb = np.zeros((self.pattern.pairs, BLOCK))
        for one in self._sums():
            total += one.hessian(place_pc, total_pc, exact_eb)
        return total, self._free_part(total_pc), exact_eb

    def material(self, q_f: Floats) -> Floats:
        """Return the stored blocks (pairs, 9) of the material part of the Hessian, N/m: positive semi-definite."""
        place_pc, material_eb = self._places(q_f), np.zeros((self.pattern.pairs, BLOCK))
        for one in self._sums():
            one.material(place_pc, material_eb)
        return material_eb

    def _all_forces(self, q_f: Floats) -> tuple[float, Floats]:
        total, total_pc, place_pc = 0.0, self._nothing(), self._places(q_f)
        for one in self._sums():
            total += one.gradient(place_pc, total_pc)
        return total, total_pc

    @cached_property
    def _summed_t(self) -> tuple[TermSum, ...]:
        return tuple(term_sum(term, self.pattern, number) for number, term in enumerate(self.terms))

    def __getstate__(self) -> dict[str, Any]:
        """What goes to another process: not the sums, which may be of compiled code."""
        return {name: value for name, value in self.__dict__.items() if name != "_summed_t"}

    def _sums(self) -> Iterator[TermSum]:
        for one in self._summed_t:
            asked()
            yield one

    def _places(self, q_f: Floats) -> Floats:
        s = self.state(q_f)
        return np.ascontiguousarray(places(s.x_nc, s.period_a))

    def _nothing(self) -> Floats:
        return np.zeros((len(self.start.x_nc) + (0 if self.start.period_a is None else PERIODS), AXES))

    def _free_part(self, total_pc: Floats) -> Floats:
        return total_pc.ravel()[padded(self.pattern.free_f, len(self.start.x_nc))]


def _same(one: Term, other: Term) -> bool:
    """Whether two terms have the same elements."""
    combined = np.array_equal(one.geometry.combine_mp, other.geometry.combine_mp)
    if not combined or not np.array_equal(one.node_bp, other.node_bp):
        return False
    if one.shift_bpa is None or other.shift_bpa is None:
        return one.shift_bpa is other.shift_bpa
    return np.array_equal(one.shift_bpa, other.shift_bpa)


def assemble(terms: Iterable[Term], start: State, held: Iterable[int] = (), like: Energy | None = None) -> Energy:
    """Return the energy of ``terms`` over the nodes of ``start``; ``held`` lists the unknowns that stay put.

    What terms draw on is taken over from an energy that is ``like`` it, on the same nodes, where that has them too.
    """
    kept = tuple(t for t in terms if len(t.node_bp))
    periodic, nodes = start.period_a is not None, len(start.x_nc)
    is_free_k = np.ones(start.x_nc.size + (PERIODS if periodic else 0), dtype=bool)
    is_free_k[list(held)] = False
    known = {} if like is None else {t.name: (t, reach) for t, reach in zip(like.terms, like.reach_t, strict=True)}
    reach_t = tuple(
        known[t.name][1] if t.name in known and _same(t, known[t.name][0]) else reach_of(t, nodes, periodic)
        for t in kept
    )
    pattern = find_pattern(reach_t, start.x_nc, periodic, np.flatnonzero(is_free_k))
    return Energy(kept, start, pattern, reach_t)
