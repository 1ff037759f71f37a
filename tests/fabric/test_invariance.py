"""What must not matter does not: numbering, mirror images, where a repeat begins, how many of it are
drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from fabricsim.arrays import Floats, Ints
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.build import (
    FLOAT,
    TABLE_SINK,
    fabric_energy,
    fabric_terms,
    float_term,
    held_unknowns,
    start_of,
    table_terms,
)
from fabricsim.fabric.mesh import Mesh
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.units import GRAVITY
from tests.support.meshes import TIGHT_ROWS, WIDTH, WORSTED, at_rest, mesh_of, rest, shaken
from tests.support.pulls import pulls

EXACT = 1e-13
"""N: what a fabric is brought to rest to here. Its softest modes, bends over some stitches, have about 0.1
N/m, so stitches lie within 1e-12 m of rest, 2e-10 of their width; energies are exact to the square of
that."""
CASES: tuple[Case, ...] = ("repeat", "swatch", "round")
WIDE = tuple(2 * row for row in TIGHT_ROWS)
SLACK: dict[Case, float] = {"repeat": -0.06, "swatch": -0.06, "round": -0.25}
"""Tight in every case; the chords of a tube of twelve stitches are that much shorter."""


def rows_of(case: Case) -> tuple[str, ...]:
    return TIGHT_ROWS if case == "repeat" else WIDE


def tensions(energy: Energy, state: State) -> Floats:
    return pulls(energy.term(FLOAT), state)


def renumbered(mesh: Mesh, new_n: Ints) -> Mesh:
    """Return the same fabric with stitch i numbered ``new_n[i]``: every index array takes part."""
    old_n = np.argsort(new_n)
    neighbour_n4 = mesh.neighbour_n4[old_n]
    floats = replace(mesh.floats, node_f2=new_n[mesh.floats.node_f2])
    return replace(
        mesh,
        rest_nc=mesh.rest_nc[old_n],
        yarn_n=mesh.yarn_n[old_n],
        row_n=mesh.row_n[old_n],
        column_n=mesh.column_n[old_n],
        neighbour_n4=np.where(neighbour_n4 >= 0, new_n[neighbour_n4], -1),
        shift_n42=mesh.shift_n42[old_n],
        floats=floats,
    )


@pytest.mark.parametrize("case", CASES)
def test_the_numbering_of_stitches(case: Case) -> None:
    mesh = mesh_of(rows_of(case), case, SLACK[case])
    new_n = np.random.default_rng(3).permutation(len(mesh.rest_nc))
    other = renumbered(mesh, new_n)
    terms = [*fabric_terms(other, WORSTED, "test"), float_term(other, WORSTED)]
    if case == "swatch":
        terms += table_terms(other, WORSTED)
    held = [3 * int(new_n[k // 3]) + k % 3 for k in held_unknowns(mesh)]  # the same stitches, by their new numbers
    energy = assemble(terms, start_of(other), held)
    found = rest(energy, tolerance=EXACT)
    state = energy.state(found.q_f)
    plain_energy, plain_state, plain = at_rest(mesh, tolerance=EXACT)
    assert np.abs(plain_state.x_nc - mesh.rest_nc).max() > 0.05 * WIDTH
    assert found.energy == pytest.approx(plain.energy, rel=1e-11)
    np.testing.assert_allclose(state.x_nc[new_n], plain_state.x_nc, rtol=0, atol=1e-9 * WIDTH)
    np.testing.assert_allclose(tensions(energy, state), tensions(plain_energy, plain_state), rtol=0, atol=1e-11)


def mirrored(rows: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(row[::-1] for row in rows)


def upside_down(rows: tuple[str, ...]) -> tuple[str, ...]:
    return rows[::-1]


def compare_images(
    case: Case, image: Callable[[tuple[str, ...]], tuple[str, ...]], flip: Callable[[Ints], Ints], axis: int
) -> None:
    """The image of the chart gives the image of the fabric, up to where it lies."""
    rows = rows_of(case)
    assert image(rows) != rows
    meshes = [mesh_of(r, case, SLACK[case]) for r in (rows, image(rows))]
    (energy, state, found), (energy_2, state_2, found_2) = (at_rest(m, tolerance=EXACT) for m in meshes)
    assert found_2.energy == pytest.approx(found.energy, rel=1e-11)
    node = np.arange(len(state.x_nc)).reshape(meshes[0].rows, meshes[0].stitches)
    seen = state_2.x_nc[flip(node).ravel()]
    sign = np.ones(3)
    sign[axis] = -1.0
    want = state.x_nc * sign
    shift = (seen - want).mean(axis=0)
    np.testing.assert_allclose(seen - shift, want, rtol=0, atol=1e-9 * WIDTH)
    if state.period_a is not None:
        assert state_2.period_a is not None
        np.testing.assert_allclose(state_2.period_a, state.period_a, rtol=0, atol=1e-9 * WIDTH)
    pulls = [np.sort(tensions(e, s)) for e, s in ((energy, state), (energy_2, state_2))]
    np.testing.assert_allclose(pulls[1], pulls[0], rtol=0, atol=1e-11)
    assert pulls[0].max() > 1e-3


@pytest.mark.parametrize("case", ["repeat", "swatch"])
def test_a_mirror_image(case: Case) -> None:
    """A tube has none: its spiral would climb the other way."""
    compare_images(case, mirrored, lambda node_ij: node_ij[:, ::-1], 0)


def test_an_upside_down_repeat() -> None:
    compare_images("repeat", upside_down, lambda node_ij: node_ij[::-1], 1)


@pytest.mark.parametrize(("across", "up"), [(1, 0), (4, 0), (0, 1), (0, 3), (2, 2)])
def test_where_a_repeat_begins(across: int, up: int) -> None:
    """Rolling the chart changes which bars and floats cross the edge of the cell, and nothing else."""
    rows = TIGHT_ROWS[up:] + TIGHT_ROWS[:up]
    rolled = tuple(row[across:] + row[:across] for row in rows)
    _, here, found = at_rest(mesh_of(TIGHT_ROWS, "repeat", -0.06), tolerance=EXACT)
    _, there, found_2 = at_rest(mesh_of(rolled, "repeat", -0.06), tolerance=EXACT)
    assert found_2.energy == pytest.approx(found.energy, rel=1e-11)
    assert here.period_a is not None
    assert there.period_a is not None
    np.testing.assert_allclose(there.period_a, here.period_a, rtol=1e-10)


@pytest.mark.parametrize("rows", [(".",), (".#",), (".", "#"), (".#", "#."), ("..#", "#.."), TIGHT_ROWS])
@pytest.mark.parametrize(("across", "up"), [(2, 1), (1, 2), (3, 2)])
def test_copies_of_a_cell_at_random_states(rows: tuple[str, ...], across: int, up: int) -> None:
    """k copies of any state have k times its energy, and each copy the same forces; tiny cells included."""
    one = fabric_energy(mesh_of(rows, "repeat", -0.1), WORSTED, "test")
    many = fabric_energy(mesh_of([across * row for row in rows] * up, "repeat", -0.1), WORSTED, "test")
    height, width = len(rows), len(rows[0])
    state = one.state(shaken(one, np.random.default_rng(8), 0.05 * WIDTH))
    assert state.period_a is not None
    x_ijc = state.x_nc.reshape(height, width, 3)
    tiled = np.concatenate(
        [np.concatenate([_moved(x_ijc, (i, j), state.period_a) for i in range(across)], axis=1) for j in range(up)]
    )
    tiled_state = State(tiled.reshape(-1, 3), state.period_a * [across, up])
    free_one, free_many = assemble(one.terms, state), assemble(many.terms, tiled_state)
    (u, g), (u_many, g_many) = (e.gradient(e.free(e.start)) for e in (free_one, free_many))
    assert u_many == pytest.approx(across * up * u, rel=1e-11)
    each = np.tile(g[:-2].reshape(height, width, 3), (up, across, 1))
    np.testing.assert_allclose(g_many[:-2].reshape(each.shape), each, rtol=0, atol=1e-11 * np.abs(g).max())
    # The force on a period: its energy is counted once a copy, its length is that of all copies.
    np.testing.assert_allclose(g_many[-2:] / (across * up), g[-2:] / [across, up], rtol=1e-9, atol=1e-13)


def _moved(x_ijc: Floats, by: tuple[int, int], period_a: Floats) -> Floats:
    return x_ijc + np.append(np.array(by) * period_a, 0.0)


@pytest.mark.parametrize(("across", "up"), [(2, 1), (1, 2), (2, 2)])
def test_two_repeats_draw_in_as_much_as_one(across: int, up: int) -> None:
    """For a motif that stays flat (a wide one may pucker over two repeats where one has no room for it)."""
    mesh = mesh_of(TIGHT_ROWS, "repeat", -0.06)
    more = mesh_of([across * row for row in TIGHT_ROWS] * up, "repeat", -0.06)
    (_, one, _), (_, two, _) = at_rest(mesh, tolerance=EXACT), at_rest(more, tolerance=EXACT)
    losses = []
    for state, m in ((one, mesh), (two, more)):
        assert state.period_a is not None
        assert m.period_a is not None
        losses.append(1.0 - state.period_a / m.period_a)
        assert np.ptp(state.x_nc[:, 2]) < 1e-2 * WIDTH
    assert losses[0][0] > 0.05
    np.testing.assert_allclose(losses[1], losses[0], rtol=0, atol=1e-9)


@pytest.mark.parametrize("case", CASES)
def test_plain_fabric_is_at_rest_as_it_is_built(case: Case) -> None:
    """No step at all, and no stitch moves by a bit."""
    mesh = mesh_of((".......",) * 6, case)
    energy, state, found = at_rest(mesh, tolerance=EXACT)
    assert found.steps == 0
    np.testing.assert_array_equal(state.x_nc, energy.start.x_nc)
    assert found.residual < 1e-15


@pytest.mark.parametrize("slack", [0.0, 0.02, 0.3])
def test_floats_long_enough_leave_the_repeat_alone(slack: float) -> None:
    """Exactly no draw-in for slack of nought and more."""
    mesh = mesh_of(TIGHT_ROWS, "repeat", slack)
    _, state, found = at_rest(mesh, tolerance=EXACT)
    assert found.steps == 0
    np.testing.assert_array_equal(state.period_a, mesh.period_a)
    np.testing.assert_array_equal(state.x_nc, mesh.rest_nc)


def test_a_float_a_hair_too_short_does_not() -> None:
    """So that the two tests above can fail."""
    _, state, found = at_rest(mesh_of(TIGHT_ROWS, "repeat", -1e-6), tolerance=EXACT)
    assert found.steps > 0
    assert state.period_a is not None
    assert state.period_a[0] < 6.0 * WIDTH


@pytest.mark.parametrize("case", CASES)
def test_the_rest_found_is_stable(case: Case) -> None:
    """Shaken by a hundredth of a stitch it comes back, and its whole Hessian has no negative curvature."""
    energy, state, found = at_rest(mesh_of(rows_of(case), case, SLACK[case]), tolerance=EXACT)
    hessian = energy.pattern.fill(energy.hessian(found.q_f)[2]).toarray()
    assert np.linalg.eigvalsh(hessian)[0] > 0.0
    q = found.q_f + 1e-2 * WIDTH * np.random.default_rng(6).normal(size=len(found.q_f))
    again = rest(energy, q, tolerance=EXACT)
    assert again.energy == pytest.approx(found.energy, rel=1e-11)
    np.testing.assert_allclose(energy.state(again.q_f).x_nc, state.x_nc, rtol=0, atol=1e-9 * WIDTH)


def test_the_table_carries_the_whole_weight() -> None:
    """At rest the pushes add up to the weight, whatever the floats do; what is held carries nothing."""
    mesh = mesh_of(WIDE, "swatch", -0.06)
    energy, state, _ = at_rest(mesh, tolerance=EXACT)
    weight = WORSTED.areal_mass * WIDTH * mesh.row_height * GRAVITY * len(mesh.rest_nc)
    push_n = -pulls(energy.term("table"), state)
    assert push_n.sum() == pytest.approx(weight, rel=1e-9)
    assert push_n.max() > 1.5 * push_n.mean(), "some of it is lifted off the table"
    free = assemble(energy.terms, state)
    assert np.abs(free.gradient(free.free(state))[1]).max() < 1e-12
    plain = start_of(mesh_of((".....",) * 3, "swatch"))
    np.testing.assert_allclose(plain.x_nc[:, 2], (0.5 - TABLE_SINK) * mesh.thickness, rtol=1e-14)


def test_inside_out_floats_draw_in_less() -> None:
    """Floats outside the tube are longer by 2 pi t/circumference: less tension in all of them together."""
    pulls = []
    for inside_out in (False, True):
        energy, state, _ = at_rest(mesh_of(WIDE, "round", -0.25, inside_out=inside_out))
        pulls.append(tensions(energy, state))
    assert pulls[1].sum() < pulls[0].sum()
    longer = 1.0 + 2.0 * np.pi * WORSTED.thickness / (12 * WIDTH)
    length_f, longer_f = (mesh_of(WIDE, "round", -0.25, inside_out=i).floats.length_f for i in (False, True))
    np.testing.assert_allclose(longer_f / length_f, longer, rtol=1e-14)
