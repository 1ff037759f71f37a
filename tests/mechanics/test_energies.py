"""Every registered energy is right in its derivatives and blind to rigid motions. Being registered is enough.

States are random around a tilted, sheared 3 x 3 patch, so that no term is at a special place.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.mechanics.assemble import State, assemble
from fabricsim.mechanics.energies.registry import KINDS, EnergyKind, Patch
from fabricsim.mechanics.laws import Elastic, Law, Proportional, Response
from fabricsim.mechanics.terms import Term
from tests.support.differences import STEP, jacobian, relative, remainder_slopes
from tests.support.pulls import pulls

W, C = 5.0e-3, 4.0e-3
NOISE = 0.15
"""Of a stitch width, on every coordinate: bars stretch by up to a half, normals turn by tens of degrees."""
SEEDS = range(4)
STRAIGHT = ("weight", "table", "friction")
"""Kinds whose measure is linear: a height, or a way along a line."""
STEPS = 10.0 ** np.linspace(-1.6, -2.6, 6)
"""Shares of the noise along a random direction: small enough for the leading term to rule, large enough that
the remainder stands a thousand times above round-off."""

every_kind = pytest.mark.parametrize("kind", KINDS.values(), ids=list(KINDS))
every_free_kind = pytest.mark.parametrize(
    "kind",
    [kind for kind in KINDS.values() if not kind.fixed],
    ids=[name for name, kind in KINDS.items() if not kind.fixed],
)
"""Those that some rigid motion leaves as they are."""
every_seed = pytest.mark.parametrize("seed", SEEDS)


def patch() -> Patch:
    row, column = np.divmod(np.arange(9), 3)
    return Patch(np.column_stack([W * column, C * row, np.full(9, 1.3e-3)]))


class Case:
    """One random term at one random state, as a function of the 27 coordinates of the patch."""

    def __init__(self, kind: EnergyKind, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.use(kind.sample(patch(), self.rng), State(patch().rest_nc))
        self.q = patch().rest_nc.ravel() + NOISE * W * self.rng.normal(size=27)
        self.away = NOISE * W * self.rng.normal(size=27)

    def use(self, term: Term, start: State) -> None:
        self.term, self.energy = term, assemble([term], start)

    def use_law(self, law: Law) -> None:
        self.use(replace(self.term, law=law), self.energy.start)

    def value(self, q: Floats) -> float:
        return self.energy.value(q)

    def gradient(self, q: Floats) -> Floats:
        return self.energy.gradient(q)[1]

    def hessian(self, q: Floats) -> Floats:
        return self.energy.pattern.fill(self.energy.hessian(q)[2]).toarray()

    def material(self, q: Floats) -> Floats:
        return self.energy.pattern.fill(self.energy.material(q)).toarray()

    def spans(self, q: Floats) -> Floats:
        state = self.energy.state(q)
        return self.term.spans(state.x_nc, state.period_a)

    def measures(self, q: Floats) -> Floats:
        return self.term.geometry.measure(self.spans(q), 0).s_b


def is_smooth_near(case: Case, span: float) -> bool:
    """Whether no element passes a kink of its law (in U'') within ``span`` of the random direction."""
    stiff = [case.term.law(case.measures(case.q + t * case.away))[2] for t in np.linspace(-span, span, 9)]
    return bool(np.ptp(stiff, axis=0).max() == 0.0)


def smooth_case(kind: EnergyKind, seed: int) -> Case:
    """A random case away from kinks, where there is no third derivative, so no Taylor slope of 3."""
    for k in range(seed, seed + 1000, 10):
        case = Case(kind, k)
        if is_smooth_near(case, 2.0 * STEPS[0]):
            return case
    raise AssertionError("every random state lies at a kink")


def test_the_registry_holds_what_the_fabric_is_made_of() -> None:
    assert {"bar", "bend", "bend flipped", "coupling", "tie", "twist", "weight", "table"} <= set(KINDS)


@every_kind
@every_seed
def test_differences_of_value_and_gradient(kind: EnergyKind, seed: int) -> None:
    # The five-point rule is good to 1e-11 or so here (support/differences.py); 1e-7 is far above it and far
    # below any wrong factor or forgotten part.
    case = smooth_case(kind, seed)
    gradient, exact = case.gradient(case.q), case.hessian(case.q)
    scale = NOISE * W
    assert relative(gradient, jacobian(case.value, case.q, scale)) < 1e-7
    assert np.abs(gradient).max() > 0.0
    by_differences = jacobian(case.gradient, case.q, scale)
    assert np.abs(exact - by_differences).max() <= 1e-7 * max(np.abs(exact).max(), np.abs(gradient).max() / W)


@every_kind
@every_seed
def test_taylor_slopes(kind: EnergyKind, seed: int) -> None:
    """The remainder after the gradient falls as t^2, after the Hessian as t^3 (Taylor's theorem)."""
    case = smooth_case(kind, seed)
    u, gradient, exact = case.value(case.q), case.gradient(case.q), case.hessian(case.q)
    along, bent = gradient @ case.away, case.away @ exact @ case.away

    def after_gradient(t: float) -> float:
        return case.value(case.q + t * case.away) - u - t * along

    def after_hessian(t: float) -> float:
        return after_gradient(t) - 0.5 * t * t * bent

    largest = max(u, abs(along), abs(bent))
    # A weight is linear, a table piecewise quadratic: they leave no remainder at all, which then must vanish
    # to round-off instead of following a slope.
    for remainder, power in ((after_gradient, 2.0), (after_hessian, 3.0)):
        if max(abs(remainder(t)) for t in STEPS) < 1e-13 * largest:
            assert kind.name in STRAIGHT
            continue
        slopes = remainder_slopes(remainder, STEPS)
        # The next order adds O(t) to the slope, t <= 10^-1.6: the smallest pair must be near the whole power.
        assert slopes[-1] == pytest.approx(power, abs=0.06)


@every_kind
@every_seed
def test_one_answer_whichever_way_it_is_asked(kind: EnergyKind, seed: int) -> None:
    """The value comes alone, beside the gradient and beside the Hessian, the gradient twice: all to the last bit."""
    case = Case(kind, seed)
    u, gradient, _ = case.energy.hessian(case.q)
    assert case.value(case.q) == case.energy.gradient(case.q)[0] == u
    np.testing.assert_array_equal(case.gradient(case.q), gradient)


@every_kind
@every_seed
def test_hessians_are_symmetric(kind: EnergyKind, seed: int) -> None:
    """Whole matrices to the last bit; the blocks of an element, of which one triangle is read, to round-off."""
    case = Case(kind, seed)
    for h in (case.hessian(case.q), case.material(case.q)):
        np.testing.assert_array_equal(h, h.T)
    _, _, exact_bqq = case.term.hessian(case.spans(case.q))
    assert np.abs(exact_bqq - exact_bqq.transpose(0, 2, 1)).max() <= 1e-14 * max(np.abs(exact_bqq).max(), 1e-300)


WITHOUT_STIFFNESS = ("coupling", "weight")
"""Kinds whose law is a constant force on the measure: no material part at all."""


@dataclass(frozen=True)
class Bowed:
    """U = stiffness/2 s^2 with a stiffness of either sign, unlike any fabric's: half of the elements give way."""

    stiffness: Floats

    def __call__(self, s_b: Floats) -> Response:
        return 0.5 * self.stiffness * s_b * s_b, self.stiffness * s_b, self.stiffness


@every_kind
@pytest.mark.parametrize("seed", range(20))
def test_the_material_part_has_no_negative_curvature(kind: EnergyKind, seed: int) -> None:
    """Of every kind by itself, wherever its elements lie; with its own law and with one that gives way."""
    case = Case(kind, seed)
    assert (case.material(case.q) == 0.0).all() == (kind.name in WITHOUT_STIFFNESS)
    assert_no_negative_eigenvalue(case.material(case.q))
    sign_b = case.rng.permutation(np.resize([1.0, -1.0], len(case.term.node_bp)))
    case.use_law(Bowed(sign_b))
    assert_no_negative_eigenvalue(case.material(case.q))
    assert case.material(case.q).any() == (sign_b > 0.0).any()


def assert_no_negative_eigenvalue(matrix: Floats) -> None:
    eigenvalues = np.linalg.eigvalsh(matrix)
    assert eigenvalues[0] >= -1e-13 * max(eigenvalues[-1], 0.0)  # round-off of a symmetric eigenvalue solver


@every_kind
@every_seed
def test_the_material_part_is_the_whole_hessian_but_for_forces(kind: EnergyKind, seed: int) -> None:
    """Equal where no element carries force, bent and tilted as it lies; with force by what the measure's curvature
    does."""
    case = Case(kind, seed)
    stiff_b = case.rng.uniform(1.0, 2.0, len(case.term.node_bp))
    case.use_law(Elastic(stiff_b, case.measures(case.q)))
    # Measures that were taken by numpy, of compiled sums too: to their last bits.
    assert 0.0 <= case.value(case.q) <= stiff_b @ (1e-14 * (1.0 + np.abs(case.measures(case.q)))) ** 2
    material = case.material(case.q)
    assert material.any()
    assert np.abs(material - case.hessian(case.q)).max() <= 1e-14 * np.abs(material).max()
    case.use_law(Elastic(stiff_b, case.measures(case.q) - 1.0))  # the same stiffness, now pulling
    np.testing.assert_array_equal(case.material(case.q), material)
    case.use_law(Proportional(stiff_b))  # the same pull, no stiffness
    pulling = case.hessian(case.q)
    assert pulling.any() == (kind.name not in STRAIGHT)  # a height alone is straight
    case.use_law(Elastic(stiff_b, case.measures(case.q) - 1.0))
    # 1 beside measures of a few mm: what is left of it after round-off is good to 1e-12.
    largest = np.abs(pulling).max() + np.abs(material).max()
    assert np.abs(case.hessian(case.q) - material - pulling).max() <= 1e-12 * largest


def rotation(axis_c: Floats, angle: float) -> Floats:
    """Rodrigues' formula."""
    x, y, z = axis_c / np.linalg.norm(axis_c)
    k = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.eye(3) + np.sin(angle) * k + (1.0 - np.cos(angle)) * k @ k


@every_free_kind
@every_seed
def test_rigid_motions_leave_the_value_and_carry_the_gradient_along(kind: EnergyKind, seed: int) -> None:
    """Of outer energies (weight, table) only slides along the table and turns about the vertical."""
    case = Case(kind, seed)
    axis_c = case.rng.normal(size=3) if kind.internal else np.array([0.0, 0.0, 1.0])
    slide_c = case.rng.normal(size=3) * 0.02 * np.array([1.0, 1.0, 1.0 if kind.internal else 0.0])
    turn = rotation(axis_c, 2.2)
    moved = (case.q.reshape(-1, 3) @ turn.T + slide_c).ravel()
    turned = (case.gradient(case.q).reshape(-1, 3) @ turn.T).ravel()
    # Round-off of positions (2e-16 of the 2 cm slide) against measures of a few mm and strains of 0.1.
    assert case.value(moved) == pytest.approx(case.value(case.q), rel=1e-12)
    assert np.abs(case.gradient(moved) - turned).max() <= 1e-12 * np.abs(turned).max()


@every_free_kind
@every_seed
def test_net_force_and_torque(kind: EnergyKind, seed: int) -> None:
    case = Case(kind, seed)
    force_nc, x_nc = case.gradient(case.q).reshape(-1, 3), case.q.reshape(-1, 3)
    largest = np.abs(force_nc).max()
    net_c, torque_c = force_nc.sum(axis=0), np.cross(x_nc, force_nc).sum(axis=0)
    if kind.internal:  # Newton's third law, for moments too
        assert np.abs(net_c).max() <= 1e-13 * largest
        assert np.abs(torque_c).max() <= 1e-13 * largest * 3 * W
    else:
        assert net_c[0] == net_c[1] == torque_c[2] == 0.0
        assert abs(net_c[2]) > 0.0


class Periodic(Case):
    """The same with points that lie whole periods away, as a function of the 27 coordinates and the two periods.

    The periods are tiny and the shifts random, so that the patch stays a patch.
    """

    def __init__(self, kind: EnergyKind, seed: int) -> None:
        super().__init__(kind, seed)
        shift_bpa = self.rng.integers(-2, 3, (*self.term.node_bp.shape, 2))
        period_a = NOISE * W * np.array([0.31, 0.23])
        self.use(replace(self.term, shift_bpa=shift_bpa), State(patch().rest_nc, period_a))
        self.q = np.concatenate([self.q, period_a])

    def jump(self) -> float:
        """How much U'' changes over some steps of the differences: nought away from kinks."""
        h = 20.0 * STEP * NOISE * W
        moved = [self.measures(self.q) + d for d in (-h, 0.0, h)]
        return float(np.ptp([self.term.law(s_b)[2] for s_b in moved], axis=0).max())


@every_kind
@pytest.mark.parametrize("seed", range(2))
def test_derivatives_by_the_periods(kind: EnergyKind, seed: int) -> None:
    cases = (Periodic(kind, k) for k in range(seed, seed + 1000, 10))
    case = next(c for c in cases if c.jump() == 0.0)
    scale = NOISE * W
    gradient, exact = case.gradient(case.q), case.hessian(case.q)
    assert exact.shape == (29, 29)
    np.testing.assert_array_equal(exact, exact.T)
    assert relative(gradient, jacobian(case.value, case.q, scale)) < 1e-7
    by_differences = jacobian(case.gradient, case.q, scale)
    assert np.abs(exact - by_differences).max() <= 1e-7 * max(np.abs(exact).max(), np.abs(gradient).max() / W)
    assert np.abs(gradient[27:]).min() > 0.0 or not kind.internal, "no point crosses a period"
    assert_no_negative_eigenvalue(case.material(case.q))


@pytest.mark.parametrize("name", ["bar", "bend", "coupling", "touch", "twist", "weight"])
def test_no_elements_are_no_trouble(name: str) -> None:
    """A fabric of one row has terms of nothing: no measures, no forces, no energy."""
    term = KINDS[name].sample(patch(), np.random.default_rng(0))
    none = replace(term, node_bp=term.node_bp[:0], law=Elastic(1.0, 0.0))
    for period_a in (None, np.array([0.1, 0.2])):
        spans = none.spans(patch().rest_nc, period_a)
        assert spans.shape == (0, len(term.geometry.combine_mp), 3)
        assert none.measures(patch().rest_nc, period_a).shape == (0,)
        assert pulls(none, State(patch().rest_nc, period_a)).shape == (0,)
        assert none.energy(spans) == 0.0
