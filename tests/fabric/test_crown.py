"""How a crown lies, told of shapes that are made up: a cone, a dish, waves."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.design.rows.shaped import ShapedRows
from fabricsim.fabric.crown import CrownShape, crown_shape
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.mesh import Mesh
from tests.support.meshes import HEIGHT, WIDTH
from tests.support.shapes import crown_rows, mesh_of_rows, plain_rows

MESH = mesh_of_rows(crown_rows(6, 10, 2, below=5))
"""A crown of six wedges of ten stitches, which loses six in every other round."""


def lying(height_n: Floats, mesh: Mesh = MESH) -> CrownShape:
    """Return how it lies where its stitches are so high."""
    x_nc = mesh.rest_nc.copy()
    x_nc[:, 1] = height_n
    found = crown_shape(cast(Equilibrium, SimpleNamespace(mesh=mesh, x_nc=x_nc)))
    assert found is not None
    return found


def test_a_cone_is_smooth_and_rises_by_what_lies_above_its_first_round() -> None:
    assert MESH.standing is not None
    up_n = 0.5 * HEIGHT * (MESH.row_n + MESH.standing.along_n)
    found = lying(up_n)
    assert found.lies == "smooth"
    assert found.loses == pytest.approx(54 / 18, rel=0.06)  # from 60 to 6, the rounds after the last to lose none
    assert found.disc == pytest.approx(2.0 * np.pi * HEIGHT / WIDTH)
    assert found.defect == pytest.approx(1.0 - found.loses / found.disc)
    assert found.radius == pytest.approx(60 * WIDTH / (2.0 * np.pi))
    assert found.dips == 0.0
    count_i = MESH.standing.count_i
    rounds = len(count_i) - 1 - int(np.flatnonzero(count_i == 60)[-1])
    assert found.rises == pytest.approx(0.5 * HEIGHT * rounds, abs=0.5 * HEIGHT)


def test_what_turns_in_is_dished_by_how_far_its_top_lies_below_its_highest_round() -> None:
    deepest = int(MESH.row_n.max())
    found = lying(-HEIGHT * np.abs(MESH.row_n - (deepest - 4.0)))
    assert found.lies == "dished"
    assert found.dips == pytest.approx(4.0 * HEIGHT)
    assert lying(-HEIGHT * np.abs(MESH.row_n - (deepest - 1.0))).lies == "smooth"  # drawn together so


def test_waves_of_a_round_are_ruffles_once_they_stand_up_enough() -> None:
    assert MESH.standing is not None
    turn_n = 2.0 * np.pi * MESH.standing.along_n
    climb_n = HEIGHT * (MESH.row_n + MESH.standing.along_n)
    for share, lies in ((0.1, "smooth"), (0.5, "ruffled")):
        high = share * lying(climb_n).radius
        found = lying(climb_n + 0.5 * high * np.cos(3.0 * turn_n))
        assert found.lies == lies
        assert found.waves == pytest.approx(high, rel=0.05)


def test_what_is_open_has_no_crown() -> None:
    mesh = mesh_of_rows(ShapedRows(tuple(plain_rows(40, 6)), tube=True))
    assert crown_shape(cast(Equilibrium, SimpleNamespace(mesh=mesh, x_nc=mesh.rest_nc))) is None
