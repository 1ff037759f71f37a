"""The mesh: who is next to whom, where the stitches lie, between which stitches a float runs."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.design.floats.found import Float, find_floats
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.mesh import CLOSING, DOWN, LEFT, RIGHT, UP, Mesh, build_mesh, inside_out_factor, spiral_radius
from tests.support.meshes import HEIGHT, WIDTH, WORSTED, mesh_of

CASES: tuple[Case, ...] = ("repeat", "swatch", "round")
OPPOSITE = {LEFT: RIGHT, RIGHT: LEFT, DOWN: UP, UP: DOWN}

a_case = st.sampled_from(CASES)


@st.composite
def meshes(draw: st.DrawFn, floats: bool = False) -> tuple[Mesh, tuple[Float, ...]]:
    case = draw(a_case)
    rows, stitches = draw(st.integers(1, 5)), draw(st.integers(3 if case == "round" else 1, 7))
    seed = draw(st.integers(0, 2**31))
    grid_ij = np.random.default_rng(seed).integers(0, 3, (rows, stitches))
    found: tuple[Float, ...] = ()
    if floats:
        slack = [0.1, -0.05, 0.0]
        found = find_floats(grid_ij, closing=CLOSING[case], stitch_width=WIDTH, slack_by_yarn=slack)
    mesh = build_mesh(
        grid_ij, found, case, stitch_width=WIDTH, row_height=HEIGHT, thickness=WORSTED.thickness, inside_out=True
    )
    np.testing.assert_array_equal(mesh.yarn_n, grid_ij.ravel())
    return mesh, found


@given(meshes())
def test_neighbours_are_mutual_with_opposite_shifts(drawn: tuple[Mesh, tuple[Float, ...]]) -> None:
    mesh, _ = drawn
    for way, back in OPPOSITE.items():
        there = mesh.neighbour_n4[:, way] >= 0
        here = np.flatnonzero(there)
        to = mesh.neighbour_n4[here, way]
        np.testing.assert_array_equal(mesh.neighbour_n4[to, back], here)
        np.testing.assert_array_equal(mesh.shift_n42[to, back], -mesh.shift_n42[here, way])
        assert len(np.unique(to)) == len(to), "two stitches have one and the same neighbour"


@given(meshes())
def test_neighbours_lie_one_stitch_away(drawn: tuple[Mesh, tuple[Float, ...]]) -> None:
    """Across by w, up by c, periods counted: in every case, over edges and joins."""
    mesh, _ = drawn
    x_nc = mesh.rest_nc
    for way, distance in ((LEFT, WIDTH), (RIGHT, WIDTH), (DOWN, HEIGHT), (UP, HEIGHT)):
        here = np.flatnonzero(mesh.neighbour_n4[:, way] >= 0)
        to = x_nc[mesh.neighbour_n4[here, way]]
        if mesh.period_a is not None:
            to[:, :2] += mesh.shift_n42[here, way] * mesh.period_a
        else:
            assert not mesh.shift_n42.any()
        away_bc = to - x_nc[here]
        np.testing.assert_allclose(np.linalg.norm(away_bc, axis=1), distance, rtol=1e-12)
        if mesh.case != "round":
            axis, sign = (0, 1) if way in (LEFT, RIGHT) else (1, 1)
            sign = -1 if way in (LEFT, DOWN) else 1
            np.testing.assert_allclose(away_bc[:, axis], sign * distance, rtol=1e-12)
        else:
            # Seen from the face, outside, right is the way of growing angle about the upward axis.
            angle = np.cross(x_nc[here], to)[:, 1]
            assert (np.sign(np.round(angle, 12)) == {LEFT: -1, RIGHT: 1, DOWN: 0, UP: 0}[way]).all()


def test_missing_neighbours_are_those_at_the_edges() -> None:
    rows, stitches = 4, 5
    for case, missing in (
        ("repeat", (0, 0, 0, 0)),
        ("swatch", (rows, rows, stitches, stitches)),
        # On the spiral only the very first stitch worked has none before it (right) and the last none after
        # (left).
        ("round", (1, 1, stitches, stitches)),
    ):
        mesh = mesh_of(("." * stitches,) * rows, case)  # type: ignore[arg-type]
        assert tuple((mesh.neighbour_n4 == -1).sum(axis=0)) == missing, case


def test_the_spiral_join() -> None:
    """Worked right to left: after the leftmost stitch of a round comes the rightmost of the next."""
    mesh = mesh_of((".....",) * 3, "round")
    node = np.arange(15).reshape(3, 5)
    for row in range(2):
        assert mesh.neighbour_n4[node[row, 0], LEFT] == node[row + 1, 4]
        assert mesh.neighbour_n4[node[row + 1, 4], RIGHT] == node[row, 0]
    assert mesh.neighbour_n4[node[0, 4], RIGHT] == -1
    assert mesh.neighbour_n4[node[2, 0], LEFT] == -1
    # The whole tube is one line of stitches: following left from the first gives every stitch once.
    at, seen = int(node[0, 4]), []
    while at >= 0:
        seen.append(at)
        at = int(mesh.neighbour_n4[at, LEFT])
    assert sorted(seen) == list(range(15))


def test_a_cell_of_one_stitch_is_its_own_neighbour() -> None:
    mesh = mesh_of((".",), "repeat")
    assert mesh.neighbour_n4.tolist() == [[0, 0, 0, 0]]
    assert mesh.shift_n42.tolist() == [[[-1, 0], [1, 0], [0, -1], [0, 1]]]


@pytest.mark.parametrize("stitches", [3, 7, 40, 200])
def test_spiral_radius(stitches: int) -> None:
    """A step turns by 2 pi/n, climbs c/n, and is w long: Pythagoras on its chord 2 R sin(pi/n) and its
    climb."""
    radius = spiral_radius(stitches, WIDTH, HEIGHT)
    level, climb = 2.0 * radius * math.sin(math.pi / stitches), HEIGHT / stitches
    assert math.hypot(level, climb) == pytest.approx(WIDTH, rel=1e-13)
    # Against a circle of n stitches round: the polygon, (pi/n)^2/6, and the climb, (c/(n w))^2/2, together.
    circle = stitches * WIDTH / (2.0 * math.pi)
    tolerance = (math.pi / stitches) ** 2 / 6.0 + 0.5 * (HEIGHT / (stitches * WIDTH)) ** 2
    assert radius == pytest.approx(circle, rel=1.5 * tolerance)


def test_the_tube_stands_upright_with_its_face_outside() -> None:
    mesh = mesh_of(("............",) * 3, "round")
    radius = spiral_radius(12, WIDTH, HEIGHT)
    np.testing.assert_allclose(np.hypot(mesh.rest_nc[:, 0], mesh.rest_nc[:, 2]), radius, rtol=1e-12)
    inner = (mesh.neighbour_n4 >= 0).all(axis=1)
    left, right, down, up = (mesh.rest_nc[mesh.neighbour_n4[inner, k]] for k in range(4))
    normal = np.cross(right - left, up - down)
    out = mesh.rest_nc[inner] * np.array([1.0, 0.0, 1.0])
    cosine = (normal * out).sum(axis=1) / np.linalg.norm(normal, axis=1) / np.linalg.norm(out, axis=1)
    assert cosine.min() > 0.99  # it leans only by the climb, half a row in 6 stitches
    np.testing.assert_allclose(np.diff(mesh.rest_nc.reshape(3, 12, 3)[..., 1], axis=0), HEIGHT, rtol=1e-12)


@pytest.mark.parametrize(
    ("case", "inside_out", "want"),
    [
        ("round", True, 1.0 + 2.0 * math.pi * 0.0026 / (90 * 0.005)),
        ("round", False, 1.0),
        ("repeat", True, 1.0),
        ("swatch", True, 1.0),
    ],
)
def test_inside_out_floats_are_longer_by_the_thickness_they_go_round(case: Case, inside_out: bool, want: float) -> None:
    """1 + 2 pi t / circumference; for 90 stitches of 5 mm and 2.6 mm: 1.0363."""
    assert inside_out_factor(case, 90, 0.005, 0.0026, inside_out) == want
    assert 1.0 + 2.0 * math.pi * 0.0026 / 0.45 == pytest.approx(1.0363, abs=5e-5)


@given(meshes(floats=True))
def test_floats_run_between_stitches_of_their_yarn(drawn: tuple[Mesh, tuple[Float, ...]]) -> None:
    """Left end first; the other end gap + 1 stitches to its right, found by walking along the neighbours."""
    mesh, floats = drawn
    table = mesh.floats
    assert len(table) == len(floats)
    longer = inside_out_factor(mesh.case, mesh.stitches, WIDTH, mesh.thickness, True)
    for f, one in enumerate(floats):
        at, shift = int(table.node_f2[f, 0]), np.zeros(2, dtype=int)
        for _ in range(one.gap + 1):
            shift += mesh.shift_n42[at, RIGHT]
            at = int(mesh.neighbour_n4[at, RIGHT])
        assert at == table.node_f2[f, 1]
        np.testing.assert_array_equal(shift, table.shift_f2[f])
        begun = one.row * mesh.stitches + one.start
        assert begun == table.node_f2[f, 0 if one.direction > 0 else 1] or table.shift_f2[f].any()
        if one.kind != "edge":  # at an edge the yarn is held without a stitch of its own
            assert mesh.yarn_n[table.node_f2[f]].tolist() == [one.yarn, one.yarn]
        assert table.length_f[f] == pytest.approx((one.gap + 1) * WIDTH * (1.0 + one.slack) * longer, rel=1e-14)
        assert (table.yarn_f[f], table.gap_f[f], table.layer_f[f]) == (one.yarn, one.gap, one.layer)
        assert (table.span_f[f], table.slack_f[f]) == (one.span, one.slack)


def test_floats_across_a_join_and_a_repeat_edge_by_hand() -> None:
    rows = ("#....", "#....")
    round_, repeat = mesh_of(rows, "round"), mesh_of(rows, "repeat")
    over_join = round_.floats.node_f2[(round_.floats.yarn_f == 1)]
    # The last stitch of round 0 (column 0) to the last of round 1: behind the four stitches worked first in
    # round 1.
    assert over_join.tolist() == [[5, 0]]
    own_copy = repeat.floats.yarn_f == 1
    assert repeat.floats.node_f2[own_copy].tolist() == [[0, 0], [5, 5]]
    assert repeat.floats.shift_f2[own_copy].tolist() == [[1, 0], [1, 0]]


def test_floats_of_another_case_are_refused() -> None:
    grid_ij = np.array([[1, 0, 0, 0]])
    floats = find_floats(grid_ij, closing="row", stitch_width=WIDTH, slack_by_yarn=[0.0, 0.0])
    with pytest.raises(ValueError, match="outside the fabric"):
        build_mesh(grid_ij, floats, "swatch", stitch_width=WIDTH, row_height=HEIGHT, thickness=1e-3)


def test_the_join_of_a_tube_lies_at_its_left_and_it_climbs_towards_it() -> None:
    """So that neither the face seen in front nor the inside seen behind is cut; a quarter round on is the front."""
    mesh = mesh_of(("........",) * 3, "round")
    radius = spiral_radius(8, WIDTH, HEIGHT)
    x_ijc = mesh.rest_nc.reshape(3, 8, 3)
    np.testing.assert_allclose(x_ijc[0, 0, [0, 2]], [-radius, 0.0], atol=1e-15)
    np.testing.assert_allclose(x_ijc[0, 2, [0, 2]], [0.0, radius], atol=1e-15)
    # worked right to left: the rightmost stitch of a round is its lowest, the leftmost nearly a row higher
    np.testing.assert_allclose(x_ijc[1, :, 1], HEIGHT * (1.0 + np.arange(7, -1, -1) / 8))
    flat = mesh_of(("...",) * 2, "swatch").rest_nc
    np.testing.assert_allclose(flat, [[WIDTH * j, HEIGHT * i, 0.0] for i in range(2) for j in range(3)], atol=1e-15)


def test_a_float_of_another_case_is_told_which() -> None:
    grid_ij = np.array([[1, 0, 0, 0]])
    floats = find_floats(grid_ij, closing="row", stitch_width=WIDTH, slack_by_yarn=[0.0, 0.0])
    with pytest.raises(ValueError, match=r"^a float ends outside the fabric: it was not found for the case 'swatch'$"):
        build_mesh(grid_ij, floats, "swatch", stitch_width=WIDTH, row_height=HEIGHT, thickness=1e-3)
