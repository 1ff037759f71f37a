"""Sum the terms over all nodes: energy, gradient and a sparse Hessian with one fixed pattern.

The unknowns are the node positions, three each, and, for a periodic cell, its two periods. *Held* unknowns keep their
starting value and take no part. The pattern is found once; afterwards every element entry is added into place by
constant sparse matrices found with it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from fabricsim.arrays import ArrayRecord, Floats
from fabricsim.breaks import asked
from fabricsim.mechanics.laws import Law
from fabricsim.mechanics.pattern import BLOCK, Pattern, Reach, find_pattern, padded, reach_of
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
        total = 0.0  # added one by one, to the same last bit as beside the gradient: sum() rounds otherwise
        for _, term, d_bmc in self._spans(q_f):
            total += term.energy(d_bmc)
        return total

    def gradient(self, q_f: Floats) -> tuple[float, Floats]:
        """Return the energy (J) and its gradient (f,), N."""
        total, total_pc = 0.0, self._nothing()
        for number, term, d_bmc in self._spans(q_f):
            u, force_bq = term.gradient(d_bmc)
            total += u
            total_pc += self._by_place(number, force_bq)
        return total, self._free_part(total_pc)

    def forces(self, q_f: Floats) -> Floats:
        """Return the gradient (k,) by all unknowns, N: at rest, what holds the held ones pulls with."""
        total_pc = self._nothing()
        for number, term, d_bmc in self._spans(q_f):
            total_pc += self._by_place(number, term.gradient(d_bmc)[1])
        every_k = np.arange(len(self.start.to_vector()))
        return total_pc.ravel()[padded(every_k, len(self.start.x_nc))]

    def hessian(self, q_f: Floats) -> tuple[float, Floats, Floats]:
        """Return energy, gradient (f,), and the stored blocks (pairs, 9) of the exact Hessian, N/m."""
        total, total_pc = 0.0, self._nothing()
        exact_eb = np.zeros((self.pattern.pairs, BLOCK))
        for number, term, d_bmc in self._spans(q_f):
            u, force_bq, exact_bqq = term.hessian(d_bmc)
            total += u
            total_pc += self._by_place(number, force_bq)
            self.pattern.add(exact_eb, number, exact_bqq)
        return total, self._free_part(total_pc), exact_eb

    def material(self, q_f: Floats) -> Floats:
        """Return the stored blocks (pairs, 9) of the material part of the Hessian, N/m: positive semi-definite."""
        material_eb = np.zeros((self.pattern.pairs, BLOCK))
        for number, term, d_bmc in self._spans(q_f):
            material_bqq = term.material(d_bmc)
            if material_bqq is not None:
                self.pattern.add(material_eb, number, material_bqq)
        return material_eb

    def _spans(self, q_f: Floats) -> Iterable[tuple[int, Term, Floats]]:
        s = self.state(q_f)
        place_pc = places(s.x_nc, s.period_a)
        for number, (term, reach) in enumerate(zip(self.terms, self.reach_t, strict=True)):
            asked()
            yield number, term, term.spans_of(reach.span @ place_pc)

    def _nothing(self) -> Floats:
        return np.zeros((len(self.start.x_nc) + (0 if self.start.period_a is None else PERIODS), AXES))

    def _by_place(self, number: int, force_bq: Floats) -> Floats:
        by_place_pc: Floats = self.reach_t[number].turned @ force_bq.reshape(-1, AXES)
        return by_place_pc

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
