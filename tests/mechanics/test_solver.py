"""Direction, step length and stopping, each by itself; then every way a minimisation can end."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import sparse

from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.direction import Direction, conjugate_gradients, factorise, is_positive_definite
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.energies.height import Height
from fabricsim.mechanics.laws import Elastic, Floor, Proportional
from fabricsim.mechanics.line_search import SUFFICIENT, backtrack
from fabricsim.mechanics.minimise import minimise
from fabricsim.mechanics.stopping import Status, Stopping, largest
from fabricsim.mechanics.terms import Measure, Order, Term

Floats = NDArray[np.float64]


def arch(apex: float, *, nudge: float = 0.0, stiffness: float = 10.0) -> Energy:
    """Two bars of rest length 1 between pins at x = -0.8 and 0.8; their joint at (nudge, 0, apex) is free in x and z.

    It has two minima, joint at z = +-0.6, and between them a hill: in the flat middle both bars are pressed together.
    """
    x_nc = np.array([[-0.8, 0.0, 0.0], [nudge, 0.0, apex], [0.8, 0.0, 0.0]])
    bars = Term("bars", Distance(), Elastic(stiffness, 1.0), np.array([[0, 1], [1, 2]]))
    return assemble([bars], State(x_nc), [0, 1, 2, 4, 6, 7, 8])


@given(size=st.integers(1, 12), filled=st.floats(0.0, 0.7), shift=st.floats(-3.0, 3.0), seed=st.integers(0, 2**31))
@example(size=4, filled=0.0, shift=1.0, seed=0)
@example(size=4, filled=0.0, shift=-1.0, seed=0)
@settings(max_examples=150, deadline=None, derandomize=True)
def test_the_inertia_read_off_the_factors_is_that_of_the_eigenvalues(
    size: int, filled: float, shift: float, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    a = rng.normal(size=(size, size)) * (rng.random((size, size)) < filled)
    matrix = a + a.T + shift * np.eye(size)
    eigenvalues = np.linalg.eigvalsh(matrix)
    if np.abs(eigenvalues).min() < 1e-6:
        return  # too near singular for either answer to be right
    try:
        factors = factorise(sparse.csc_array(matrix))
    except RuntimeError:  # a zero pivot: the direction treats that as not positive definite, which must be so
        assert eigenvalues[0] < 0.0
        return
    assert is_positive_definite(factors) == bool(eigenvalues[0] > 0.0)


def test_the_inertia_test_sees_both_answers() -> None:
    """So that the test above can't pass for want of one kind."""
    rng = np.random.default_rng(0)
    a = rng.normal(size=(30, 30)) * (rng.random((30, 30)) < 0.2)
    lowest = -np.linalg.eigvalsh(a + a.T)[0]
    for nudge, want in ((1e-3, True), (-1e-3, False)):
        matrix = a + a.T + (lowest + nudge) * np.eye(30)
        assert is_positive_definite(factorise(sparse.csc_array(matrix))) is want


def test_the_exact_hessian_is_taken_whole_where_it_is_positive_definite() -> None:
    energy = arch(0.5, nudge=0.05)
    q = energy.free(energy.start)
    _, gradient, exact_e, safe_e = energy.hessian(q)
    exact = energy.pattern.fill(exact_e).toarray()
    assert np.linalg.eigvalsh(exact)[0] > 0.0
    direction = Direction(energy.pattern)
    step = direction.step(gradient, exact_e, safe_e)
    assert step is not None
    np.testing.assert_allclose(step, -np.linalg.solve(exact, gradient), rtol=1e-12)
    assert direction.share == 0.0
    assert direction.factorisations == 1


def test_at_negative_curvature_the_direction_goes_down_all_the_same() -> None:
    energy = arch(0.1, nudge=0.02)
    q = energy.free(energy.start)
    _, gradient, exact_e, safe_e = energy.hessian(q)
    assert np.linalg.eigvalsh(energy.pattern.fill(exact_e).toarray())[0] < 0.0
    direction = Direction(energy.pattern)
    step = direction.step(gradient, exact_e, safe_e)
    assert step is not None
    assert gradient @ step < 0.0
    assert 0.0 < direction.share <= 1.0
    assert direction.factorisations > 1
    blended = energy.pattern.fill(exact_e + direction.share * (safe_e - exact_e)).toarray()
    assert direction.share == 1.0 or np.linalg.eigvalsh(blended)[0] > 0.0


def test_factors_serve_again_after_a_good_step_and_never_after_another() -> None:
    energy = arch(0.5, nudge=0.05)
    _, gradient, exact_e, safe_e = energy.hessian(energy.free(energy.start))
    direction = Direction(energy.pattern)
    first = direction.step(gradient, exact_e, safe_e)
    direction.judge(good=True)
    again = direction.step(gradient, exact_e, safe_e)
    assert direction.factorisations == 1
    assert first is not None
    assert again is not None
    np.testing.assert_allclose(again, first, rtol=1e-9)  # two unknowns: two conjugate directions are exact
    direction.judge(good=False)
    direction.step(gradient, exact_e, safe_e)
    assert direction.factorisations == 2


def test_the_share_of_the_safe_part_falls_when_new_factors_are_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    energy = arch(0.5, nudge=0.05)
    _, gradient, exact_e, safe_e = energy.hessian(energy.free(energy.start))
    direction = Direction(energy.pattern, share=1.0)
    shares = [direction.share]
    monkeypatch.setattr("fabricsim.mechanics.direction.MOST_ITERATIONS", 0)
    monkeypatch.setattr(conjugate_gradients, "__defaults__", (0,))
    direction.step(gradient, exact_e, safe_e)
    for _ in range(5):
        direction.step(gradient, exact_e, safe_e)
        shares.append(direction.share)
    assert shares == sorted(shares, reverse=True)
    assert 0.0 < shares[1] < 1.0
    assert shares[-1] == 0.0


@given(seed=st.integers(0, 10**6), size=st.integers(2, 25))
@settings(max_examples=100, deadline=None, derandomize=True)
def test_conjugate_gradients_solve_or_find_negative_curvature(seed: int, size: int) -> None:
    """Against numpy: a positive definite matrix is solved, an indefinite one shows its negative curvature."""
    rng = np.random.default_rng(seed)
    a = rng.normal(size=(size, size))
    positive, force = a @ a.T + np.eye(size), rng.normal(size=size)
    guess = factorise(sparse.csc_array(positive + np.diag(rng.uniform(0.0, 1.0, size))))
    solved = conjugate_gradients(sparse.csc_array(positive), guess, force, 1e-12, 10 * size)
    assert solved.finished
    assert solved.negative_f is None
    np.testing.assert_allclose(positive @ solved.step_f, -force, rtol=1e-6, atol=1e-8 * np.abs(force).max())
    lowest, mode = (part[..., 0] for part in np.linalg.eigh(positive))
    indefinite = positive - 2.0 * lowest * np.outer(mode, mode)
    found = conjugate_gradients(sparse.csc_array(indefinite), guess, force + mode, 0.0, 10 * size)
    assert found.negative_f is not None
    assert found.negative_f @ indefinite @ found.negative_f <= 0.0
    assert found.step_f @ (force + mode) < 0.0  # a descent all the same


def test_a_saddle_is_left_even_where_no_force_points_the_way() -> None:
    """At its apex the flat arch is pushed by nothing at all; both minima lie at 0.6, by hand, and have no energy."""
    energy = arch(0.0)
    q = energy.free(energy.start)
    assert largest(energy.gradient(q)[1]) <= 1e-12
    assert energy.value(q) > 0.0
    found = minimise(energy, q, Stopping(1e-12))
    assert found.status is Status.AT_REST
    assert found.steps > 0
    assert abs(found.q_f[1]) == pytest.approx(0.6, rel=1e-9)
    assert found.energy == pytest.approx(0.0, abs=1e-20)


def test_a_minimum_is_not_left() -> None:
    energy = arch(0.6)
    _, gradient, exact_e, safe_e = energy.hessian(energy.free(energy.start))
    assert largest(gradient) <= 1e-12
    assert Direction(energy.pattern).downhill(exact_e, safe_e) is None
    assert minimise(energy, energy.free(energy.start), Stopping(1e-12)).steps == 0


@pytest.mark.parametrize("nudge", [0.0, 0.03])
@pytest.mark.parametrize("apex", [0.05, -0.05, 0.3, -0.3, 1.5])
def test_from_a_start_of_negative_curvature_a_minimum_is_found(apex: float, nudge: float) -> None:
    """Not the saddle between the two minima, where the gradient vanishes too. 0.6 = sqrt(1 - 0.8^2), by hand."""
    energy = arch(apex, nudge=nudge)
    found = minimise(energy, energy.free(energy.start), Stopping(1e-12))
    assert found.status is Status.AT_REST
    # Off the middle it may well overshoot to the other side: either minimum will do.
    x, z = found.q_f
    assert x == pytest.approx(0.0, abs=1e-9)
    assert abs(z) == pytest.approx(0.6, rel=1e-9)
    assert nudge or z * apex > 0.0
    assert found.energy == pytest.approx(0.0, abs=1e-20)
    assert found.residual <= 1e-12


def test_near_a_minimum_the_error_falls_faster_than_in_proportion() -> None:
    residuals: list[float] = []
    energy = arch(0.55, nudge=0.02)
    found = minimise(energy, energy.free(energy.start), Stopping(1e-13), lambda _, r: residuals.append(r))
    assert found.status is Status.AT_REST
    assert len(residuals) == found.steps + 1
    # The Newton equation is solved to the square root of the force left, so each force is about the 1.5th power of
    # the one before (Dembo, Eisenstat, Steihaug 1982, memory); over a stiffness of 10 N/m the constant is below one.
    for before, after in pairwise(residuals[1:]):
        assert after < before**1.5 + 1e-13


def test_the_same_start_gives_the_same_answer_to_the_last_bit() -> None:
    a, b = (minimise(e, e.free(e.start), Stopping(1e-12)) for e in (arch(0.1, nudge=0.02), arch(0.1, nudge=0.02)))
    np.testing.assert_array_equal(a.q_f, b.q_f)
    assert (a.steps, a.factorisations, a.evaluations) == (b.steps, b.factorisations, b.evaluations)


def test_a_full_step_is_shortened_until_the_energy_falls() -> None:
    """Armijo's condition by hand: the largest of 1, 1/2, 1/4 .. of the step that meets it, and no smaller one."""
    energy = arch(0.5)
    q = energy.free(energy.start)
    u, gradient = energy.gradient(q)
    for factor in (1e-3, 1.0, 40.0):
        step = -factor * gradient
        found = backtrack(energy, q, u, gradient, step)
        assert found is not None
        lengths = 0.5 ** np.arange(30)
        enough = [energy.value(q + t * step) <= u + SUFFICIENT * t * (gradient @ step) for t in lengths]
        assert found.length == lengths[enough.index(True)]
        assert found.trials == enough.index(True) + 1
        np.testing.assert_array_equal(found.q_f, q + found.length * step)
    assert found.length < 1.0


def test_uphill_no_step_is_found() -> None:
    energy = arch(0.5)
    q = energy.free(energy.start)
    u, gradient = energy.gradient(q)
    assert backtrack(energy, q, u, gradient, gradient) is None


def noisy_arch(apex: float) -> Energy:
    """The arch with a large energy that never changes but in its last digits.

    Ballast hangs on a pin, and three weights on the joint cancel (0.1 + 0.2 - 0.3, in MN): their sum is nothing but
    round-off, 1e-9 J beside 5e6 J, while a step from 1e-7 off rest gains 1e-13 J.
    """
    plain = arch(apex)
    weights = [Term("weight", Height(), Proportional(k * 1e5), np.array([[1]])) for k in (1.0, 2.0, -3.0)]
    ballast = Term("ballast", Height(), Proportional(1e6), np.array([[2]]))
    raised = State(plain.start.x_nc + np.array([0.0, 0.0, 5.0]))
    return assemble([*plain.terms, ballast, *weights], raised, [0, 1, 2, 4, 6, 7, 8])


def test_below_round_off_the_force_decides() -> None:
    """A step that lowers the largest force counts, even where the energy seems to rise in its last digits."""
    rises = 0
    for offset in 1e-7 * np.arange(1, 40):
        energy = noisy_arch(0.6 + offset)
        q = energy.free(energy.start)
        u, gradient, exact_e, _ = energy.hessian(q)
        step = -np.linalg.solve(energy.pattern.fill(exact_e).toarray(), gradient)
        rise = energy.value(q + step) - u
        assert abs(rise) < 1e-8
        rises += rise > 0.0
        found = backtrack(energy, q, u, gradient, step)
        assert found is not None
        assert found.length == 1.0
        assert largest(energy.gradient(found.q_f)[1]) < 1e-3 * largest(gradient)
        assert minimise(energy, q, Stopping(1e-10)).status is Status.AT_REST
    assert rises > 3, "the energy never seemed to rise: nothing was tested"


@pytest.mark.parametrize(
    ("step", "energy", "gradient", "want"),
    [
        (0, 1.0, [0.5, -2.0], None),
        (0, 1.0, [0.5, -1.0], Status.AT_REST),  # at most the tolerance, by the largest component
        (10, 1.0, [2.0], Status.STEP_LIMIT),
        (9, 1.0, [2.0], None),
        (10, 1.0, [1.0], Status.AT_REST),
        (0, np.nan, [0.0], Status.NOT_FINITE),
        (0, np.inf, [0.0], Status.NOT_FINITE),
        (0, 1.0, [0.0, np.nan], Status.NOT_FINITE),
        (10, 1.0, [np.inf], Status.NOT_FINITE),
        (0, 1.0, [], Status.AT_REST),
    ],
)
def test_when_to_stop(step: int, energy: float, gradient: list[float], want: Status | None) -> None:
    assert Stopping(1.0, steps=10).judge(step, energy, np.array(gradient)) is want


def test_every_status_says_what_it_means() -> None:
    assert len({s.text for s in Status}) == len(Status)
    assert all(len(s.text.split()) > 5 for s in Status)
    assert [s for s in Status if s.at_rest] == [Status.AT_REST]


def test_at_rest_from_the_start_takes_no_step() -> None:
    energy = arch(0.6)
    found = minimise(energy, energy.free(energy.start), Stopping(1e-12))
    assert (found.status, found.steps, found.factorisations) == (Status.AT_REST, 0, 1)  # one look at its curvature


def test_the_step_limit_is_reached() -> None:
    energy = arch(0.1, nudge=0.2)
    found = minimise(energy, energy.free(energy.start), Stopping(1e-12, steps=2))
    assert found.status is Status.STEP_LIMIT
    assert found.steps == 2
    assert found.residual > 1e-12
    assert found.energy < energy.value(energy.free(energy.start))


def test_two_nodes_in_one_place_are_not_finite() -> None:
    energy = arch(0.0, nudge=0.8)
    with np.errstate(invalid="ignore", divide="ignore"):
        found = minimise(energy, energy.free(energy.start), Stopping(1e-12))
    assert found.status is Status.NOT_FINITE
    assert found.steps == 0


@dataclass(frozen=True)
class Reversed:
    """A height whose slope has the wrong sign: every direction that ought to go down goes up."""

    combine_mp: Floats = field(default_factory=lambda: np.array([[1.0]]))

    def measure(self, d_bmc: Floats, order: Order) -> Measure:
        return Measure(d_bmc[:, 0, 2], np.broadcast_to([0.0, 0.0, -1.0], (len(d_bmc), 3)))


def test_no_lower_energy_along_the_direction() -> None:
    """Reached by a gradient that contradicts its energy, which is what this status would betray."""
    wrong = Term("wrong", Reversed(), Elastic(1.0, 0.0), np.array([[0]]))
    energy = assemble([wrong], State(np.array([[0.0, 0.0, 1.0]])), [0, 1])
    found = minimise(energy, energy.free(energy.start), Stopping(1e-12))
    assert found.status is Status.NO_LOWER_ENERGY
    assert found.steps == 0


def test_no_lower_energy_where_nothing_holds_the_weight() -> None:
    """A weight over no table: constant force, no curvature, nothing to factorise. It must end and say so."""
    weight = Term("weight", Height(), Proportional(1.0), np.array([[0]]))
    energy = assemble([weight], State(np.array([[0.0, 0.0, 1.0]])), [0, 1])
    found = minimise(energy, energy.free(energy.start), Stopping(1e-12))
    assert found.status is Status.NO_LOWER_ENERGY
    assert found.residual == 1.0


def test_a_weight_sinks_into_a_table_by_weight_over_stiffness() -> None:
    weight = Term("weight", Height(), Proportional(2.0), np.array([[0]]))
    table = Term("table", Height(), Floor(100.0, 0.5), np.array([[0]]))
    energy = assemble([weight, table], State(np.array([[0.0, 0.0, 0.4]])), [0, 1])
    found = minimise(energy, energy.free(energy.start), Stopping(1e-12))
    assert found.status is Status.AT_REST
    assert found.q_f == pytest.approx([0.48], rel=1e-12)
