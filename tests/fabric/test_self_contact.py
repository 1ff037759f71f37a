"""Fabric that meets itself: which places are near, that they push apart, and that nothing passes through."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.fabric.build import cloth_terms, held_unknowns
from fabricsim.fabric.contact import DEEPEST, FARTHEST, TOUCH_RATIO, Contact
from fabricsim.fabric.crossing import crossing_cells
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.pairs import pairs_within, surface
from fabricsim.fabric.places import cells, whole
from fabricsim.fabric.relax import TOLERANCE, come_to_rest, force_scale
from fabricsim.fabric.setup import set_up
from fabricsim.mechanics.assemble import State, assemble
from tests.support.folds import Key, all_pairs, crossings, hairpin
from tests.support.meshes import WIDTH, WORSTED, at_rest, mesh_of
from tests.support.scenes import fabric_of, scene_of

SHAPES: dict[str, tuple[int, int, Case]] = {
    "one stitch, repeated": (1, 1, "repeat"),
    "2 x 3, repeated": (2, 3, "repeat"),
    "4 x 6, repeated": (4, 6, "repeat"),
    "swatch": (6, 9, "swatch"),
    "tube": (5, 12, "round"),
}
every_shape = pytest.mark.parametrize("shape", SHAPES)


def crumpled(shape: str, seed: int, noise: float) -> tuple[Mesh, State]:
    """Return a plain mesh and a state of it that is small, and rough by ``noise`` stitch widths."""
    rows, stitches, case = SHAPES[shape]
    mesh, rng = mesh_of(("." * stitches,) * rows, case), np.random.default_rng(seed)
    x_nc = mesh.rest_nc * rng.uniform(0.2, 1.0) + noise * WIDTH * rng.normal(size=mesh.rest_nc.shape)
    return mesh, State(x_nc, None if mesh.period_a is None else mesh.period_a * rng.uniform(0.3, 1.0, 2))


@every_shape
@pytest.mark.parametrize("noise", [0.3, 1.0, 2.0])
def test_pairs_are_all_that_a_slow_search_finds(shape: str, noise: float) -> None:
    """Every pair once, over every image, at its distance and with its room; neighbours too where they are folded."""
    seen = 0
    for seed in range(3):
        mesh, state = crumpled(shape, seed, noise)
        faces = surface(mesh)
        share = 0.8 + seed
        want = all_pairs(mesh, faces, state, share, reach=6)
        found = pairs_within(mesh, faces, state, share)
        got: dict[Key, tuple[float, float]] = {}
        lengths = zip(found.apart_p.tolist(), found.room_p.tolist(), strict=True)
        for (p, q), (i, j), apart in zip(found.place_p2.tolist(), found.shift_p2.tolist(), lengths, strict=True):
            key = (p, q, i, j) if (p, q, i, j) in want else (q, p, -i, -j)
            assert key not in got
            got[key] = apart
        assert got.keys() == want.keys()
        assert np.allclose([got[key] for key in want], list(want.values()), rtol=0.0, atol=1e-16)
        seen += len(want)
    # A single stitch and its cell, with periods never below 0.3 of 4 mm: images from the third on can come near.
    assert seen > 0


@every_shape
def test_what_can_touch_is_every_stitch_and_every_whole_cell(shape: str) -> None:
    """A tube of n rows has one round of cells fewer, a swatch also a column, a repeat as many as stitches."""
    rows, stitches, case = SHAPES[shape]
    mesh, state = crumpled(shape, 1, 0.5)
    place_sc = surface(mesh).at(state)
    want = {"repeat": rows * stitches, "swatch": (rows - 1) * (stitches - 1), "round": (rows - 1) * stitches - 1}[case]
    assert len(place_sc) == rows * stitches + want
    assert int(whole(cells(mesh)).sum()) == want
    np.testing.assert_array_equal(place_sc[: rows * stitches], state.x_nc)
    first_c = state.x_nc[[0, 1, stitches, stitches + 1]].mean(axis=0) if case == "swatch" else None
    if first_c is not None:
        np.testing.assert_allclose(place_sc[rows * stitches], first_c, rtol=1e-13)


@pytest.mark.parametrize("shape", list(SHAPES)[1:])
@pytest.mark.parametrize("noise", [0.5, 1.5])
def test_crossings_are_those_that_every_edge_against_every_triangle_gives(shape: str, noise: float) -> None:
    mesh, state = crumpled(shape, 4, noise)
    want = crossings(mesh, state, reach=8 if min(mesh.rows, mesh.stitches) < 4 else 3)
    assert crossing_cells(mesh, state) == len(want)
    if noise > 1.0:
        assert len(want) > 5


@pytest.mark.parametrize("aside", [0.0, 0.3])
def test_a_sheet_folded_through_itself_crosses_along_a_line(aside: float) -> None:
    """Its right half turned over and stepped down so that it cuts the left half along one wale: at least one crossing
    in each row of cells, also where the rows of both halves lie exactly over each other; lifted off it, none."""
    mesh = mesh_of(("." * 24,) * 8, "swatch")
    x_nc = hairpin(mesh.rest_nc, 3.0 * mesh.thickness)
    x_nc[mesh.column_n >= 12, 1] += aside * mesh.row_height
    assert crossing_cells(mesh, State(x_nc)) == 0
    x_nc[mesh.column_n >= 18, 2] -= 4.0 * mesh.thickness
    assert crossing_cells(mesh, State(x_nc)) >= mesh.rows - 1


@every_shape
def test_plain_fabric_neither_touches_nor_crosses_itself(shape: str) -> None:
    rows, stitches, case = SHAPES[shape]
    mesh = mesh_of(("." * stitches,) * rows, case)
    plain = State(mesh.rest_nc, mesh.period_a)
    assert len(pairs_within(mesh, surface(mesh), plain, 1.25)) == 0
    assert crossing_cells(mesh, plain) == 0


CURL = replace(WORSTED, curl_across=120.0)
"""Wants to curl to a radius of 8 mm: with 12 cm of it, it rolls onto itself."""


@cache
def lying_on_itself(how: str) -> Equilibrium:
    """Return a strip that rolls up, from flat; or one laid double, 0.8 of a thickness apart, that stays so by its
    weight: it is in contact all over and is first pushed apart."""
    if how == "rolled up":
        return come_to_rest(fabric_of(mesh_of(("." * 24,) * 3, "swatch"), CURL))
    mesh = mesh_of(("." * 26,) * 3, "swatch")
    start_nc = hairpin(mesh.rest_nc, 0.8 * mesh.thickness)
    start_nc[:, 2] += 0.45 * mesh.thickness - start_nc[:, 2].min()  # its lower side on the table
    start = State(start_nc)
    assert len(pairs_within(mesh, surface(mesh), start, 0.9)) > 15
    return come_to_rest(fabric_of(mesh), start)


both_ways = pytest.mark.parametrize("how", ["rolled up", "laid double"])


@both_ways
def test_a_strip_rests_on_itself(how: str) -> None:
    """No two places come nearer than a thickness less what their push presses them in. How far that may be: a strip of
    bending B bent double is pushed apart by B/R^2 times its width, R half a thickness, 0.3 N in all; of that a pair has
    no more than a tenth (chosen; next test has every force by hand), which presses it in by a twenty-fifth."""
    rest = lying_on_itself(how)
    mesh, thickness = rest.mesh, rest.mesh.thickness
    near = all_pairs(mesh, surface(mesh), rest.state, 1.0, 0)
    assert len(near) >= 6
    push = WORSTED.bend_across / (0.5 * thickness) ** 2 * (mesh.rows - 1) * mesh.row_height
    assert max(room - apart for apart, room in near.values()) <= 0.15 * push / (TOUCH_RATIO * WORSTED.stretch_across)
    assert crossing_cells(mesh, rest.state) == 0
    assert not crossings(mesh, rest.state, 0)
    stitches = {int(n) for pair in near for p in pair[:2] for n in surface(mesh).corner_s4[p]}
    assert set(rest.touching.tolist()) == stitches


@both_ways
def test_what_touches_pushes_both_ways_alike_and_holds_the_rest_in_balance(how: str) -> None:
    """F = k <t - s> between any two places, by hand over all pairs, shared by the four stitches of each; with it the
    forces of everything else are nought at every stitch, to the tolerance of the solver."""
    rest = lying_on_itself(how)
    mesh, faces = rest.mesh, surface(rest.mesh)
    place_sc, push_nc = faces.at(rest.state), np.zeros_like(rest.x_nc)
    for (p, q, _, _), (apart, room) in all_pairs(mesh, faces, rest.state, 1.0, 0).items():
        push_c = 20.0 * WORSTED.stretch_across * (room - apart) * (place_sc[q] - place_sc[p]) / apart
        for corner in range(4):
            push_nc[faces.corner_s4[q, corner]] += 0.25 * push_c
            push_nc[faces.corner_s4[p, corner]] -= 0.25 * push_c
    assert np.linalg.norm(push_nc, axis=1).max() > 1e-4
    assert np.abs(push_nc.sum(axis=0)).max() < 1e-15
    assert np.abs(np.cross(rest.x_nc, push_nc).sum(axis=0)).max() < 1e-17
    other = assemble(cloth_terms(mesh, rest.stiffness, "test"), rest.contact.energy.start, held_unknowns(mesh))
    left_f = other.gradient(other.free(rest.state))[1] - push_nc.ravel()[other.pattern.free_f]
    # Round-off of forces of 0.1 N comes on top: a ten-thousandth of the tolerance.
    assert np.abs(left_f).max() <= TOLERANCE * force_scale(rest.stiffness, mesh) * (1.0 + 1e-3)


def test_what_minds_nothing_rolls_up_through_itself() -> None:
    """The same strip without contact: so there is something for it to prevent."""
    mesh = mesh_of(("." * 24,) * 3, "swatch")
    _, state, _ = at_rest(mesh, CURL, 1e-9 * force_scale(CURL, mesh))
    assert crossing_cells(mesh, state) >= 2
    assert len(all_pairs(mesh, surface(mesh), state, 0.7, 0)) > 0


def test_floats_far_too_tight_do_not_pull_fabric_through_itself() -> None:
    """Steps of floats of five, at slack -30 %."""
    steps = tuple("".join("#" if (j - 2 * (i // 3)) % 6 == 0 else "." for j in range(36)) for i in reversed(range(6)))
    fabric = set_up(scene_of(steps, -0.30), "repeat")
    mesh = fabric.mesh
    rest = come_to_rest(fabric)
    assert rest.contact.wrapped_f.any()
    assert crossing_cells(mesh, rest.state) == 0
    assert pairs_within(mesh, surface(mesh), rest.state, 0.9).apart_p.size == 0


@pytest.mark.parametrize("gap", [1.2, 3.0])
@pytest.mark.parametrize("step", [0.5, 2.0, 4.0, 16.0, 64.0])
def test_no_step_takes_fabric_through_itself(gap: float, step: float) -> None:
    """The upper side of a sheet laid double, so many thicknesses above the lower, is to move down by ``step`` of them:
    whatever the solver wants, after the share of it that may be taken the upper side is still above the lower."""
    mesh = mesh_of(("." * 20,) * 3, "swatch")
    contact = Contact.of(fabric_of(mesh))
    start = State(hairpin(mesh.rest_nc, gap * mesh.thickness))
    energy = contact.renewed(contact.energy, contact.energy.free(start)) or contact.energy
    assert (len(contact.watched) > 0) == (gap < 1.6)
    upper = mesh.column_n >= 12  # off the bend
    move_nc = np.zeros_like(start.x_nc)
    move_nc[upper, 2] = -step * mesh.thickness
    q_f = energy.free(start)
    step_f = energy.free(State(start.x_nc + move_nc)) - q_f
    share = contact.longest(energy, q_f, step_f)
    assert 0.0 < share <= 1.0
    assert share * step < gap
    if step < gap - 1.0:
        assert share == 1.0


@pytest.mark.parametrize("case", ["swatch", "repeat"])
@pytest.mark.parametrize("far", [1e20, 1e160, 1e305])
def test_no_step_goes_where_there_are_no_distances(case: Case, far: float) -> None:
    """A step to next to infinity, whose squares are beyond all numbers: cut to a hundred sizes of the fabric."""
    mesh = mesh_of(("." * 6,) * 4, case)
    contact = Contact.of(fabric_of(mesh))
    q_f = contact.energy.free(contact.energy.start)
    step_f = np.random.default_rng(0).uniform(-far, far, len(q_f))
    share = contact.longest(contact.energy, q_f, step_f)
    assert 0.0 < share * np.abs(step_f).max() <= FARTHEST * 6 * mesh.stitch_width


def slipped(mesh: Mesh, low: float) -> State:
    """Return flat fabric with one stitch of the upper edge slipped past its neighbour to the left, a hundredth of a
    thickness above the fabric, and the stitch below it ``low`` thicknesses above: the bar between them passes over the
    cells to the left, or, from below, through the one but next, where no two places are near."""
    x_nc = mesh.rest_nc.copy()
    stitch = mesh.stitches * (mesh.rows - 1) + 5
    x_nc[stitch] += [-1.6 * mesh.stitch_width, 0.0, 0.01 * mesh.thickness]
    x_nc[stitch - mesh.stitches, 2] += low * mesh.thickness
    return State(x_nc)


def test_a_cell_that_would_turn_into_another_is_held_back() -> None:
    """Places are as far apart as before, so only a look at the cells can tell: a step may not be taken whole, but as
    far as nothing crosses, as an independent search says; and back out of a crossing any step may be taken."""
    mesh = mesh_of(("." * 9,) * 6, "swatch")
    contact = Contact.of(fabric_of(mesh))
    over, through = slipped(mesh, 0.04), slipped(mesh, -0.04)
    energy = contact.energy
    over_f, through_f = energy.free(over), energy.free(through)
    assert not crossings(mesh, over, 0)
    assert len(crossings(mesh, through, 0)) == crossing_cells(mesh, through) > 0
    for state in (over, through):
        assert len(pairs_within(mesh, surface(mesh), state, DEEPEST)) == 0
    share = contact.longest(energy, over_f, through_f - over_f)
    assert 0.0 < share < 1.0
    assert not crossings(mesh, energy.state(over_f + share * (through_f - over_f)), 0)
    assert not contact.allowed(energy, over_f, through_f)
    assert contact.allowed(energy, over_f, over_f)
    assert contact.allowed(energy, through_f, over_f)
    assert contact.allowed(energy, through_f, energy.free(slipped(mesh, -0.05)))
    assert contact.longest(energy, through_f, energy.free(slipped(mesh, -0.05)) - through_f) == 1.0
    assert not contact.allowed(energy, over_f, through_f)  # having been there makes it no better


def test_a_start_that_passes_through_itself_comes_to_rest() -> None:
    """As a random start may: there is nothing to be held back from then, and the solver must not get stuck."""
    mesh = mesh_of(("." * 24,) * 3, "swatch")
    x_nc = hairpin(mesh.rest_nc, 3.0 * mesh.thickness)
    x_nc[mesh.column_n >= 18, 2] -= 4.0 * mesh.thickness
    assert crossings(mesh, State(x_nc), 0)
    rest = come_to_rest(fabric_of(mesh), State(x_nc))
    assert rest.effort.ramp_parts == 1


def test_fabric_may_be_bent_double() -> None:
    """The sides of a hairpin are half of pi thicknesses from each other along the fabric: room enough all round."""
    mesh = mesh_of(("." * 20,) * 3, "swatch")
    start = State(hairpin(mesh.rest_nc, 1.02 * mesh.thickness))
    assert len(pairs_within(mesh, surface(mesh), start, 1.0)) == 0
