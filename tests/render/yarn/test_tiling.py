"""A repeat laid out for drawing: the picture is full to its border, as if the fabric went on."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.fabric.mesh import DOWN, UP
from fabricsim.fabric.relax import relax
from fabricsim.render.yarn.tiling import GHOST_RIMS, repeats_shown, tiled
from tests.support.scenes import scene_of

REACH = 2
"""Rows that a loop reaches up and its feet reach down."""


@pytest.mark.parametrize("rows", [["#...", "..#."], ["#..#.."], ["#.....", "......", "..#...", "......", "....#."] * 2])
def test_loops_that_reach_into_the_picture_are_whole_and_know_their_neighbours(rows: list[str]) -> None:
    """Every row from below the picture to above it that may show there, in every column of it; and the stitches that
    each is interpolated from are none of them ghosts."""
    rest = relax(scene_of(rows, 0.05), "repeat")
    layout, mesh = tiled(rest), rest.mesh
    across, up = repeats_shown(rest)
    reaches_n = (layout.row_n >= -REACH) & (layout.row_n < up * mesh.rows + REACH)
    reaches_n &= (layout.column_n >= 0) & (layout.column_n < across * mesh.stitches)
    assert reaches_n.sum() == across * mesh.stitches * (up * mesh.rows + 2 * REACH)
    for way in (DOWN, UP):
        at = np.flatnonzero(reaches_n)
        for _ in range(GHOST_RIMS):
            at = layout.neighbour_n4[at, way]
            assert ((at >= 0) & (at < layout.stitches)).all()
