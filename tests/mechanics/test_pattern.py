"""Where element blocks go: against a dense sum by hand, for points that coincide and cells smaller than an element."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.energies.height import Height
from fabricsim.mechanics.factors.sparse_lu import Unplanned
from fabricsim.mechanics.laws import Elastic, Proportional
from fabricsim.mechanics.solver.direction import Direction
from fabricsim.mechanics.terms import Measure, Order, Term
from tests.support.matrices import blocks_of, full_pattern

NODES = 7


@dataclass(frozen=True)
class Quadratic:
    """s = d.A.d/2 of all spans d of an element, A full and symmetric: no entry of its Hessian is nought."""

    combine_mp: Floats
    a_qq: Floats

    def measure(self, d_bmc: Floats, order: Order) -> Measure:
        d_bq = d_bmc.reshape(len(d_bmc), -1)
        slope_bq = d_bq @ self.a_qq
        curvature = np.broadcast_to(self.a_qq, (len(d_bq), *self.a_qq.shape)) if order == 2 else None
        return Measure(0.5 * (d_bq * slope_bq).sum(axis=1), slope_bq, curvature)


def random_term(rng: np.random.Generator, *, count: int = 9, periodic: bool = False) -> Term:
    """Three spans of five points among seven nodes: most elements name some node twice, one the same five times."""
    node_bp = rng.integers(0, NODES, (count, 5))
    node_bp[0] = 3
    assert sum(len(set(points)) < 5 for points in node_bp.tolist()) > 1
    combine_mp = rng.integers(-1, 2, (3, 5)) * 1.0
    combine_mp[:, -1] = 1.0
    a = rng.normal(size=(9, 9))
    shift_bpa = rng.integers(-2, 3, (count, 5, 2)) if periodic else None
    law = Elastic(rng.uniform(1.0, 2.0, count), rng.normal(size=count))
    return Term("random", Quadratic(combine_mp, a + a.T), law, node_bp, shift_bpa)


def by_hand(term: Term, state: State) -> tuple[Floats, Floats, Floats]:
    """Return gradient, exact Hessian and material part over all unknowns, one element and one point after another."""
    size = state.x_nc.size + (0 if state.period_a is None else 2)
    span_bmc = term.spans(state.x_nc, state.period_a)
    _, force_bq, exact_bqq = term.hessian(span_bmc)
    material_bqq = term.material(span_bmc)
    gradient, exact, material = np.zeros(size), np.zeros((size, size)), np.zeros((size, size))
    for b, points in enumerate(term.node_bp):
        to = np.zeros((exact_bqq.shape[1], size))  # d(spans)/d(unknowns)
        for m, combine_p in enumerate(term.geometry.combine_mp):
            for p, node in enumerate(points):
                for c in range(3):
                    to[3 * m + c, 3 * node + c] += combine_p[p]
                    if state.period_a is not None and term.shift_bpa is not None and c < 2:
                        to[3 * m + c, state.x_nc.size + c] += combine_p[p] * term.shift_bpa[b, p, c]
        np.testing.assert_allclose(to @ state.to_vector(), span_bmc[b].ravel(), rtol=0, atol=1e-13)
        gradient += force_bq[b] @ to
        exact += to.T @ exact_bqq[b] @ to
        if material_bqq is not None:
            material += to.T @ material_bqq[b] @ to
    return gradient, exact, material


@pytest.mark.parametrize("periodic", [False, True])
@pytest.mark.parametrize("seed", range(3))
def test_elements_add_up_as_by_hand(seed: int, periodic: bool) -> None:
    """Two terms, points that coincide, points whole periods away, and unknowns held, periods among them."""
    rng = np.random.default_rng(seed)
    state = State(rng.normal(size=(NODES, 3)), rng.uniform(1.0, 2.0, 2) if periodic else None)
    terms = [random_term(rng, periodic=periodic), replace(random_term(rng, count=4, periodic=periodic), name="more")]
    size = len(state.to_vector())
    for held in ([], [0, 4, 5, 11], [size - 1], [size - 2, 7]):
        energy = assemble(terms, state, held)
        keep = np.setdiff1d(np.arange(size), held)
        np.testing.assert_array_equal(energy.pattern.free_f, keep)
        q = energy.free(state)
        _, gradient, exact_eb = energy.hessian(q)
        got = (gradient, *(energy.pattern.fill(eb).toarray() for eb in (exact_eb, energy.material(q))))
        for part, *each in zip(got, *(by_hand(term, state) for term in terms), strict=True):
            want = (each[0] + each[1])[np.ix_(*(keep,) * part.ndim)]
            assert np.abs(part - want).max() <= 1e-13 * np.abs(want).max()  # sums in another order


@pytest.mark.parametrize("periodic", [False, True])
def test_how_many_elements_are_listed_at_a_time_changes_nothing(
    periodic: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    rng = np.random.default_rng(5)
    state = State(rng.normal(size=(NODES, 3)), np.array([1.0, 2.0]) if periodic else None)
    term = random_term(rng, periodic=periodic)
    once = assemble([term], state).pattern
    monkeypatch.setattr("fabricsim.mechanics.pattern.AT_A_TIME", 2)
    often = assemble([term], state).pattern
    assert once.pairs == often.pairs
    assert (once.gather_t[0] != often.gather_t[0]).nnz == 0
    for name in ("indices", "indptr", "source"):
        np.testing.assert_array_equal(getattr(once, name), getattr(often, name))


@pytest.mark.parametrize("periodic", [False, True])
def test_what_terms_draw_on_is_taken_over_where_they_have_the_same_elements(periodic: bool) -> None:
    """As if assembled anew; of two terms of one name what counts is their elements."""
    rng = np.random.default_rng(6)
    state = State(rng.normal(size=(NODES, 3)), np.array([1.0, 2.0]) if periodic else None)
    bars = Term("bars", Distance(), Elastic(1.0, 0.5), np.array([[0, 1], [1, 2], [2, 6]]))
    kept, gone, changed = (random_term(rng, count=count, periodic=periodic) for count in (9, 4, 5))
    gone, changed = replace(gone, name="gone"), replace(changed, name="changed")
    old = assemble([bars, kept, gone, changed], state, [1])
    more = replace(changed, node_bp=changed.node_bp[:, ::-1])
    terms = [bars, replace(kept, law=Elastic(2.0, 0.0)), more]
    new, anew = assemble(terms, state, [1, 3], like=old), assemble(terms, state, [1, 3])
    assert [one is other for one, other in zip(new.reach_t, old.reach_t[:2], strict=False)] == [True, True]
    assert new.reach_t[2] is not old.reach_t[3]
    for name in ("indices", "indptr", "source", "free_f"):
        np.testing.assert_array_equal(getattr(new.pattern, name), getattr(anew.pattern, name))
    q_f = anew.free(state)
    for one, other in zip(new.hessian(q_f), anew.hessian(q_f), strict=True):
        np.testing.assert_array_equal(one, other)


def test_a_node_that_nothing_touches_has_its_place_on_the_diagonal() -> None:
    """So that a shift of the diagonal finds it; what no element joins has none."""
    bar = Term("bar", Distance(), Elastic(1.0, 1.0), np.array([[0, 2]]))
    energy = assemble([bar], State(np.array([[0.0, 0.0, 0.0], [5.0, 5.0, 5.0], [1.0, 0.0, 0.0]])), [8])
    matrix = energy.pattern.fill(np.ones((energy.pattern.pairs, 9)))
    want = np.kron(np.array([[1, 0, 1], [0, 1, 0], [1, 0, 1]]), np.ones((3, 3)))[:8, :8]
    np.testing.assert_array_equal(matrix.toarray(), want)
    assert matrix.nnz == want.sum()
    assert matrix.has_canonical_format


@pytest.mark.parametrize("seed", range(3))
def test_stored_blocks_make_the_symmetric_matrix(seed: int) -> None:
    """Every entry at its place, and both triangles alike to the last bit even where a block on the diagonal is not."""
    rng = np.random.default_rng(seed)
    a = rng.normal(size=(12, 12))
    pattern = full_pattern(4)
    np.testing.assert_array_equal(pattern.fill(blocks_of(a + a.T)).toarray(), a + a.T)
    loose = pattern.fill(rng.normal(size=(pattern.pairs, 9))).toarray()
    np.testing.assert_array_equal(loose, loose.T)


def flat_square() -> Energy:
    """Four bars in a plane: in-plane and out-of-plane share no entry, and upright bars none with x."""
    x_nc = np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [1.0, 1.0, 0.0]])
    bars = Term("bars", Distance(), Elastic(10.0, 0.9), np.array([[0, 1], [2, 3], [0, 2], [1, 3]]))
    return assemble([bars], State(x_nc), [0, 1, 2, 4, 5, 8])


def test_what_is_done_to_a_matrix_leaves_the_pattern_alone() -> None:
    """Zeros are taken out of copies, for matrices share the pattern's index arrays; and values are never shared."""
    energy = flat_square()
    q = energy.free(energy.start)
    _, gradient, exact_eb = energy.hessian(q)
    before = energy.pattern.fill(exact_eb)
    dense, stored = before.toarray(), before.nnz
    assert np.count_nonzero(dense) < stored
    for precision in (np.float32, np.float64):
        Unplanned().factorised(before, precision)
    np.testing.assert_array_equal(before.toarray(), dense)
    assert before.nnz == stored
    before.setdiag(7.0)
    before.data *= 3.0
    Direction(energy.pattern, 0.1).step(gradient, exact_eb, lambda: energy.material(q))
    Direction(energy.pattern, 0.1, share=0.0).downhill(exact_eb, lambda: energy.material(q))
    again = energy.pattern.fill(exact_eb)
    np.testing.assert_array_equal(again.toarray(), dense)
    assert again.nnz == stored


def bars_and_weight(stiffness: float = 2.0) -> list[Term]:
    bars = Term("bars", Distance(), Elastic(stiffness, 0.8), np.array([[0, 1], [1, 2]]), np.zeros((2, 2, 2), dtype=int))
    weight = Term("weight", Height(), Proportional(0.1 * stiffness), np.array([[0], [1]]))
    return [bars, weight]


THREE = State(np.array([[0.0, 0.0, 0.0], [1.0, 0.1, 0.0], [2.0, 0.0, 0.3]]), np.array([5.0, 5.0]))


def test_other_laws_and_another_start_on_the_same_pattern() -> None:
    """As if assembled anew, terms without elements counted nowhere; the unknowns held stay held, at the new start."""
    energy = assemble(bars_and_weight(), THREE, [0, 3])
    terms = bars_and_weight(3.0)
    terms[1] = replace(terms[1], geometry=Height(np.array([0.0, 1.0, 0.0])))
    empty = Term("nothing", Distance(), Elastic(1.0, 1.0), np.zeros((0, 2), dtype=int))
    start = State(THREE.x_nc + 0.1, 1.1 * THREE.period_a)
    shared = energy.with_laws_of([terms[0], empty, terms[1]], start)
    assert shared is not None
    assert shared.pattern is energy.pattern
    assert shared.reach_t is energy.reach_t
    anew = assemble(terms, start, [0, 3])
    q = anew.free(start) + 0.05 * np.random.default_rng(0).normal(size=len(anew.pattern.free_f))
    np.testing.assert_array_equal(shared.state(q).to_vector(), anew.state(q).to_vector())
    (u, gradient, exact_eb), (v, anew_gradient, anew_eb) = shared.hessian(q), anew.hessian(q)
    assert u == v != energy.value(q)
    np.testing.assert_array_equal(gradient, anew_gradient)
    np.testing.assert_array_equal(exact_eb, anew_eb)
    np.testing.assert_array_equal(shared.material(q), anew.material(q))


def _other_elements() -> dict[str, list[Term]]:
    bars, weight = bars_and_weight()
    far = np.zeros((2, 2, 2), dtype=int)
    far[1, 1, 0] = 1
    return {
        "another node": [replace(bars, node_bp=np.array([[0, 1], [0, 2]])), weight],
        "turned round": [replace(bars, node_bp=bars.node_bp[:, ::-1]), weight],
        "fewer": [replace(bars, node_bp=bars.node_bp[:1], shift_bpa=far[:1]), weight],
        "another period": [replace(bars, shift_bpa=far), weight],
        "another name": [replace(bars, name="bar"), weight],
        "another order": [weight, bars],
        "one term less": [bars],
        "one term more": [bars, weight, replace(weight, name="more")],
        "none": [],
    }


@pytest.mark.parametrize("terms", _other_elements().values(), ids=list(_other_elements()))
def test_other_elements_share_no_pattern(terms: list[Term]) -> None:
    assert assemble(bars_and_weight(), THREE).with_laws_of(terms, THREE) is None
