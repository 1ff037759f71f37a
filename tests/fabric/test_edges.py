"""How much every stitch wants to curl, and how a shaped piece lies with its pins out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.design.rows.shaped import ShapedRows, knitted
from fabricsim.fabric.crossing import crossing_cells
from fabricsim.fabric.edges import curls
from fabricsim.fabric.lying import unpinned
from fabricsim.fabric.mesh import Mesh, build_mesh
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.fabric.whole import set_up_whole
from tests.support.meshes import HEIGHT, WIDTH, WORSTED
from tests.support.scenes import scene_of
from tests.support.shapes import mesh_of_rows


def curled(stitches: float, rows: float) -> tuple[Stiffness, Stiffness]:
    """Return fabric that curls so many stitches deep from its sides, and so many rows deep from its ends."""
    either = replace(WORSTED, curl_across=-100.0, curl_up=80.0)
    return replace(either, curl_depth=stitches * WIDTH), replace(either, curl_depth=rows * HEIGHT)


def by_row(mesh: Mesh, value_n: Floats, share: float) -> list[list[float]]:
    """Return the values from the left of each row, from the bottom up, as parts of a ``share``."""
    order_n = np.lexsort((mesh.column_n, mesh.row_n))
    begin = np.flatnonzero(np.diff(mesh.row_n[order_n])) + 1
    return [(one / share).round(9).tolist() for one in np.split(value_n[order_n], begin)]


def test_plain_fabric_curls_as_deep_as_it_is_said_from_every_edge() -> None:
    grid = np.zeros((5, 6), dtype=np.intp)
    mesh = build_mesh(grid, (), "swatch", stitch_width=WIDTH, row_height=HEIGHT, thickness=WORSTED.thickness)
    sides, ends = curled(1.5, 1.25)
    assert by_row(mesh, curls(mesh, sides)[0], -100.0) == [[1.0, 0.5, 0.0, 0.0, 0.5, 1.0]] * 5
    assert by_row(mesh, curls(mesh, ends)[1], 80.0) == [[one] * 6 for one in (1.0, 0.25, 0.0, 0.25, 1.0)]


def test_shaped_rows_curl_from_where_each_ends_and_rib_holds_the_end_that_it_makes() -> None:
    rows = (
        knitted("rib", ["k"] * 6, 0, ribbed=True),
        knitted("row 1", ["k"] * 6, 0),
        knitted("row 2", ["k"] * 6, 0),
        knitted("row 3", ["k", "m1l", "k", "k", "k", "k", "m1r", "k"], 0),
        knitted("row 4", ["k"] * 8, 0),
    )
    mesh = mesh_of_rows(ShapedRows(rows, tube=False))
    sides, ends = curled(1.5, 2.25)
    six, eight = [1.0, 0.5, 0.0, 0.0, 0.5, 1.0], [1.0, 0.5, 0.0, 0.0, 0.0, 0.0, 0.5, 1.0]
    assert by_row(mesh, curls(mesh, sides)[0], -100.0) == [[0.0] * 6, six, six, eight, eight]
    assert by_row(mesh, curls(mesh, ends)[1], 80.0) == [[0.0] * 6, [0.0] * 6, [0.25] * 6, [1.0] * 8, [1.0] * 8]


def test_a_sleeve_worked_flat_curls_at_its_sides_and_its_end_and_lies_at_its_rib() -> None:
    scene = scene_of(
        ["......", "..##.."] * 12,
        0.1,
        worked="flat",
        item="sleeves",
        chart={"across": 5},
        shaping={"first_row": 5, "increase_every": 6, "increases": 3},
        sizes={"rib_cm": 5.0},
    )
    pinned = come_to_rest(set_up_whole(scene).fabric)
    loose = unpinned(pinned)
    assert loose is not None
    assert loose.rest is not None
    mesh, up_n = loose.rest.mesh, loose.rest.x_nc[:, 2]
    assert mesh.standing is not None
    assert crossing_cells(mesh, loose.rest.state) == 0
    last = up_n[mesh.row_n == mesh.rows - 1]
    assert last.min() > up_n.max() - 2.0 * mesh.thickness  # all of the last row stands as high as anything
    assert np.ptp(up_n) == pytest.approx(loose.stands)
    assert loose.stands > 0.012
    assert np.ptp(up_n[mesh.row_n == 0]) < mesh.thickness  # the cast-on edge of the rib
    curling = scene.model_copy(update={"fabric": scene.fabric.model_copy(update={"edges": "curl"})})
    again = come_to_rest(set_up_whole(curling).fabric)
    assert again.effort.energy == pytest.approx(loose.rest.effort.energy, rel=1e-6)
