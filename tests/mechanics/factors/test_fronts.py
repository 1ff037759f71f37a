"""Cholesky factors by fronts: the answers of dense algebra, whatever closes on itself, and a pivot that tells."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import sparse

from fabricsim.arrays import Floats
from fabricsim.fabric.build import fabric_energy
from fabricsim.mechanics import compiled
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.factors import fronts
from fabricsim.mechanics.factors.bands import numbering
from fabricsim.mechanics.factors.fronts import Fronted, Fronts, fronts_of
from fabricsim.mechanics.laws import Elastic
from fabricsim.mechanics.terms import Term
from tests.support.arches import SINGLE
from tests.support.meshes import WORSTED, mesh_of
from tests.support.nets import assert_as_dense_algebra, net

pytestmark = pytest.mark.skipif(compiled.LOADED is None, reason="no compiled code")
HELD = [0, 1, 2, 4, 5, 8]
"""Of the nodes of a net: the first, and some components of two others."""


def planned(energy: Energy, former: Fronts | None = None) -> Fronts:
    found = fronts_of(energy.pattern, former)
    assert found is not None
    return found


def hessian(energy: Energy) -> sparse.csc_array:
    return energy.pattern.fill(energy.hessian(energy.free(energy.start))[2])


@pytest.mark.parametrize("kind", ["open", "closed", "periodic"])
@pytest.mark.parametrize("nudge", [-1e-3, 1e-3, 1.0])
@settings(max_examples=4)  # of each of the nine; the nets differ by their sizes and where their nodes lie
@given(rows=st.integers(3, 9), columns=st.integers(3, 9), seed=st.integers(0, 2**31))
def test_fronts_answer_as_dense_algebra_does(rows: int, columns: int, kind: str, nudge: float, seed: int) -> None:
    """Just definite and just not, by the least eigenvalue; with the sizes of the cell, which may be what tips it."""
    rng = np.random.default_rng(seed)
    energy = net(rows, columns, closed=kind != "open", periodic=kind == "periodic", rng=rng)
    assert_as_dense_algebra(planned(energy), energy, nudge, rng)


@pytest.mark.parametrize("spare", [0.0, 0.2, 1.0])
def test_factors_are_the_cholesky_of_the_matrix_however_fronts_are_joined(
    spare: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every number of every panel, of a tube with floats: numpy's factor of the matrix in that order has them, and
    elsewhere nothing but noughts. Joined where that costs nothing, as usual, and wherever the next is coupled."""
    monkeypatch.setattr(fronts, "SPARE", spare)
    monkeypatch.setattr(fronts, "NARROW", 0)
    energy = fabric_energy(mesh_of(("..#.##", "......") * 3, "round"), WORSTED, "test")
    matrix, plan = hessian(energy), planned(energy)
    matrix.setdiag(matrix.diagonal() + np.abs(matrix).sum(axis=0))  # certainly definite
    factors = plan.factorised(matrix, np.float64)
    assert factors is not None
    size = matrix.shape[0]
    found = np.zeros((size, size))
    for s, first in enumerate(plan.first_s[:-1]):
        own = np.arange(first, plan.first_s[s + 1])
        rows = np.concatenate([own, plan.row_r[plan.row_start_s[s] : plan.row_start_s[s + 1]]])
        panel = factors.panels[plan.panel_s[s] : plan.panel_s[s + 1]].reshape(len(own), len(rows)).T
        found[np.ix_(rows, own)] = panel
    assert sorted(plan.unknown_f) == list(range(size))
    dense = matrix.toarray()[np.ix_(plan.unknown_f, plan.unknown_f)]
    np.testing.assert_allclose(np.tril(found), np.linalg.cholesky(dense), rtol=1e-11, atol=1e-12)


def test_a_front_holds_no_more_noughts_than_it_may(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a swatch: joined a little there are fewer fronts, and more numbers, but no more than allowed."""
    energy = fabric_energy(mesh_of(("....#" * 6, "." * 30) * 8, "swatch"), WORSTED, "test")
    monkeypatch.setattr(fronts, "NARROW", 0)
    plans = []
    for spare in (0.0, 0.2):
        monkeypatch.setattr(fronts, "SPARE", spare)
        plans.append(planned(energy))
    exact, joined = (lower(plan) for plan in plans)
    assert len(plans[1].last_s) < 0.7 * len(plans[0].last_s)
    assert exact < joined <= exact / (1.0 - 0.2)


def lower(plan: Fronts) -> int:
    """Return how many numbers of the panels lie on the diagonal or below."""
    own_s = np.diff(plan.first_s).astype(int)
    return int(plan.panel_s[-1] - (own_s * (own_s - 1) // 2).sum())


def test_what_closes_on_itself_takes_half_the_work_in_a_band() -> None:
    """The order of minimum degree fills up what closes on itself far less than any band does: 0.36 and 0.44 here."""
    for rows, case in ((("....#" * 12, "." * 60) * 8, "round"), (("....#" * 6, "." * 30) * 15, "repeat")):
        energy = fabric_energy(mesh_of(rows, case), WORSTED, "test")
        plan, band = planned(energy), numbering(energy.pattern, left_out=0.0)
        assert band is not None
        assert plan.work < 0.5 * len(band.order_m) * band.half**2


@pytest.mark.parametrize("size", [1e-200, 1.0, 1e200])
def test_single_precision_answers_to_forces_of_any_size(size: float) -> None:
    energy = net(5, 4, closed=True, periodic=True, rng=np.random.default_rng(0))
    matrix = hessian(energy)
    matrix.setdiag(matrix.diagonal() + 5.0)
    factors = planned(energy).factorised(matrix, np.float32)
    assert factors is not None
    force = np.random.default_rng(1).normal(size=matrix.shape[0])
    want = np.linalg.solve(matrix.toarray(), force)
    np.testing.assert_allclose(factors.solve(size * force) / size, want, rtol=SINGLE)


def test_where_added_elements_cost_little_the_order_stays_and_elsewhere_another_is_found() -> None:
    """A strip with a bar more between near nodes; and one with many more between its ends, which the old order has far
    apart: a fresh one takes less work, and both answer alike."""
    strip = net(60, 4, closed=False, periodic=False, rng=np.random.default_rng(0))
    before = planned(strip)
    near = np.array([[100, 105]])
    far = np.column_stack([np.arange(4, 44), np.arange(196, 236)])
    for pairs, kept in ((near, True), (far, False)):
        more = Term("more", Distance(), Elastic(1.0, 0.4), pairs)
        energy = assemble([*strip.terms, more], strip.start, HELD)
        after, anew = planned(energy, before), planned(energy)
        assert np.array_equal(after.order_n, planned_in(energy, before).order_n) == kept
        assert (after.fresh == before.work) == kept
        assert after.work <= fronts.MORE_WORK * max(before.work, anew.work)
        matrix = hessian(energy)
        matrix.setdiag(matrix.diagonal() + 5.0)
        force = np.random.default_rng(1).normal(size=matrix.shape[0])
        for plan in (after, anew):
            factors = plan.factorised(matrix, np.float64)
            assert factors is not None
            np.testing.assert_allclose(factors.solve(force), np.linalg.solve(matrix.toarray(), force), rtol=1e-9)


def planned_in(energy: Energy, before: Fronts) -> Fronts:
    """Return the plan with the order of another, whatever it costs."""
    return planned(energy, replace(before, fresh=np.inf))


def test_what_hangs_apart_is_solved_apart() -> None:
    """Several chains: each a tree of fronts that ends by itself."""
    pairs = np.array([[0, 1], [1, 2], [5, 6], [9, 7], [3, 4], [8, 4]])
    x_nc = np.random.default_rng(0).normal(size=(10, 3))
    energy = assemble([Term("ties", Distance(), Elastic(1.0, 1.0), pairs)], State(x_nc))
    plan, matrix = planned(energy), hessian(energy)
    matrix.setdiag(matrix.diagonal() + 10.0)
    factors = plan.factorised(matrix, np.float64)
    assert factors is not None
    force = np.arange(1.0, 1.0 + matrix.shape[0])
    np.testing.assert_allclose(factors.solve(force), np.linalg.solve(matrix.toarray(), force), rtol=1e-12)


def test_no_fronts_without_unknowns_nor_factors_of_what_is_not_finite() -> None:
    held = assemble([Term("tie", Distance(), Elastic(1.0, 1.0), np.array([[0, 1]]))], State(np.eye(2, 3)), range(6))
    assert fronts_of(held.pattern) is None
    energy = net(4, 4, closed=False, periodic=False, rng=np.random.default_rng(0))
    matrix, plan = hessian(energy), planned(energy)
    matrix.setdiag(matrix.diagonal() + 5.0)
    assert isinstance(plan.factorised(matrix, np.float64), Fronted)
    matrix.data[plan.take_k[3]] = np.nan
    assert plan.factorised(matrix, np.float64) is None


def test_the_first_pivot_that_is_not_positive_ends_it_wherever_it_is() -> None:
    """Each unknown in turn made negative."""
    energy = net(4, 4, closed=True, periodic=True, rng=np.random.default_rng(0))
    matrix, plan = hessian(energy), planned(energy)
    diagonal: Floats = matrix.diagonal() + 50.0
    for unknown in range(len(diagonal)):
        matrix.setdiag(diagonal)
        assert plan.factorised(matrix, np.float32) is not None
        matrix.setdiag(np.where(np.arange(len(diagonal)) == unknown, -1.0, diagonal))
        assert plan.factorised(matrix, np.float32) is None


def test_a_cell_of_which_only_the_sizes_are_free_has_factors() -> None:
    start = State(np.eye(2, 3), np.array([3.0, 2.0]))
    shift = np.array([[[0, 0], [1, 1]]])
    energy = assemble([Term("tie", Distance(), Elastic(1.0, 1.0), np.array([[0, 1]]), shift)], start, range(6))
    matrix = hessian(energy)
    matrix.setdiag(matrix.diagonal() + 10.0)
    factors = planned(energy).factorised(matrix, np.float64)
    assert factors is not None
    assert factors.solve(np.array([1.0, 2.0])) == pytest.approx(
        np.linalg.solve(matrix.toarray(), [1.0, 2.0]), rel=1e-12
    )
