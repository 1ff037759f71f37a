"""Stitches and the periods by which they lie away, walked step by step."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.fabric.mesh import DOWN, LEFT, RIGHT, UP
from fabricsim.fabric.places import Place, all_stitches, cells, whole
from tests.support.meshes import mesh_of

WAYS = {LEFT: (-1, 0), RIGHT: (1, 0), DOWN: (0, -1), UP: (0, 1)}


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("steps", [1, 3, 7])
def test_periods_add_up_however_far_one_walks(way: int, steps: int) -> None:
    """In an endless repeat of three by two, so many steps one way: the remainder and the whole periods (by hand)."""
    mesh = mesh_of(("...", "..."), "repeat")
    place = all_stitches(mesh)
    for _ in range(steps):
        place = place.step(mesh, way)
    across, up = WAYS[way]
    for node in range(6):
        turns, column = divmod(node % 3 + across * steps, 3)
        lifts, row = divmod(node // 3 + up * steps, 2)
        assert place.node_b[node] == 3 * row + column
        assert place.shift_b2[node].tolist() == [turns, lifts]
    back = place
    for _ in range(steps):
        back = back.step(mesh, {LEFT: RIGHT, RIGHT: LEFT, DOWN: UP, UP: DOWN}[way])
    np.testing.assert_array_equal(back.node_b, np.arange(6))
    np.testing.assert_array_equal(back.shift_b2, 0)


def test_beyond_an_edge_there_is_nothing_and_another_may_stand_in() -> None:
    mesh = mesh_of(("...", "..."), "swatch")
    right = all_stitches(mesh).step(mesh, RIGHT)
    assert right.node_b.tolist() == [1, 2, -1, 4, 5, -1]
    assert right.step(mesh, RIGHT).node_b.tolist() == [2, -1, -1, 5, -1, -1]
    assert right.there_b.tolist() == [True, True, False, True, True, False]
    other = Place(np.full(6, 9), np.full((6, 2), 3))
    stood_in = right.or_else(other)
    assert stood_in.node_b.tolist() == [1, 2, 9, 4, 5, 9]
    assert stood_in.shift_b2.tolist() == [[0, 0], [0, 0], [3, 3]] * 2
    left, right, down, up = all_stitches(mesh).around(mesh)
    assert left.node_b.tolist() == [0, 0, 1, 3, 3, 4]
    assert right.node_b.tolist() == [1, 2, 2, 4, 5, 5]
    assert down.node_b.tolist() == [0, 1, 2, 0, 1, 2]
    assert up.node_b.tolist() == [3, 4, 5, 3, 4, 5]
    corners = cells(mesh)
    assert whole(corners).tolist() == [True, True, False, False, False, False]
    assert [int(one.node_b[1]) for one in corners] == [1, 2, 4, 5]  # lower left, lower right, upper left, upper right
