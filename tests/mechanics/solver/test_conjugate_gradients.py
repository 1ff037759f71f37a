"""Conjugate gradients and the factors that guide them: inertia, precision, patience, and negative curvature."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy import sparse

from fabricsim.arrays import Floats
from fabricsim.mechanics.assemble import State, assemble
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.factors.bands import Banded
from fabricsim.mechanics.factors.fronts import Fronted
from fabricsim.mechanics.factors.kinds import MOST_ITERATIONS, Factors
from fabricsim.mechanics.factors.sparse_lu import Unplanned
from fabricsim.mechanics.laws import Elastic
from fabricsim.mechanics.solver.direction import Direction, conjugate_gradients
from fabricsim.mechanics.solver.minimise import minimise
from fabricsim.mechanics.solver.stopping import Status, Stopping
from fabricsim.mechanics.terms import Term
from tests.support.arches import REACH, SINGLE, arch, material_of, never, parts
from tests.support.matrices import blocks_of, full_pattern, with_spectrum


def factors_of(matrix: Floats, precision: type = np.float64) -> Factors:
    """Return sparse factors of a positive definite matrix."""
    factors = Unplanned().factorised(sparse.csc_array(matrix), precision)
    assert factors is not None
    return factors


@given(size=st.integers(1, 12), filled=st.floats(0.0, 0.7), shift=st.floats(-3.0, 3.0), seed=st.integers(0, 2**31))
@example(size=4, filled=0.0, shift=1.0, seed=0)
@example(size=4, filled=0.0, shift=-1.0, seed=0)
def test_the_inertia_read_off_the_factors_is_that_of_the_eigenvalues(
    size: int, filled: float, shift: float, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    a = rng.normal(size=(size, size)) * (rng.random((size, size)) < filled)
    matrix = a + a.T + shift * np.eye(size)
    eigenvalues = np.linalg.eigvalsh(matrix)
    if np.abs(eigenvalues).min() < 1e-6:
        return  # too near singular for either answer to be right
    assert (Unplanned().factorised(sparse.csc_array(matrix), np.float64) is not None) == bool(eigenvalues[0] > 0.0)


def test_the_inertia_test_sees_both_answers() -> None:
    """So that the test above can't pass for want of one kind."""
    rng = np.random.default_rng(0)
    a = rng.normal(size=(30, 30)) * (rng.random((30, 30)) < 0.2)
    lowest = -np.linalg.eigvalsh(a + a.T)[0]
    for nudge, want in ((1e-3, True), (-1e-3, False)):
        matrix = a + a.T + (lowest + nudge) * np.eye(30)
        assert (Unplanned().factorised(sparse.csc_array(matrix), np.float64) is not None) is want


@given(seed=st.integers(0, 10**6), size=st.integers(2, 25), single=st.booleans())
def test_conjugate_gradients_solve_or_find_negative_curvature(seed: int, size: int, single: bool) -> None:
    """Against numpy, with factors of either precision: a positive definite matrix is solved to 1e-12, an indefinite one
    shows its negative curvature."""
    rng = np.random.default_rng(seed)
    a = rng.normal(size=(size, size))
    positive, force = a @ a.T + np.eye(size), rng.normal(size=size)
    nearby = positive + np.diag(rng.uniform(0.0, 1.0, size))
    guess = factors_of(nearby, np.float32 if single else np.float64)
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
    factors, force = factors_of(np.eye(60)), rng.normal(size=60)
    solved = [conjugate_gradients(sparse.csc_array(matrix), factors, force, 1e-10, distinct - k) for k in (0, 1)]
    assert [s.finished for s in solved] == [True, False]


def test_conjugate_gradients_count_their_iterations() -> None:
    """Cut short they say so, and what they have is a descent; the right factors take one, to double precision one more
    or two where factors are single."""
    rng = np.random.default_rng(0)
    matrix, _ = with_spectrum(np.geomspace(1.0, 1e4, 60), rng)
    force = rng.normal(size=60)
    diagonal = factors_of(np.diag(np.diag(matrix)))
    short = conjugate_gradients(sparse.csc_array(matrix), diagonal, force, 1e-12, 5)
    assert not short.finished
    assert force @ short.step_f < 0.0
    whole = sparse.csc_array(matrix)
    assert conjugate_gradients(whole, factors_of(matrix), force, 1e-8, 1).finished
    assert conjugate_gradients(whole, factors_of(matrix, np.float32), force, 1e-12, 6).finished


@pytest.mark.parametrize("size", [1e-20, 1e-50, 1e-200, 1e30, 1e200])
def test_single_precision_factors_answer_to_forces_of_any_size(size: float) -> None:
    """Its least number is 1e-45, its greatest 3e38; forces near rest are below the one, their squares more so."""
    rng = np.random.default_rng(0)
    matrix, _ = with_spectrum(np.geomspace(1.0, 10.0, 12), rng)
    force = rng.normal(size=12)
    for precision in (np.float32, np.float64):
        factors = factors_of(matrix, precision)
        got = factors.solve(size * force)
        assert got.dtype == np.float64
        np.testing.assert_allclose(got / size, np.linalg.solve(matrix, force), rtol=SINGLE)
        np.testing.assert_array_equal(factors.solve(np.zeros(12)), np.zeros(12))


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
def test_no_negative_curvature_is_found_where_there_is_none(
    low: float, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without factors; under kept ones of a near matrix, which prove it; and under useless ones, which are replaced."""
    for kind in (Banded, Fronted):
        monkeypatch.setattr(kind, "patience", MOST_ITERATIONS)  # of so small ones new factors would be cheaper
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


def test_patience_is_short_where_columns_of_the_factors_are() -> None:
    """A diagonal matrix costs as much to factorise as to solve with; a full one a great deal more."""
    full = np.eye(400) + 1e-3
    short, long = (factors_of(m).patience for m in (np.eye(400), full))
    assert short == 2
    assert 20 <= long <= MOST_ITERATIONS


@pytest.mark.parametrize(("curvature", "none"), [(0.5e-13, True), (2e-13, False), (0.0, True), (-0.5e-13, True)])
def test_what_is_flat_as_far_as_round_off_tells_counts_as_no_curvature(curvature: float, none: bool) -> None:
    """A ten-trillionth of the largest stiffness, or less: as of a fabric that falls, pushed the way it falls."""
    stiff = 1e3
    hessian = sparse.csc_array(np.diag([stiff, curvature * stiff]))
    force = np.array([0.0, 3.0])
    found = conjugate_gradients(hessian, factors_of(np.eye(2)), -force, 1e-6)
    assert found.finished
    if none:
        assert found.negative_f is not None
        np.testing.assert_allclose(found.negative_f, force)
        assert not found.step_f.any()
    else:
        assert found.negative_f is None
        np.testing.assert_allclose(found.step_f, force / (curvature * stiff))
