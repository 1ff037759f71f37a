"""The fabric as a closed sheet: whole, of its thickness, and each stitch in its colour."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import trimesh

from fabricsim.colour import linear
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.solid.cloth import INNER, SIDE, cloth_body
from fabricsim.render.solid.yarn import SolidBody
from fabricsim.render.yarn.tiling import tiled
from tests.render import rests
from tests.render.fabrics import CHECK, GAUGE, MOTIF, PLAIN, THREE, fabric, ripples

W, C = GAUGE.stitch_width, GAUGE.row_height

DISCS: list[Callable[[], Equilibrium]] = [
    lambda: fabric(MOTIF, "swatch", slack=0.02),
    lambda: fabric(MOTIF, "swatch", across=2, bend=ripples(0.004, 0.05, 0.06)),
    lambda: fabric(THREE, "repeat"),
]
RINGS: list[Callable[[], Equilibrium]] = [
    lambda: fabric(MOTIF, "round", across=2),
    rests.band,
]


def mesh_of(body: SolidBody) -> trimesh.Trimesh:
    return trimesh.Trimesh(body.vertex_vc.astype(float), body.triangle_tv, process=False)


def front_of(body: SolidBody) -> trimesh.Trimesh:
    half = len(body.vertex_vc) // 2
    return trimesh.Trimesh(
        body.vertex_vc[:half].astype(float), body.triangle_tv[(body.triangle_tv < half).all(axis=1)], process=False
    )


@pytest.mark.parametrize(("make", "euler"), [*((make, 1) for make in DISCS), *((make, 0) for make in RINGS)])
def test_it_is_one_closed_sheet(make: Callable[[], Equilibrium], euler: int) -> None:
    equilibrium = make()
    body = cloth_body(equilibrium)
    mesh, front = mesh_of(body), front_of(body)
    assert front.euler_number == euler  # a disc, or a ring however its ends jog
    assert mesh.euler_number == 2 * euler  # two of them, joined at the rim
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.body_count == 1
    assert len(body.vertex_vc) == 2 * SIDE * SIDE * tiled(equilibrium).shown_n.sum()
    # the shell of a surface has its area times the thickness, but for Gaussian curvature, t^3/12 of it
    middle = trimesh.Trimesh(0.5 * np.add(*np.split(mesh.vertices, 2)), front.faces, process=False)
    assert mesh.volume == pytest.approx(middle.area * equilibrium.mesh.thickness, rel=0.02)


def test_front_and_back_lie_a_thickness_apart() -> None:
    equilibrium = fabric(MOTIF, "swatch", across=2, bend=ripples(0.004, 0.05, 0.06))
    body = cloth_body(equilibrium)
    front_pc, back_pc = np.split(body.vertex_vc, 2)
    up_pc, down_pc = np.split(body.normal_vc, 2)
    np.testing.assert_allclose(front_pc - back_pc, equilibrium.mesh.thickness * up_pc, atol=1e-7)
    assert (up_pc == -down_pc).all()
    out_c = front_of(body).vertex_normals
    # normals blended from stitch to stitch against those of the blended places: at steep slopes some degrees apart
    assert (np.einsum("pc,pc->p", out_c, up_pc) > 0.9).all()


def test_flat_fabric_is_a_plate_of_its_own_size() -> None:
    equilibrium = fabric(PLAIN, "swatch")
    mesh = mesh_of(cloth_body(equilibrium))
    np.testing.assert_allclose(mesh.extents, [8 * W, 8 * C, equilibrium.mesh.thickness], rtol=1e-5)
    assert mesh.volume == pytest.approx(float(np.prod(mesh.extents)), rel=1e-5)


def test_a_tube_is_a_ring_of_its_own_girth() -> None:
    equilibrium = fabric(MOTIF, "round", across=4)
    mesh = mesh_of(cloth_body(equilibrium))
    radius = float(np.hypot(*equilibrium.x_nc[:, [0, 2]].T).mean())
    outer = np.hypot(*mesh.vertices[:, [0, 2]].T)
    half = 0.5 * equilibrium.mesh.thickness
    off = np.minimum(np.abs(outer - radius - half), np.abs(outer - radius + half)) / radius
    # the cubic through 48 points of a circle stays within 2e-4 of it; past the jog at both ends the fabric goes
    # straight on for half a stitch
    assert np.quantile(off, 0.99) < 2e-4
    assert off.max() < 0.01
    tall = 8 * C  # however the rounds climb
    assert mesh.volume == pytest.approx(2.0 * np.pi * radius * tall * equilibrium.mesh.thickness, rel=0.01)


@pytest.mark.parametrize("rows", [CHECK, THREE])
def test_each_stitch_has_its_colour_on_both_sides(rows: tuple[str, ...]) -> None:
    equilibrium = fabric(rows, "swatch", across=2)
    body = cloth_body(equilibrium)
    wanted_yc = linear(np.array([yarn.rgb for yarn in equilibrium.scene.yarns]) / 255.0)
    place_pc = body.vertex_vc.astype(float)
    column = np.rint(place_pc[:, 0] / W).astype(int).clip(0, equilibrium.mesh.stitches - 1)
    row = np.rint(place_pc[:, 1] / C).astype(int).clip(0, equilibrium.mesh.rows - 1)
    assert np.abs(place_pc[:, 0] / W - column).max() == pytest.approx(0.5, abs=1e-5)  # only the edges lie so far off
    assert np.sort(np.unique(np.round(np.abs(place_pc[:, 0] / W - column), 4))).tolist() == [0.0, INNER, 0.5]
    yarn = equilibrium.scene.piece_grid()[row, column]
    np.testing.assert_allclose(body.light_vc, wanted_yc[yarn], atol=1e-6)
