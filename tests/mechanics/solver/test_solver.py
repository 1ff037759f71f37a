"""Minimisation whole, and when to stop: every way in which it can end."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import pytest

from fabricsim.arrays import Floats, largest
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.energies.height import Height
from fabricsim.mechanics.laws import Elastic, Floor, Proportional
from fabricsim.mechanics.solver.direction import Direction
from fabricsim.mechanics.solver.minimise import minimise
from fabricsim.mechanics.solver.stopping import Status, Stopping
from fabricsim.mechanics.terms import Measure, Order, Term
from tests.support.arches import REACH, arch, material_of, parts


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


@dataclass
class Fence:
    """Lets nothing past z = 0 to one side, and from there no step that way be longer than a share of itself."""

    closed: float
    share: float
    asked: list[Floats] = field(default_factory=list)

    def renewed(self, energy: Energy, q_f: Floats) -> Energy | None:
        return None

    def longest(self, energy: Energy, q_f: Floats, step_f: Floats) -> float:
        self.asked.append(step_f)
        return self.share if q_f[1] == 0.0 and step_f[1] * self.closed > 0.0 else 1.0

    def allowed(self, energy: Energy, q_f: Floats, new_f: Floats) -> bool:
        return bool(new_f[1] * self.closed <= 0.0)


@pytest.mark.parametrize("closed", [-1.0, 1.0])
def test_a_saddle_is_left_to_the_side_that_is_allowed(closed: float) -> None:
    """Both sides are asked about, and the first move is no longer than either may be."""
    energy = arch(0.0)
    fence = Fence(closed, 0.125)
    start_f = energy.free(energy.start)
    found = minimise(energy, start_f, Stopping(1e-12), living=fence)
    assert found.status is Status.AT_REST
    assert found.q_f[1] == pytest.approx(-0.6 * closed, rel=1e-9)
    one_f, other_f = fence.asked[:2]
    np.testing.assert_array_equal(one_f, -other_f)
    first = minimise(energy, start_f, Stopping(1e-12, steps=1), living=Fence(closed, 0.125))
    assert largest(first.q_f - start_f) == pytest.approx(0.125 * largest(one_f), rel=1e-12)


@pytest.mark.parametrize(("share", "free"), [(0.125, False), (1.0, True)])
def test_what_was_in_the_way_of_a_step_is_known_to_who_judges_it(
    share: float, free: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    judged = []
    judge = Direction.judge

    def heard(self: Direction, full: bool, good: bool, one: bool = True) -> None:
        judged.append(one)
        judge(self, full, good, one)

    monkeypatch.setattr(Direction, "judge", heard)
    energy = arch(0.0)
    minimise(energy, energy.free(energy.start), Stopping(1e-12, steps=1), living=Fence(1.0, share))
    assert judged == [free]


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
    found = minimise(energy, energy.free(energy.start), Stopping(1e-13), lambda _, r, __: residuals.append(r))
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
