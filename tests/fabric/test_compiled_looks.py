"""What compiled code finds near, passing through itself and behind floats, against scipy's trees and numpy."""

from __future__ import annotations

import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.arrays import Floats, Ints
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.behind import Tracks
from fabricsim.fabric.crossing import Cells
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.pairs import near_by_trees
from fabricsim.mechanics import compiled
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.compiled import compiled_near
from fabricsim.mechanics.energies.courses import courses_by_arrays
from fabricsim.mechanics.terms import places
from tests.benchmarks.fabrics import fabric

pytestmark = pytest.mark.skipif(compiled.LOADED is None, reason="no compiler was at hand, or it is switched off")

CASES: list[Case] = ["repeat", "swatch", "round"]


def in_order(pair_p2: Ints) -> list[list[int]]:
    return sorted(np.sort(pair_p2, axis=1).tolist())


def same_pairs(point_nc: Floats, own: int, distance: float) -> int:
    found = compiled_near(point_nc, own, distance)
    assert found is not None
    assert (found[:, 0] < found[:, 1]).all()
    assert in_order(found) == in_order(near_by_trees(point_nc, own, distance))
    return len(found)


@given(
    st.integers(0, 2**32 - 1),
    st.integers(1, 200),
    st.floats(0.0, 1.0),
    st.floats(0.0, 1.5),
    st.tuples(*[st.sampled_from([0.0, 1e-6, 1.0, 30.0])] * 3),
)
def test_the_same_pairs_are_near_as_trees_find(
    seed: int, count: int, own: float, distance: float, size: tuple[float, float, float]
) -> None:
    """Points in a box, a sheet, a line or all in one place; some of them images."""
    same_pairs(np.random.default_rng(seed).random((count, 3)) * size, 1 + int(own * (count - 1)), distance)


def test_points_on_a_grid_a_distance_apart_are_near() -> None:
    """Where all stand on the edges of the boxes that they are put into: six neighbours each, but for the ends,
    26 with those across edges and corners."""
    grid = np.stack(np.meshgrid(*[np.arange(8.0)] * 3), axis=-1).reshape(-1, 3)
    assert same_pairs(grid, len(grid), 1.0) == 3 * 7 * 8 * 8
    assert same_pairs(grid, len(grid), 1.8) == 3 * 7 * 8 * 8 + 6 * 7 * 7 * 8 + 4 * 7**3


def test_more_pairs_than_there_is_room_for_are_all_found() -> None:
    rng = np.random.default_rng(0)
    assert same_pairs(rng.random((300, 3)), 300, 10.0) == 300 * 299 // 2


@pytest.mark.parametrize("lost", [np.nan, np.inf, -np.inf])
def test_points_that_lie_nowhere_are_left_to_scipy(lost: float) -> None:
    assert compiled_near(np.array([[0.0, 0.0, 0.0], [lost, 0.0, 0.0]]), 2, 1.0) is None


def crumpled(mesh: Mesh, rng: np.random.Generator, by: float) -> State:
    """Return fabric in a state in which much of it passes through itself; a cell is also shrunk."""
    x_nc = mesh.rest_nc + by * mesh.stitch_width * rng.normal(size=mesh.rest_nc.shape)
    return State(x_nc, None if mesh.period_a is None else mesh.period_a * rng.uniform(0.5, 1.1, 2))


@pytest.mark.parametrize("by", [0.0, 0.4, 0.8, 2.0])
@pytest.mark.parametrize("case", CASES)
def test_as_many_cells_cross_as_numpy_finds(case: Case, by: float) -> None:
    cells = Cells.of(fabric(case, 9, 12, -0.05).mesh)
    state = crumpled(cells.mesh, np.random.default_rng(1), by)
    corner_4sc = cells.middles.corners(state)
    found = cells._by_compiled_code(corner_4sc, state)
    assert found == cells._by_arrays(corner_4sc, state) == cells.crossing(state)
    assert by == 0.4 or (found > 20) == (by > 0.0)


@pytest.mark.parametrize("case", CASES)
def test_floats_run_as_numpy_finds(case: Case) -> None:
    """Lengths and depths to round-off, of which a depth keeps fewer digits: it is a small difference."""
    mesh = fabric(case, 12, 20, -0.05).mesh
    tracks = Tracks(mesh)
    state = crumpled(mesh, np.random.default_rng(2), 0.5)
    place_pc = places(state.x_nc, state.period_a)
    size = mesh.stitch_width * max(mesh.rows, mesh.stitches)
    turning = 0
    for course, (_, term) in zip(tracks._courses, tracks._parts, strict=True):
        assert isinstance(course, compiled.CompiledCourses)
        length_b, depth_b, turns_bk = course(place_pc)
        want_b, want_depth_b, want_bk = courses_by_arrays(term, len(mesh.rest_nc), mesh.period_a is not None)(place_pc)
        np.testing.assert_allclose(length_b, want_b, rtol=1e-13)
        np.testing.assert_allclose(depth_b, want_depth_b, rtol=0.0, atol=1e-14 * size)
        np.testing.assert_array_equal(turns_bk, want_bk)
        turning += int(turns_bk[:, 1:-1].sum())
    assert turning > 10
    way, there = tracks.at(state), pickle.loads(pickle.dumps(tracks)).at(state)
    assert way.pressed == there.pressed
    assert [len(steps) > 0 for steps in way.pressed] == way.bent_f.tolist()
    assert way.bent_f.any() > way.bent_f.all()
