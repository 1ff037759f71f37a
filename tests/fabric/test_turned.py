"""The surface of revolution that the search for a rest shape begins with."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.design.rows.shaped import ShapedRows
from fabricsim.fabric.build import fabric_terms
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.turned import Profile, laid_out_round, let_go_round
from fabricsim.mechanics.assemble import State, assemble
from tests.support.meshes import HEIGHT, WIDTH, WORSTED
from tests.support.shapes import crown_rows, mesh_of_rows, plain_rows


def turned(mesh: Mesh, begin_nc: Floats) -> tuple[Floats, float, float]:
    """Return where it is let go to, and the energy (J) before and there."""
    assert mesh.standing is not None
    energy = assemble(fabric_terms(mesh, WORSTED, "test"), State(begin_nc))
    found_nc = let_go_round(energy, mesh.standing, begin_nc)
    return found_nc, energy.value(energy.free(State(begin_nc))), energy.value(energy.free(State(found_nc)))


@pytest.mark.parametrize("by", [(1.2, 0.9), (0.7, 1.1), (1.0, 0.5)])
def test_a_tube_drawn_out_of_shape_goes_back_to_its_own(by: tuple[float, float]) -> None:
    mesh = mesh_of_rows(ShapedRows(tuple(plain_rows(40, 12)), tube=True))
    assert mesh.standing is not None
    profile = Profile(np.full(12, WIDTH * 40 / 2 / np.pi), HEIGHT)
    straight_nc = laid_out_round(mesh.standing, profile, -mesh.standing.along_n)
    found_nc, before, after = turned(mesh, straight_nc * np.array([by[0], by[1], by[0]]))
    assert after < 1e-5 < 1e-3 < before  # J: its rest is no surface of revolution by that, where the spiral ends
    for way in (0, 3):
        there = mesh.neighbour_n4[:, way] >= 0
        beside = mesh.neighbour_n4[there, way]
        known, now = (np.linalg.norm(x_nc[beside] - x_nc[there], axis=1) for x_nc in (mesh.rest_nc, found_nc))
        assert now == pytest.approx(known, rel=0.01)


def test_every_round_stays_a_circle_about_the_axis() -> None:
    mesh = mesh_of_rows(crown_rows(6, 5, 2, below=3))
    standing = mesh.standing
    assert standing is not None
    rows = mesh.rows - 1
    radius_i = np.array([0.04] * 4 + [0.04 * (rows - 1 - row) / rows for row in range(4, rows)])
    begin_nc = laid_out_round(standing, Profile(radius_i, HEIGHT, 0.01), -standing.along_n)
    found_nc, before, after = turned(mesh, begin_nc)
    assert after < 0.5 * before
    out_n = np.hypot(found_nc[:, 0], found_nc[:, 2])
    tube_n = np.arange(len(out_n)) != standing.apex
    begun, now = (np.arctan2(x_nc[tube_n, 0], x_nc[tube_n, 2]) for x_nc in (begin_nc, found_nc))
    assert np.abs(np.angle(np.exp(1j * (begun - now)))).max() < 1e-9  # none has gone round
    for row in range(rows - 1):
        round_n = np.flatnonzero(standing.row_n == row)
        for value_n in (out_n[round_n], found_nc[round_n, 1]):  # even along it, from one round to the next
            assert np.abs(np.diff(value_n, 2)).max() < 1e-9
    assert out_n[standing.apex] == pytest.approx(0.0, abs=1e-12)
