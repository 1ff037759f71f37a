"""Measures of shaped fabric, on shapes whose answer is known."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.shaped_measures import counts, drawn_apart, heights, knitted_rows, level_rows, tallness
from fabricsim.fabric.whole import set_up_whole
from tests.campaign.whole import random_whole
from tests.support.meshes import HEIGHT
from tests.support.shapes import crown_rows, mesh_of_rows, random_rows


@pytest.fixture(scope="module")
def sheet() -> Mesh:
    """Flat fabric whose rows have 5 to 14 stitches."""
    return mesh_of_rows(random_rows(4, tube=False))


def test_a_bow_and_a_twist_of_flat_fabric_are_no_pucker_and_a_wave_is(sheet: Mesh) -> None:
    along_n = 2.0 * (sheet.column_n + 0.5) / counts(sheet)[sheet.row_n] - 1.0
    up_n = 2.0 * sheet.row_n / (sheet.rows - 1) - 1.0
    face_nc = np.tile([0.0, 0.0, 1.0], (len(sheet.rest_nc), 1))

    def off(height_n: np.ndarray) -> np.ndarray:
        return heights(sheet, sheet.rest_nc + height_n[:, None] * face_nc, face_nc)

    smooth_n = 0.01 + 0.02 * along_n - 0.03 * up_n + 0.01 * along_n * up_n + 0.04 * along_n**2 - 0.02 * up_n**2
    assert np.abs(off(smooth_n)).max() < 1e-15
    wave_n = np.where(sheet.column_n % 2 == 0, 1e-3, -1e-3)
    left_n = off(smooth_n + wave_n)
    assert left_n == pytest.approx(off(wave_n), abs=1e-15)  # what is smooth takes nothing else along
    assert 0.5e-3 < np.sqrt(np.mean(left_n**2)) < 1e-3  # some of it is as smooth as such a surface
    assert abs(left_n.mean()) < 1e-15


def test_floats_are_drawn_apart_whose_ends_lie_farther_apart_than_their_stitches_at_the_gauge() -> None:
    mesh = set_up_whole(random_whole(11)).fabric.mesh
    table = mesh.floats
    far_f = np.array([np.linalg.norm(mesh.rest_nc[one] - mesh.rest_nc[other]) for one, other in table.node_f2])
    even_f = np.arange(len(table)) % 2 == 0
    made = replace(mesh, floats=replace(table, span_f=far_f / np.where(even_f, 1.05, 1.01)))
    np.testing.assert_array_equal(drawn_apart(made), even_f)
    assert not drawn_apart(replace(made, standing=None)).any()  # plain rows draw nothing apart


def test_rows_are_as_far_apart_as_their_legs_are_long() -> None:
    mesh = mesh_of_rows(crown_rows(6, 5, 2, below=3))
    tall_i = tallness(mesh, mesh.rest_nc)
    assert len(tall_i) == knitted_rows(mesh) - 1 == mesh.rows - 2  # the yarn that draws it up is no row
    assert tall_i[:2] == pytest.approx(HEIGHT, rel=2e-2)  # plain rounds below, a spiral's legs lean
    assert tallness(mesh, 1.25 * mesh.rest_nc) == pytest.approx(1.25 * tall_i, rel=1e-12)


@pytest.mark.parametrize(
    ("count_i", "longest"),
    [([4, 4, 6, 6, 6, 5], (2, 5)), ([4, 4, 6, 6], (0, 2)), ([7], (0, 1)), ([3, 4, 4], (1, 3))],
)
def test_the_longest_run_of_one_count_is_the_lowest_of_equals(count_i: list[int], longest: tuple[int, int]) -> None:
    row_n = np.repeat(np.arange(len(count_i)), count_i)
    mesh: Any = SimpleNamespace(row_n=row_n, rows=len(count_i), standing=None)
    found = level_rows(mesh)
    assert (found.start, found.stop) == longest
