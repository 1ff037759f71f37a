"""An independent engine agrees on the forces of every bar and every float at random states.

MuJoCo's inverse dynamics of particles and spring tendons; agreement of 7e-16 has been seen, 1e-12 is asked
for.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.build import fabric_terms, float_term
from fabricsim.fabric.mesh import Mesh
from fabricsim.mechanics.assemble import State, assemble
from fabricsim.mechanics.energies.tie import AnchoredDistance
from fabricsim.mechanics.laws import Taut
from fabricsim.mechanics.terms import Term
from tests.support.differences import relative
from tests.support.meshes import TIGHT_ROWS, WIDTH, WORSTED, mesh_of
from tests.support.oracle import anchors_of, gradient_of, springs_of
from tests.support.pulls import pulls

NODE, AROUND = (0, 5), (slice(1, 5), slice(6, 10))
"""Where a float's points are: its two stitches, and the four neighbours of each."""
SOFT = replace(WORSTED, lock_across=0.05, lock_up=0.05, jam=0.05)
"""Locks and jams so near that a good part of the bars is beyond them at a random state."""

both_cases = pytest.mark.parametrize("case", ["swatch", "round"])
both_seeds = pytest.mark.parametrize("seed", range(2))


def random_state(mesh: Mesh, seed: int) -> Floats:
    return mesh.rest_nc + 0.15 * WIDTH * np.random.default_rng(seed).normal(size=mesh.rest_nc.shape)


def mesh_with_taut_floats(case: Case) -> Mesh:
    # Chords inside a tube of twelve stitches are so short that only much shorter yarn is taut.
    return mesh_of([2 * row for row in TIGHT_ROWS], case, -0.4)


def gradient(term: Term, x_nc: Floats) -> Floats:
    energy = assemble([term], State(x_nc))
    return energy.gradient(energy.free(energy.start))[1].reshape(-1, 3)


@both_cases
@both_seeds
@pytest.mark.parametrize("name", ["course", "wale", "shear right", "shear left"])
def test_bars(case: Case, seed: int, name: str) -> None:
    mesh = mesh_with_taut_floats(case)
    x_nc = random_state(mesh, seed)
    term = next(t for t in fabric_terms(mesh, SOFT, "test") if t.name == name)
    assert relative(gradient(term, x_nc), gradient_of(springs_of(term), x_nc)) < 1e-12


@both_cases
def test_random_states_reach_all_three_parts_of_the_bar_law(case: Case) -> None:
    mesh = mesh_with_taut_floats(case)
    x_nc = random_state(mesh, 0)
    locks = (SOFT.lock_across, SOFT.lock_up)
    for term, lock in zip(fabric_terms(mesh, SOFT, "test")[:2], locks, strict=True):
        strain_b = term.measures(x_nc) / term.measures(mesh.rest_nc) - 1.0
        locked, jammed = strain_b > lock, strain_b < -SOFT.jam
        for part in (locked, jammed, ~(locked | jammed)):
            assert part.sum() > 0.1 * len(strain_b)


@both_cases
@both_seeds
def test_floats_from_stitch_to_stitch(case: Case, seed: int) -> None:
    mesh = mesh_with_taut_floats(case)
    x_nc = random_state(mesh, seed)
    term = replace(float_term(mesh, WORSTED), geometry=AnchoredDistance(0.0))
    assert (pulls(term, State(x_nc)) > 0.0).sum() > len(mesh.floats) // 2
    assert relative(gradient(term, x_nc), gradient_of(springs_of(term, NODE), x_nc)) < 1e-12


def float_gradient_by_anchors(term: Term, x_nc: Floats, offset: float) -> tuple[Floats, Floats]:
    """Return the gradient (n, 3) of floats between anchors behind their stitches, and their tensions (f,).

    The engine gives the forces on the anchors as particles of their own; these are carried back to the
    stitches by the derivatives of the anchors' places, taken by a complex step (exact to round-off: Squire &
    Trapp 1998, SIAM Rev. 40, 110, memory).
    """
    count = len(term.node_bp)
    node_e = np.concatenate([term.node_bp[:, k] for k in NODE])
    around_e4 = np.concatenate([term.node_bp[:, part] for part in AROUND])
    ends = np.column_stack([np.arange(count), count + np.arange(count)])
    springs = springs_of(replace(term, node_bp=ends), (0, 1))
    anchor_ec = anchors_of(x_nc, around_e4, node_e, offset)
    force_ec = gradient_of(springs, anchor_ec)
    total, step = np.zeros(x_nc.size), 1e-30
    for k in range(x_nc.size):
        moved = x_nc.astype(complex)
        moved.flat[k] += 1j * step
        total[k] = (force_ec * anchors_of(moved, around_e4, node_e, offset).imag / step).sum()
    return total.reshape(-1, 3), np.linalg.norm(force_ec[:count], axis=1)


@both_cases
@both_seeds
def test_floats_between_anchors_behind_the_fabric(case: Case, seed: int) -> None:
    mesh = mesh_with_taut_floats(case)
    x_nc = random_state(mesh, seed)
    term = float_term(mesh, WORSTED)
    want, tension_f = float_gradient_by_anchors(term, x_nc, 0.5 * mesh.thickness)
    assert (tension_f > 0.0).sum() > len(mesh.floats) // 2
    assert relative(pulls(term, State(x_nc)), tension_f) < 1e-12
    assert relative(gradient(term, x_nc), want) < 1e-12


def test_the_anchors_lie_half_a_thickness_behind_the_face() -> None:
    """By hand, on flat fabric (face up, +z) and on the tube (face outside)."""
    for case in ("swatch", "round"):
        mesh = mesh_with_taut_floats(case)
        term = float_term(mesh, WORSTED)
        inner = (term.node_bp[:, AROUND[0]] != term.node_bp[:, [0]]).all(axis=1)  # whole normals only
        node, around = term.node_bp[inner, 0], term.node_bp[inner, AROUND[0]]
        moved = anchors_of(mesh.rest_nc, around, node, 0.5 * mesh.thickness) - mesh.rest_nc[node]
        radial = mesh.rest_nc[node] * np.array([1.0, 0.0, 1.0])
        out = radial if case == "round" else np.array([[0.0, 0.0, 1.0]])
        out = out / np.linalg.norm(out, axis=1, keepdims=True)
        along = -(moved * out).sum(axis=1)
        # On the spiral the normal leans by the climb of a round: half a row over half a circumference, within
        # 1 %.
        np.testing.assert_allclose(along, 0.0013, rtol=0.01 if case == "round" else 1e-12)


@pytest.mark.parametrize("anchored", [False, True])
def test_a_tenth_of_a_per_cent_in_one_floats_stiffness_is_seen(anchored: bool) -> None:
    mesh = mesh_with_taut_floats("swatch")
    x_nc = random_state(mesh, 0)
    term = float_term(mesh, WORSTED)
    offset = 0.5 * mesh.thickness if anchored else 0.0
    term = replace(term, geometry=AnchoredDistance(offset))
    law = term.law
    assert isinstance(law, Taut)
    tightest = int(np.argmax(pulls(term, State(x_nc))))
    off = np.array(law.stiffness, dtype=float)
    off[tightest] *= 1.001
    wrong = replace(term, law=replace(law, stiffness=off))
    want, _ = float_gradient_by_anchors(term, x_nc, offset)
    error = relative(gradient(wrong, x_nc), want)
    assert 1e-4 < error < 2e-3  # the tightest float makes the largest forces, or nearly
