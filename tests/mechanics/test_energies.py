"""Every registered energy is right in its derivatives and blind to rigid motions. Being registered is enough.

States are random around a tilted, sheared 3 x 3 patch, so that no term is at a special place.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from fabricsim.mechanics.energies import KINDS, Kind
from fabricsim.mechanics.energies.registry import Patch
from fabricsim.mechanics.terms import Term
from tests.support.differences import STEP, jacobian, relative, remainder_slopes

Floats = NDArray[np.float64]

W, C = 5.0e-3, 4.0e-3
NOISE = 0.15
"""Of a stitch width, on every coordinate: bars stretch by up to a half, normals turn by tens of degrees."""
SEEDS = range(4)
STEPS = 10.0 ** np.linspace(-1.6, -2.6, 6)
"""Shares of the noise along a random direction: small enough for the leading term to rule, large enough that
the remainder stands a thousand times above round-off."""

every_kind = pytest.mark.parametrize("kind", KINDS.values(), ids=list(KINDS))
every_seed = pytest.mark.parametrize("seed", SEEDS)


def patch() -> Patch:
    row, column = np.divmod(np.arange(9), 3)
    return Patch(np.column_stack([W * column, C * row, np.full(9, 1.3e-3)]))


class Case:
    """One random term at one random state, as a function of the 27 coordinates of the patch."""

    def __init__(self, kind: Kind, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.term: Term = kind.sample(patch(), self.rng)
        self.q = patch().rest_nc.ravel() + NOISE * W * self.rng.normal(size=27)
        self.away = NOISE * W * self.rng.normal(size=27)
        self.index_bk = (self.term.node_bp[:, :, None] * 3 + np.arange(3)).reshape(len(self.term.node_bp), -1)

    def value(self, q: Floats) -> float:
        return self.term.energy(q.reshape(-1, 3), None)

    def gradient(self, q: Floats) -> Floats:
        _, by_bk = self.term.gradient(q.reshape(-1, 3), None)
        total = np.zeros(27)
        np.add.at(total, self.index_bk, by_bk)
        return total

    def hessians(self, q: Floats) -> tuple[Floats, Floats]:
        _, _, exact_bkk, safe_bkk = self.term.hessian(q.reshape(-1, 3), None)
        exact, safe = np.zeros((27, 27)), np.zeros((27, 27))
        at = (self.index_bk[:, :, None], self.index_bk[:, None, :])
        np.add.at(exact, at, exact_bkk)
        np.add.at(safe, at, safe_bkk)
        return exact, safe


def is_smooth_near(case: Case, span: float) -> bool:
    """Whether no element passes a kink of its law (in U'') within ``span`` of the random direction."""
    law = case.term.law
    states = [(case.q + t * case.away).reshape(-1, 3) for t in np.linspace(-span, span, 9)]
    stiff = [law(case.term.measures(x_nc))[2] for x_nc in states]
    return bool(np.ptp(stiff, axis=0).max() == 0.0)


def smooth_case(kind: Kind, seed: int) -> Case:
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
def test_differences_of_value_and_gradient(kind: Kind, seed: int) -> None:
    # The five-point rule is good to 1e-11 or so here (support/differences.py); 1e-7 is far above it and far
    # below any wrong factor or forgotten part.
    case = smooth_case(kind, seed)
    gradient, (exact, _) = case.gradient(case.q), case.hessians(case.q)
    scale = NOISE * W
    assert relative(gradient, jacobian(case.value, case.q, scale)) < 1e-7
    assert np.abs(gradient).max() > 0.0
    by_differences = jacobian(case.gradient, case.q, scale)
    assert np.abs(exact - by_differences).max() <= 1e-7 * max(np.abs(exact).max(), np.abs(gradient).max() / W)


@every_kind
@every_seed
def test_taylor_slopes(kind: Kind, seed: int) -> None:
    """The remainder after the gradient falls as t^2, after the Hessian as t^3 (Taylor's theorem)."""
    case = smooth_case(kind, seed)
    u, gradient, (exact, _) = case.value(case.q), case.gradient(case.q), case.hessians(case.q)
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
            assert kind.name in ("weight", "table")
            continue
        slopes = remainder_slopes(remainder, STEPS)
        # The next order adds O(t) to the slope, t <= 10^-1.6: the smallest pair must be near the whole power.
        assert slopes[-1] == pytest.approx(power, abs=0.06)


@every_kind
@every_seed
def test_hessians_are_symmetric(kind: Kind, seed: int) -> None:
    exact, safe = Case(kind, seed).hessians(Case(kind, seed).q)
    for h in (exact, safe):
        assert np.abs(h - h.T).max() <= 1e-14 * max(np.abs(h).max(), 1e-300)  # sums taken in another order


@pytest.mark.parametrize("kind", [k for k in KINDS.values() if k.name != "coupling"], ids=lambda k: k.name)
@pytest.mark.parametrize("seed", range(20))
def test_the_safe_part_has_no_negative_curvature(kind: Kind, seed: int) -> None:
    """Coupling is left out: its safe part counts on the bars of its cell (see the test of whole fabrics)."""
    case = Case(kind, seed)
    safe = case.hessians(case.q)[1]
    eigenvalues = np.linalg.eigvalsh(safe)
    assert eigenvalues[0] >= -1e-13 * max(eigenvalues[-1], 0.0)  # round-off of a symmetric eigenvalue solver
    if kind.name != "weight":
        assert eigenvalues[-1] > 0.0, "a safe part that is zero would pass for nothing"


def rotation(axis_c: Floats, angle: float) -> Floats:
    """Rodrigues' formula."""
    x, y, z = axis_c / np.linalg.norm(axis_c)
    k = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.eye(3) + np.sin(angle) * k + (1.0 - np.cos(angle)) * k @ k


@every_kind
@every_seed
def test_rigid_motions_leave_the_value_and_carry_the_gradient_along(kind: Kind, seed: int) -> None:
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


@every_kind
@every_seed
def test_net_force_and_torque(kind: Kind, seed: int) -> None:
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

    def __init__(self, kind: Kind, seed: int) -> None:
        super().__init__(kind, seed)
        node_bp = self.term.node_bp
        self.term = replace(self.term, shift_bpa=self.rng.integers(-2, 3, (*node_bp.shape, 2)))
        self.q = np.concatenate([self.q, NOISE * W * np.array([0.31, 0.23])])
        last = np.broadcast_to([27, 28], (len(node_bp), 2))
        self.index_bk = np.concatenate([self.index_bk, last], axis=1)

    def value(self, q: Floats) -> float:
        return self.term.energy(q[:27].reshape(-1, 3), q[27:])

    def gradient(self, q: Floats) -> Floats:
        total = np.zeros(29)
        np.add.at(total, self.index_bk, self.term.gradient(q[:27].reshape(-1, 3), q[27:])[1])
        return total

    def hessians(self, q: Floats) -> tuple[Floats, Floats]:
        _, _, *blocks = self.term.hessian(q[:27].reshape(-1, 3), q[27:])
        totals = np.zeros((2, 29, 29))
        for total, block in zip(totals, blocks, strict=True):
            np.add.at(total, (self.index_bk[:, :, None], self.index_bk[:, None, :]), block)
        return totals[0], totals[1]

    def jump(self) -> float:
        """How much U'' changes over some steps of the differences: nought away from kinks."""
        x_nc, h = self.q[:27].reshape(-1, 3), 20.0 * STEP * NOISE * W
        moved = [self.term.measures(x_nc, self.q[27:]) + d for d in (-h, 0.0, h)]
        return float(np.ptp([self.term.law(s_b)[2] for s_b in moved], axis=0).max())


@every_kind
@pytest.mark.parametrize("seed", range(2))
def test_derivatives_by_the_periods(kind: Kind, seed: int) -> None:
    cases = (Periodic(kind, k) for k in range(seed, seed + 1000, 10))
    case = next(c for c in cases if c.jump() == 0.0)
    scale = NOISE * W
    gradient, (exact, safe) = case.gradient(case.q), case.hessians(case.q)
    assert relative(gradient, jacobian(case.value, case.q, scale)) < 1e-7
    by_differences = jacobian(case.gradient, case.q, scale)
    assert np.abs(exact - by_differences).max() <= 1e-7 * max(np.abs(exact).max(), np.abs(gradient).max() / W)
    assert np.abs(gradient[27:]).min() > 0.0 or not kind.internal, "no point crosses a period"
    if kind.name != "coupling":
        eigenvalues = np.linalg.eigvalsh(safe)
        assert eigenvalues[0] >= -1e-13 * max(eigenvalues[-1], 0.0)
