"""Step lengths: halving until the energy falls, and the force where it no longer tells."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.arrays import Floats, largest
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.energies.height import Height
from fabricsim.mechanics.laws import Proportional
from fabricsim.mechanics.solver.line_search import SUFFICIENT, backtrack, slide
from fabricsim.mechanics.solver.minimise import minimise
from fabricsim.mechanics.solver.stopping import Status, Stopping
from fabricsim.mechanics.terms import Term
from tests.support.arches import arch


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


def test_what_is_not_allowed_is_not_taken() -> None:
    """The longest of 1, 1/2, 1/4 .. that may be taken, asked for only where the energy is low enough; none, if none
    may."""
    energy = arch(0.5)
    q = energy.free(energy.start)
    u, gradient = energy.gradient(q)
    step = -gradient
    asked: list[Floats] = []
    free = backtrack(energy, q, u, gradient, step)
    assert free is not None

    def near(at: Floats) -> bool:
        asked.append(at)
        return bool(np.linalg.norm(at - q) < 0.3 * free.length * np.linalg.norm(step))

    held = backtrack(energy, q, u, gradient, step, near)
    assert held is not None
    assert held.length == 0.25 * free.length
    assert len(asked) == 3
    assert backtrack(energy, q, u, gradient, step, lambda _: False) is None


def test_near_rest_too_only_what_is_allowed_is_taken() -> None:
    """Where the force decides, as energies can't be told apart any more."""
    energy = noisy_arch(0.6 + 1e-7)
    q = energy.free(energy.start)
    _, gradient, exact_eb = energy.hessian(q)
    step = -np.linalg.solve(energy.pattern.fill(exact_eb).toarray(), gradient)
    u = energy.value(q + step) - 1e-8  # so that it seems to rise, by no more than round-off
    whole = backtrack(energy, q, u, gradient, step, lambda _: True)
    assert whole is not None
    assert (whole.length, whole.trust) == (1.0, 1.0)
    asked: list[Floats] = []
    assert backtrack(energy, q, u, gradient, step, lambda at: asked.append(at) or False) is None
    np.testing.assert_array_equal(asked[0], q + step)


@pytest.mark.parametrize("below", [-1.0, 1.0])
def test_off_a_hilltop_the_side_that_is_allowed_is_taken(below: float) -> None:
    energy = arch(0.0)
    q = energy.free(energy.start)
    move = np.array([0.0, 0.1])
    for way in (move, -move):
        found = slide(energy, q, energy.value(q), way, lambda at: bool(at[1] * below < 0.0))
        assert found is not None
        assert found.q_f[1] == pytest.approx(-0.1 * below, rel=1e-12)
    assert slide(energy, q, energy.value(q), move, lambda _: False) is None


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
