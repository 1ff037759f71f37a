"""Draw-in of floats, and how it spreads, against exact results."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.sparse.linalg import splu

from fabricsim.fabric.build import FLOAT, float_term
from fabricsim.mechanics.assemble import State, assemble
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.energies.bend import Curvature
from fabricsim.mechanics.energies.tie import AnchoredDistance
from fabricsim.mechanics.laws import Elastic, Proportional, Taut
from fabricsim.mechanics.terms import Term
from tests.support.meshes import HEIGHT, WIDTH, WORSTED, at_rest, closed_rings, mesh_of, rest
from tests.support.pulls import pulls
from tests.support.rings import decay_length, inward_under_unit_load, ring_load_response


def draw_in_of_one_float(stitches: int, ratio: float, slack: float) -> float:
    """Return how much narrower a chain of stitches gets, each of stiffness 1, under a float ``ratio`` times as stiff.

    A row of nodes above it, held, only gives the float's ends a normal.
    """
    x_nc = np.zeros((stitches + 3, 3))
    x_nc[: stitches + 1, 0] = np.arange(stitches + 1)
    x_nc[-2:, 1] = 1.0, -1.0
    nodes = np.arange(stitches + 1)
    below, above = stitches + 2, stitches + 1
    chain = Term("chain", Distance(), Elastic(1.0, 1.0), np.column_stack([nodes[:-1], nodes[1:]]))
    end = [0, 0, stitches, below, above]
    tie = np.array([[*end, stitches, *end[1:]]])
    float_ = Term(FLOAT, AnchoredDistance(0.0), Taut(ratio, stitches * (1.0 + slack)), tie)
    held = [0, *range(1, 3 * stitches + 3, 3), *range(2, 3 * stitches + 3, 3), *range(3 * above, 3 * above + 6)]
    energy = assemble([chain, float_], State(x_nc), held)
    found = rest(energy, tolerance=1e-12)
    return float(1.0 - energy.state(found.q_f).x_nc[stitches, 0] / stitches)


FIVE = {1.0: 0.0833, 10.0: 0.0980, 100.0: 0.0998}
"""Draw-in of a float over five stitches at slack -10 %, by k_f/k_s; derived, printed to four digits."""


@pytest.mark.parametrize("ratio", list(FIVE))
def test_one_float_draws_its_stitches_in(ratio: float) -> None:
    """Draw-in -s k_f/(k_f + k_s/m), a float and m stitches as springs in parallel (derived, exact)."""
    for stitches in (2, 5, 9):
        for slack in (-0.02, -0.10, -0.25):
            want = -slack * ratio / (ratio + 1.0 / stitches)
            assert draw_in_of_one_float(stitches, ratio, slack) == pytest.approx(want, rel=1e-9)
        for slack in (0.0, 0.03, 0.5):
            assert draw_in_of_one_float(stitches, ratio, slack) == 0.0
    assert draw_in_of_one_float(5, ratio, -0.10) == pytest.approx(FIVE[ratio], abs=5e-5)


@pytest.mark.parametrize("slack", [-1e-3, -1e-4])
def test_a_float_over_a_whole_row_of_fabric(slack: float) -> None:
    """The same closed form for the knitted sheet: one row, one float as wide as the cell, the height left free.

    With k_f = 100 times the strip it bridges the width loss is -s 100/101. The diagonals of a sheet turn, which a chain
    doesn't: that is of the second order, so the error falls with the slack.
    """
    mesh = mesh_of(("#.....",), "repeat", [0.5, slack])  # the other yarn floats too, behind one stitch: loose
    assert mesh.floats.gap_f.tolist() == [1, 5]
    assert mesh.period_a is not None
    _, state, found = at_rest(mesh, tolerance=1e-14)
    assert state.period_a is not None
    assert found.steps > 0
    loss = 1.0 - state.period_a[0] / mesh.period_a[0]
    assert loss == pytest.approx(-slack * 100.0 / 101.0, rel=2.0 * abs(slack))
    growth = state.period_a[1] / mesh.period_a[1] - 1.0
    assert growth == pytest.approx(0.35 * loss, rel=5.0 * abs(slack))  # Poisson, with the height left free


@pytest.mark.parametrize("over", [2, 3, 5])
def test_a_uniform_tube_with_floats(over: int) -> None:
    """C = (E_x + E_f)/(E_x/C0 + E_f/C_f) for a ring and floats, every stitch the start of one (derived, exact).

    Floats inside the ring are chords, and so are the bars: at a radius R they measure 2 R sin(angle), so E is stiffness
    times the square of that share, times the radius at which it is just taut. Bends keep the ring round, at no cost:
    they feel turns, and a round ring turns as at rest.
    """
    stitches, k_bar, k_float = 24, 3.0, 7.0
    angle = np.pi / stitches
    radius = 0.03
    bar, chord = 2.0 * np.sin(angle), 2.0 * np.sin(over * angle)
    radius_float = 0.93 * radius
    node = np.arange(stitches)
    ring_nc = radius * np.column_stack([np.sin(2 * angle * node), np.zeros(stitches), np.cos(2 * angle * node)])
    x_nc = np.vstack([ring_nc * 0.97, [[0.0, -0.01, 0.0], [0.0, 0.01, 0.0]]])  # not where it will end
    below, above = stitches, stitches + 1
    after, before, end = (node + 1) % stitches, (node - 1) % stitches, (node + over) % stitches
    column = np.ones((stitches, 1), dtype=int)
    pair = np.hstack([below * column, above * column])
    ties = np.column_stack([node, before, after, pair, end, (end - 1) % stitches, (end + 1) % stitches, pair])
    bends = Term("bend", Curvature(1.0), Elastic(1e-3), np.column_stack([before, node, after, pair]))
    bends = replace(bends, law=Elastic(1e-3, bends.measures(np.vstack([ring_nc, x_nc[-2:]]))))
    terms = [
        Term("ring", Distance(), Elastic(k_bar, bar * radius), np.column_stack([node, after])),
        Term(FLOAT, AnchoredDistance(0.0), Taut(k_float, chord * radius_float), ties),
        bends,
    ]
    across = stitches // 2
    held = [0, *range(1, 3 * stitches, 3), 3 * across, *range(3 * stitches, 3 * stitches + 6)]
    # x of two opposite stitches and every height: what is left is to slide along z, stopped by a third stitch.
    held += [3 * (stitches // 4) + 2]
    energy = assemble(terms, State(x_nc), held)
    found = energy.state(rest(energy, tolerance=1e-13).q_f).x_nc[:stitches]
    e_x, e_f = k_bar * bar**2 * radius, k_float * chord**2 * radius_float
    want = (e_x + e_f) / (e_x / radius + e_f / radius_float)
    got = np.linalg.norm(np.diff(np.vstack([found, found[:1]]), axis=0), axis=1).sum() / (stitches * bar)
    assert got == pytest.approx(want, rel=1e-9)
    np.testing.assert_allclose(np.linalg.norm(found - found.mean(axis=0), axis=1), want, rtol=1e-9)


def test_how_one_rows_pull_dies_out_over_the_rows() -> None:
    """cosh(kappa) = 1 + (k_x/k_s)(1 - cos q) beside a loaded row of a sheet (derived).

    k_x = 10, k_s = 3, q = 2 pi/8 give 1.30317. k_s, what one row asks to slide past the next by one metre, is given by
    wales of length c pulled with a constant tension T: sliding by d costs T d^2/(2 c), so k_s = T/c. Only sliding along
    the rows is free.
    """
    stitches, rows, k_x, k_s, w, c = 8, 25, 10.0, 3.0, 1.0, 0.7
    row, column = np.divmod(np.arange(rows * stitches), stitches)
    x_nc = np.column_stack([w * column, c * row, np.zeros(len(row))])
    node = np.arange(len(row))
    right = row * stitches + (column + 1) % stitches
    shift = np.zeros((len(row), 2, 2), dtype=int)
    shift[:, 1, 0] = (column + 1) // stitches
    courses = Term("course", Distance(), Elastic(k_x, w), np.column_stack([node, right]), shift)
    low = node[row < rows - 1]
    none = np.zeros((len(low), 2, 2), dtype=int)
    wales = Term("wale", Distance(), Proportional(k_s * c), np.column_stack([low, low + stitches]), none)
    held = [*range(1, 3 * len(row), 3), *range(2, 3 * len(row), 3), 3 * len(row), 3 * len(row) + 1]
    held += (3 * node[row == rows - 1]).tolist()
    energy = assemble([courses, wales], State(x_nc, np.array([stitches * w, rows * c])), held)
    hessian = energy.pattern.fill(energy.hessian(energy.free(energy.start))[2])
    wave = np.cos(2.0 * np.pi * np.arange(stitches) / 8.0)
    load = np.zeros(hessian.shape[0])
    load[:stitches] = wave
    slid_ij = splu(hessian).solve(load).reshape(rows - 1, stitches)
    amplitude_i = slid_ij @ wave / (wave @ wave)
    np.testing.assert_allclose(slid_ij, np.outer(amplitude_i, wave), atol=1e-12 * amplitude_i[0])
    kappa = np.log(amplitude_i[:10] / amplitude_i[1:11])
    # The far edge, 14 rows on, sends back exp(-2 x 14 x 1.3) = 1e-16: nothing.
    np.testing.assert_allclose(kappa, np.arccosh(1.0 + k_x / k_s * (1.0 - np.cos(np.pi / 4.0))), rtol=1e-10)
    np.testing.assert_allclose(kappa, 1.30317, atol=5e-6)  # half a unit of the last printed digit


def test_a_ring_of_pull_round_a_long_tube() -> None:
    """w0 = P/(2 sqrt(k) sqrt(2 sqrt(k B))), k = E_x/R^2 (Timoshenko's form), no pull along the tube.

    E_x = 15 N/m, R = 9 cm, B = 50 uN.m: w0/P = 0.014894 m2/N, and the bulge dies out over 18.1 mm as
    exp(-z/l)(cos(z/l) + sin(z/l)) (derived, checked numerically). How fast w0 converges is for the tests of refinement.
    """
    assert inward_under_unit_load() == pytest.approx(0.014894, abs=5e-7)  # half a unit of the last printed digit
    assert decay_length() == pytest.approx(18.1e-3, abs=5e-5)
    inward_i, z_i = ring_load_response(1.5e-3)
    # Rows of a twelfth of the decay length: second order, 0.2 % off.
    assert inward_i.max() == pytest.approx(0.014894, rel=2.5e-3)
    reduced = np.abs(z_i) / decay_length()
    profile = np.exp(-reduced) * (np.cos(reduced) + np.sin(reduced))
    np.testing.assert_allclose(inward_i / inward_i.max(), profile, atol=2e-3)


def test_floats_inside_a_tube_are_chords_at_the_inner_surface() -> None:
    """On level rings of radius R a float over m stitches is a chord of the circle of radius R - t/2 (exact), and pulls
    with 100 E_x c / span times what it is short of that (the design's float, by hand)."""
    mesh = closed_rings(mesh_of(("#....#...",) * 3, "round", -0.3))
    tube = replace(mesh, floats=replace(mesh.floats, length_f=0.5 * mesh.floats.span_f))
    radius = WIDTH / (2.0 * np.sin(np.pi / mesh.stitches))
    ties = float_term(tube, WORSTED)
    inside = np.flatnonzero(np.ptp(mesh.row_n[mesh.floats.node_f2], axis=1) == 0)  # not the spiral's joins
    assert len(inside) > 3
    over_f = mesh.floats.gap_f[inside] + 1.0
    chord_f = 2.0 * (radius - 0.5 * WORSTED.thickness) * np.sin(np.pi * over_f / mesh.stitches)
    np.testing.assert_allclose(ties.measures(mesh.rest_nc)[inside], chord_f, rtol=1e-12)
    short_f = np.maximum(chord_f - 0.5 * over_f * WIDTH, 0.0)
    pull_f = 100.0 * WORSTED.stretch_across * HEIGHT / (over_f * WIDTH) * short_f
    assert short_f.max() > 0.0
    np.testing.assert_allclose(pulls(ties, State(mesh.rest_nc))[inside], pull_f, rtol=1e-10, atol=1e-15)
