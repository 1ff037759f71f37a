"""Direction, step length and stopping, each by itself; then every way a minimisation can end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import sparse

import fabricsim.mechanics.direction as direction_module
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.direction import Direction, conjugate_gradients, factorise, is_positive_definite, solve
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.energies.height import Height
from fabricsim.mechanics.laws import Elastic, Floor, Proportional
from fabricsim.mechanics.line_search import SUFFICIENT, backtrack
from fabricsim.mechanics.minimise import minimise
from fabricsim.mechanics.stopping import Status, Stopping, largest
from fabricsim.mechanics.terms import Measure, Order, Term
from tests.support.matrices import blocks_of, full_pattern, with_spectrum

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


SINGLE = 1e-5
"""Relative, of what comes of single-precision factors alone: their round-off, 6e-8, times a condition of up to 100."""
REACH = 0.03


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


def test_the_first_step_is_that_of_springs_without_forces() -> None:
    energy = arch(0.5, nudge=0.05)
    gradient, exact_eb, exact, material = parts(energy)
    direction = Direction(energy.pattern, REACH)
    step = direction.step(gradient, exact_eb, material_of(energy))
    assert step is not None
    np.testing.assert_allclose(step, -np.linalg.solve(material, gradient), rtol=SINGLE)
    assert np.abs(step + np.linalg.solve(exact, gradient)).max() > 0.1 * np.abs(step).max()
    assert (direction.share, direction.factorisations) == (1.0, 1)


@pytest.mark.parametrize("noise", [0.0, 0.3])
def test_the_first_step_descends_even_at_negative_curvature(noise: float) -> None:
    energy = arch(0.1, nudge=0.02 + noise)
    gradient, exact_eb, exact, _ = parts(energy)
    assert np.linalg.eigvalsh(exact)[0] < 0.0
    step = Direction(energy.pattern, REACH).step(gradient, exact_eb, material_of(energy))
    assert step is not None
    assert gradient @ step < 0.0


def test_the_exact_hessian_is_taken_whole_where_it_is_positive_definite() -> None:
    """Once no share of the material part is left: Newton's own step, and the material part isn't even made."""
    energy = arch(0.5, nudge=0.05)
    gradient, exact_eb, exact, _ = parts(energy)
    assert np.linalg.eigvalsh(exact)[0] > 0.0
    direction = Direction(energy.pattern, REACH, share=0.0)
    step = direction.step(gradient, exact_eb, never)
    assert step is not None
    np.testing.assert_allclose(step, -np.linalg.solve(exact, gradient), rtol=SINGLE)
    assert (direction.share, direction.factorisations) == (0.0, 1)


def test_at_negative_curvature_the_direction_goes_down_all_the_same() -> None:
    energy = arch(0.1, nudge=0.02)
    gradient, exact_eb, exact, material = parts(energy)
    assert np.linalg.eigvalsh(exact)[0] < 0.0
    direction = Direction(energy.pattern, REACH, share=0.0)
    step = direction.step(gradient, exact_eb, material_of(energy))
    assert step is not None
    assert gradient @ step < 0.0
    assert 0.0 < direction.share <= 1.0
    assert direction.factorisations > 1
    blended = exact + direction.share * (material - exact)
    assert direction.share == 1.0 or np.linalg.eigvalsh(blended)[0] > 0.0


@pytest.mark.parametrize("kept", [False, True])
@pytest.mark.parametrize("seed", range(5))
def test_negative_curvature_is_followed_boldly(kept: bool, seed: int) -> None:
    """As far as ``reach`` says at the node that moves most, downhill, along the negative curvature that was met; the
    rest of the step doesn't depend on the reach. With fresh factors of a blend, and with kept ones."""
    rng = np.random.default_rng(seed)
    pattern, size = full_pattern(8), 24
    sizes = rng.uniform(1.0, 10.0, size)
    positive, modes = with_spectrum(sizes, rng)
    indefinite = positive - 1.5 * sizes[0] * np.outer(modes[:, 0], modes[:, 0])
    force = rng.normal(size=size) + 5.0 * modes[:, 0]  # enough that way to be met before the rest is solved
    steps = []
    for reach in (REACH, 3.0 * REACH):
        direction = Direction(pattern, reach, share=0.0)
        if kept:
            direction.step(force, blocks_of(positive), never)
        step = direction.step(force, blocks_of(indefinite), partial(blocks_of, positive))
        assert step is not None
        assert (direction.factorisations == 1) == kept
        steps.append(step)
    along = steps[1] - steps[0]
    assert np.abs(along).max() == pytest.approx(2.0 * REACH, rel=1e-9)
    assert along @ indefinite @ along < 0.0
    assert force @ along < 0.0
    assert force @ (steps[0] - 0.5 * along) <= 1e-12  # what is left without the bold move: a descent, or nothing


def test_factors_serve_again_after_a_good_step_and_never_after_another() -> None:
    """The kept ones, of the material part, lead to the step of the exact Hessian."""
    energy = arch(0.5, nudge=0.05)
    gradient, exact_eb, exact, _ = parts(energy)
    direction = Direction(energy.pattern, REACH)
    direction.step(gradient, exact_eb, material_of(energy))
    direction.judge(full=True, good=True)
    # With a 1e-12th of the first force left the equation is solved to a 1e-6th.
    again = direction.step(1e-12 * gradient, exact_eb, never)
    assert direction.factorisations == 1
    assert again is not None
    np.testing.assert_allclose(again, -1e-12 * np.linalg.solve(exact, gradient), rtol=SINGLE)
    for number, (full, good) in enumerate([(True, False), (False, True), (False, False)], 2):
        direction.judge(full=full, good=good)
        direction.step(gradient, exact_eb, material_of(energy))
        assert direction.factorisations == number


def test_bold_moves_go_ever_further_until_one_is_cut_short() -> None:
    """Twice as far after each that could be taken in full, good or not; steps that aren't bold change nothing."""
    rng = np.random.default_rng(0)
    positive, modes = with_spectrum(np.linspace(1.0, 10.0, 24), rng)
    indefinite = positive - 1.5 * np.outer(modes[:, 0], modes[:, 0])
    force = rng.normal(size=24) + 5.0 * modes[:, 0]

    def move(reach: float, full: list[bool]) -> Floats:
        direction = Direction(full_pattern(8), reach, share=0.0)
        for one in full:
            direction.step(force, blocks_of(positive), never)
            direction.judge(full=True, good=True)
            direction.step(force, blocks_of(indefinite), partial(blocks_of, positive))
            direction.judge(full=one, good=True)
            direction.renew(full_pattern(8))
            direction.share = 0.0
        direction.step(force, blocks_of(positive), never)
        step = direction.step(force, blocks_of(indefinite), partial(blocks_of, positive))
        assert step is not None
        return step

    for full, further in (([], 1.0), ([True], 2.0), ([True, True, True], 8.0), ([True, True, False], 1.0)):
        along = move(2.0 * REACH, full) - move(REACH, full)
        assert np.abs(along).max() == pytest.approx(further * REACH, rel=1e-9)


@pytest.mark.parametrize("left", [1.0, 1e-2, 1e-6, 1e-10])
def test_the_newton_equation_is_solved_ever_better_towards_rest(left: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """To the square root of the share of the first force that is left, and no better than to a tenth far off."""
    monkeypatch.setattr(direction_module, "patience", lambda _: 25)
    rng = np.random.default_rng(1)
    pattern = full_pattern(20)
    matrix, modes = with_spectrum(np.geomspace(1.0, 100.0, 60), rng)
    other = matrix + (modes * rng.uniform(0.0, 20.0, 60)) @ modes.T
    force = rng.normal(size=60)
    direction = Direction(pattern, REACH, share=0.0)
    direction.step(force, blocks_of(other), never)
    step = direction.step(left * force, blocks_of(matrix), never)
    assert step is not None
    assert direction.factorisations == 1

    def size(residual: Floats) -> float:  # as conjugate gradients measure it, in the norm of the factors
        return float(np.sqrt(residual @ np.linalg.solve(other, residual)))

    off = size(matrix @ step + left * force) / size(left * force)
    assert off < 1.001 * min(0.1, left**0.5)
    assert off > 1e-3 * min(0.1, left**0.5)


def test_the_share_of_the_material_part_falls_when_new_factors_are_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    energy = arch(0.5, nudge=0.05)
    gradient, exact_eb, _, _ = parts(energy)
    direction = Direction(energy.pattern, REACH)
    shares = [direction.share]
    monkeypatch.setattr(direction_module, "patience", lambda _: 0)
    direction.step(gradient, exact_eb, material_of(energy))
    for number in range(5):
        direction.step(gradient, exact_eb, material_of(energy))
        assert direction.factorisations == number + 2
        shares.append(direction.share)
    assert shares == sorted(shares, reverse=True)
    assert shares[1] == pytest.approx(0.2)
    assert shares[-1] == 0.0


@given(seed=st.integers(0, 10**6), size=st.integers(2, 25), single=st.booleans())
@settings(max_examples=150, deadline=None, derandomize=True)
def test_conjugate_gradients_solve_or_find_negative_curvature(seed: int, size: int, single: bool) -> None:
    """Against numpy, with factors of either precision: a positive definite matrix is solved to 1e-12, an indefinite one
    shows its negative curvature."""
    rng = np.random.default_rng(seed)
    a = rng.normal(size=(size, size))
    positive, force = a @ a.T + np.eye(size), rng.normal(size=size)
    nearby = sparse.csc_array(positive + np.diag(rng.uniform(0.0, 1.0, size)))
    guess = factorise(nearby.astype(np.float32) if single else nearby)
    solved = conjugate_gradients(sparse.csc_array(positive), guess, force, 1e-12, 10 * size)
    assert solved.finished
    assert solved.negative_f is None
    # 1e-12 in the norm of the factors; back from it by the root of the condition, at most 150 here.
    assert np.abs(positive @ solved.step_f + force).max() <= 2e-11 * np.abs(force).max()
    lowest, mode = (part[..., 0] for part in np.linalg.eigh(positive))
    indefinite = positive - 2.0 * lowest * np.outer(mode, mode)
    found = conjugate_gradients(sparse.csc_array(indefinite), guess, force + mode, 0.0, 10 * size)
    assert found.finished
    assert found.negative_f is not None
    assert found.negative_f @ indefinite @ found.negative_f <= 0.0
    assert found.step_f @ (force + mode) <= 0.0  # a descent all the same, or nothing yet


@pytest.mark.parametrize("distinct", [1, 3, 7])
def test_conjugate_gradients_take_one_iteration_for_each_distinct_eigenvalue(distinct: int) -> None:
    """No more and no fewer: what makes them conjugate."""
    rng = np.random.default_rng(2)
    matrix, _ = with_spectrum(np.resize(np.linspace(1.0, 5.0, distinct), 60), rng)
    factors, force = factorise(sparse.csc_array(np.eye(60))), rng.normal(size=60)
    solved = [conjugate_gradients(sparse.csc_array(matrix), factors, force, 1e-10, distinct - k) for k in (0, 1)]
    assert [s.finished for s in solved] == [True, False]


def test_conjugate_gradients_count_their_iterations() -> None:
    """Cut short they say so, and what they have is a descent; the right factors take one, to double precision one more
    or two where factors are single."""
    rng = np.random.default_rng(0)
    matrix, _ = with_spectrum(np.geomspace(1.0, 1e4, 60), rng)
    force = rng.normal(size=60)
    diagonal = factorise(sparse.csc_array(np.diag(np.diag(matrix))))
    short = conjugate_gradients(sparse.csc_array(matrix), diagonal, force, 1e-12, 5)
    assert not short.finished
    assert force @ short.step_f < 0.0
    whole = sparse.csc_array(matrix)
    assert conjugate_gradients(whole, factorise(whole), force, 1e-8, 1).finished
    assert conjugate_gradients(whole, factorise(whole.astype(np.float32)), force, 1e-12, 6).finished


@pytest.mark.parametrize("size", [1e-20, 1e-50, 1e-200, 1e30, 1e200])
def test_single_precision_factors_answer_to_forces_of_any_size(size: float) -> None:
    """Its least number is 1e-45, its greatest 3e38; forces near rest are below the one, their squares more so."""
    rng = np.random.default_rng(0)
    matrix, _ = with_spectrum(np.geomspace(1.0, 10.0, 12), rng)
    force = rng.normal(size=12)
    for precision in (np.float32, np.float64):
        factors = factorise(sparse.csc_array(matrix).astype(precision))
        got = solve(factors, size * force)
        assert got.dtype == np.float64
        np.testing.assert_allclose(got / size, np.linalg.solve(matrix, force), rtol=SINGLE)
        np.testing.assert_array_equal(solve(factors, np.zeros(12)), np.zeros(12))


def test_a_force_of_next_to_nothing_is_followed() -> None:
    """1e-20 N, on kept factors, and on new ones."""
    energy = arch(0.5, nudge=0.05)
    gradient, exact_eb, exact, material = parts(energy)
    for share, matrix in ((1.0, material), (0.0, exact)):
        direction = Direction(energy.pattern, REACH, share=share)
        tiny = 1e-20 / np.abs(gradient).max() * gradient
        step = direction.step(tiny, exact_eb, material_of(energy))
        assert step is not None
        np.testing.assert_allclose(step, -np.linalg.solve(matrix, tiny), rtol=SINGLE)


NEGATIVE = [-1.0, -1e-2, -1e-5, -1e-8]
"""Times an eigenvalue amid the others; the last one lies far below what single precision can tell from nought."""


@pytest.mark.parametrize("negative", NEGATIVE)
@pytest.mark.parametrize("seed", range(4))
def test_one_negative_eigenvalue_is_found(negative: float, seed: int) -> None:
    """Without factors, and hidden under kept factors of a matrix that has that eigenvalue positive."""
    rng = np.random.default_rng(seed)
    pattern, sizes = full_pattern(20), np.geomspace(1.0, 1e3, 60)
    positive, modes = with_spectrum(sizes, rng)
    k = int(rng.integers(60))
    indefinite = positive + (negative - 1.0) * sizes[k] * np.outer(modes[:, k], modes[:, k])
    material = partial(blocks_of, positive)
    for kept in (False, True):
        direction = Direction(pattern, REACH, share=0.0)
        if kept:
            direction.step(rng.normal(size=60), blocks_of(positive), never)
        away = direction.downhill(blocks_of(indefinite), material)
        assert away is not None
        assert np.abs(away).max() == pytest.approx(REACH, rel=1e-12)
        assert away @ indefinite @ away < 0.0
        assert not kept or direction.factorisations == 1, "no new factors are needed to find it"
        if not kept and negative <= -1e-2:  # clear in single precision: as little of it as will do
            assert direction.share == (0.8 if negative == -1.0 else 0.05)


@pytest.mark.parametrize("seed", range(3))
def test_a_negative_eigenvalue_is_found_by_poor_factors_too(seed: int) -> None:
    """With a material part that is nothing like the Hessian it takes more iterations than a step would be given."""
    rng = np.random.default_rng(seed)
    sizes = np.geomspace(1.0, 1e3, 90)
    sizes[0] = -1e-3
    indefinite, _ = with_spectrum(sizes, rng)
    strange, _ = with_spectrum(np.geomspace(1.0, 1e5, 90), rng)
    direction = Direction(full_pattern(30), REACH)
    away = direction.downhill(blocks_of(indefinite), partial(blocks_of, strange))
    assert away is not None
    assert away @ indefinite @ away < 0.0


def test_a_singular_material_part_is_no_hindrance() -> None:
    """A bar that floats about has one stiffness and five soft modes; a small shift holds those, in single precision
    too."""
    bar = Term("bar", Distance(), Elastic(10.0, 1.0), np.array([[0, 1]]))
    energy = assemble([bar], State(np.array([[0.1, 0.2, 0.3], [0.7, 0.9, 1.4]])))
    gradient, exact_eb, _, _ = parts(energy)
    step = Direction(energy.pattern, REACH).step(gradient, exact_eb, material_of(energy))
    assert step is not None
    assert gradient @ step < 0.0
    found = minimise(energy, energy.free(energy.start), Stopping(1e-12))
    assert found.status is Status.AT_REST
    x_nc = energy.state(found.q_f).x_nc
    assert np.linalg.norm(x_nc[1] - x_nc[0]) == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize("low", [1.0, 1e-3])
@pytest.mark.parametrize("seed", range(4))
def test_no_negative_curvature_is_found_where_there_is_none(low: float, seed: int) -> None:
    """Without factors; under kept ones of a near matrix, which prove it; and under useless ones, which are replaced."""
    rng = np.random.default_rng(seed)
    pattern = full_pattern(20)
    sizes = np.geomspace(low, 1e3, 60)
    matrix, modes = with_spectrum(sizes, rng)
    near = (modes * sizes * rng.uniform(0.7, 1.4, 60)) @ modes.T
    strange, _ = with_spectrum(np.geomspace(1.0, 1e3, 60), rng)
    for kept, factorisations in ((None, 1), (near, 1), (strange, 2)):
        direction = Direction(pattern, REACH, share=0.0)
        if kept is not None:
            direction.step(rng.normal(size=60), blocks_of(kept), never)
        assert direction.downhill(blocks_of(matrix), never) is None
        assert direction.factorisations == factorisations


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
    gradient, exact_eb, _, _ = parts(energy)
    assert largest(gradient) <= 1e-12
    assert Direction(energy.pattern, REACH).downhill(exact_eb, material_of(energy)) is None
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


def test_the_gradient_is_asked_for_at_round_off_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """Trials are values, but where two of them can't be told apart: there one gradient for each that can't."""
    asked: list[Floats] = []
    of = Energy.gradient
    monkeypatch.setattr(Energy, "gradient", lambda self, q: asked.append(q) or of(self, q))
    energy = arch(0.5)
    q = energy.free(energy.start)
    u, gradient = of(energy, q)
    found = backtrack(energy, q, u, gradient, -40.0 * gradient)
    assert found is not None
    assert found.trials > 1
    assert asked == []
    energy = noisy_arch(0.6 + 1e-7)
    q = energy.free(energy.start)
    _, gradient, exact_eb = energy.hessian(q)
    step = -np.linalg.solve(energy.pattern.fill(exact_eb).toarray(), gradient)
    u = energy.value(q + step) - 1e-8  # so that it seems to rise, by no more than round-off
    found = backtrack(energy, q, u, gradient, step)
    assert found is not None
    assert len(asked) == found.trials == 1
    np.testing.assert_array_equal(asked[0], q + step)
    assert backtrack(energy, q, u - 1.0, gradient, step) is None  # a rise that is none of round-off
    assert len(asked) == 1


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
        u, gradient, exact_eb = energy.hessian(q)
        step = -np.linalg.solve(energy.pattern.fill(exact_eb).toarray(), gradient)
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


def test_patience_is_short_where_columns_of_the_factors_are() -> None:
    """A diagonal matrix costs as much to factorise as to solve with; a full one a great deal more."""
    full = np.eye(400) + 1e-3
    short, long = (direction_module.patience(factorise(sparse.csc_array(m))) for m in (np.eye(400), full))
    assert short == 2
    assert 20 <= long <= direction_module.MOST_ITERATIONS
