"""3-D files, read back: every strand closed, true to size and colour, and the same in every kind of file."""

from __future__ import annotations

import io
import json

import numpy as np
import pytest
import trimesh

from fabricsim.colour import linear, srgb
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.solid.yarn import FINENESS, SKY, SolidBody, SolidKind, as_bytes, detail_for, yarn_bodies
from fabricsim.render.trace.occlusion import openness
from fabricsim.render.trace.rays import Rays
from fabricsim.render.yarn.paths import yarn_paths
from fabricsim.render.yarn.strands import Strands, cropped
from fabricsim.render.yarn.tiling import tiled
from fabricsim.render.yarn.tubes import tubes
from tests.render import rests
from tests.render.fabrics import CHECK, MOTIF, THREE, fabric, ripples

Made = tuple[Equilibrium, tuple[SolidBody, ...], Strands]
FABRICS = {
    "flat": lambda: fabric(MOTIF, "swatch", slack=0.02),
    "puckered": lambda: fabric(MOTIF, "swatch", across=2, bend=ripples(0.004, 0.05, 0.06)),
    "tube": lambda: fabric(MOTIF, "round", across=2, slack=-0.05),
    "repeat": lambda: fabric(THREE, "repeat"),
    "relaxed": rests.band,
}


@pytest.fixture(scope="module", params=list(FABRICS))
def made(request: pytest.FixtureRequest) -> Made:
    """A fabric, its yarn as bodies and the strands that they are about."""
    equilibrium = FABRICS[request.param]()
    tiling = tiled(equilibrium)
    strands = yarn_paths(tiling, FINENESS["medium"][0])
    if tiling.window_a is not None:
        left, right, bottom, top = tiling.window_a
        x, y, _ = strands.x_pc.T
        strands = cropped(strands, (x >= left) & (x <= right) & (y >= bottom) & (y <= top))
    return equilibrium, yarn_bodies(equilibrium, "medium"), strands


def mesh_of(body: SolidBody) -> trimesh.Trimesh:
    return trimesh.Trimesh(body.vertex_vc.astype(float), body.triangle_tv, process=False)


def read(data: bytes, kind: SolidKind) -> list[trimesh.Trimesh]:
    """Return the meshes of a file."""
    loaded = trimesh.load_scene(io.BytesIO(data), file_type=kind, process=False)
    return list(loaded.geometry.values())


def tree(data: bytes) -> dict:
    """Return the JSON of a GLB: after 12 bytes of file header, the length and the kind of its first part."""
    assert data[:4] == b"glTF"
    length = int.from_bytes(data[12:16], "little")
    assert data[16:20] == b"JSON"
    return json.loads(data[20 : 20 + length])


def array(data: bytes, number: int) -> np.ndarray:
    """Return an accessor of a GLB, by the book of glTF 2.0."""
    said = tree(data)
    accessor = said["accessors"][number]
    view = said["bufferViews"][accessor["bufferView"]]
    wide = {"SCALAR": 1, "VEC3": 3}[accessor["type"]]
    kind = {5125: "<u4", 5126: "<f4"}[accessor["componentType"]]
    begin = 20 + int.from_bytes(data[12:16], "little") + 8 + view["byteOffset"] + accessor.get("byteOffset", 0)
    return np.frombuffer(data, kind, wide * accessor["count"], begin).reshape(-1, wide)


def test_every_strand_is_closed_and_wound_outwards(made: Made) -> None:
    equilibrium, bodies, strands = made
    used = np.unique(strands.yarn_s)
    assert [body.name for body in bodies] == [equilibrium.scene.yarns[yarn].name for yarn in used]
    for body, yarn in zip(bodies, used, strict=True):
        mesh = mesh_of(body)
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        parts = mesh.split(only_watertight=False)
        assert len(parts) == (strands.yarn_s == yarn).sum()
        assert min(part.volume for part in parts) > 0.0


def test_there_is_as_much_of_it_as_of_yarn(made: Made) -> None:
    _, bodies, strands = made
    strand_p = np.repeat(np.arange(len(strands.yarn_s)), np.diff(strands.first_s))
    step = np.linalg.norm(np.diff(strands.x_pc, axis=0), axis=1)[strand_p[1:] == strand_p[:-1]].sum()
    volume = sum(mesh_of(body).volume for body in bodies)
    # five sides have the area of the circle; between rings that turn against each other by up to 40 degrees, as in
    # 11 steps a loop, flats cut the corners
    assert 0.90 < volume / (0.25 * np.pi * strands.thickness**2 * step) < 1.01


def test_it_is_as_large_as_its_strands_and_stands_where_they_do(
    made: Made,
) -> None:
    _, bodies, strands = made
    vertex_vc = np.concatenate([body.vertex_vc for body in bodies])
    low, high = strands.x_pc.min(axis=0) - vertex_vc.min(axis=0), vertex_vc.max(axis=0) - strands.x_pc.max(axis=0)
    # sides stand out by 1.15 radii at five corners, by 0.93 at their middles; a cap bulges by a third of one
    assert np.minimum(low, high).min() > 0.3 * 0.5 * strands.thickness
    assert np.maximum(low, high).max() < 1.2 * 0.5 * strands.thickness


def test_colours_are_the_yarns_own_times_the_open_sky(made: Made) -> None:
    equilibrium, bodies, strands = made
    tube = tubes(strands, FINENESS["medium"][1])
    open_gk = openness(Rays(tube.vertex_vc, tube.triangle_tv), tube, SKY, 1)
    by_name = {yarn.name: (number, yarn) for number, yarn in enumerate(equilibrium.scene.yarns)}
    for body in bodies:
        number, yarn = by_name[body.name]
        mine = open_gk[tube.yarn_g == number].ravel()
        wanted = linear(np.array(yarn.rgb) / 255.0) * mine[:, None]
        np.testing.assert_allclose(body.light_vc[: len(mine)], wanted, atol=1e-6)
        assert 0.0 < mine.min() < 0.5 < mine.max() <= 1.0


def test_normals_look_out_of_the_yarn(made: Made) -> None:
    _, bodies, _ = made
    for body in bodies:
        np.testing.assert_allclose(np.linalg.norm(body.normal_vc, axis=1), 1.0, atol=1e-6)
        corner_tc = body.vertex_vc[body.triangle_tv].astype(float)
        out_tc = np.cross(corner_tc[:, 1] - corner_tc[:, 0], corner_tc[:, 2] - corner_tc[:, 0])
        size_t = np.linalg.norm(out_tc, axis=1)
        # the corner normal of a pentagon leans by 36 degrees against its sides, that of a cap's rim by 73; yarn
        # bends tighter than its own thickness in a few places, where it is turned inside out
        cosine_t3 = (
            np.einsum("tkc,tc->tk", body.normal_vc[body.triangle_tv], out_tc) / np.maximum(size_t, 1e-30)[:, None]
        )
        assert (cosine_t3[size_t > 1e-12] > 0.25).mean() > 0.98


def test_a_glb_says_metres_material_and_linear_colours(
    made: Made,
) -> None:
    _, bodies, _ = made
    data = as_bytes(bodies, "glb")
    said = tree(data)
    assert [mesh["name"] for mesh in said["meshes"]] == [body.name for body in bodies]
    for mesh, body in zip(said["meshes"], bodies, strict=True):
        assert set(mesh) == {"name", "primitives"}  # and nothing of the library's own
        primitive = mesh["primitives"][0]
        material = said["materials"][primitive["material"]]
        assert material["name"] == body.name
        assert material["pbrMetallicRoughness"] == {"metallicFactor": 0.0, "roughnessFactor": 0.95}
        where = primitive["attributes"]
        assert set(where) == {"POSITION", "NORMAL", "COLOR_0"}
        assert (array(data, where["POSITION"]) == body.vertex_vc).all()
        assert (array(data, primitive["indices"]).reshape(-1, 3) == body.triangle_tv).all()
        np.testing.assert_allclose(array(data, where["NORMAL"]), body.normal_vc, atol=1e-6)
        assert (array(data, where["COLOR_0"]) == body.light_vc).all()
    for mesh, body in zip(read(data, "glb"), bodies, strict=True):  # another reader
        assert (mesh.vertices.astype(np.float32) == body.vertex_vc).all()
        assert (mesh.faces == body.triangle_tv).all()
        assert (mesh.visual.vertex_attributes["color"] == body.light_vc).all()
        assert mesh.visual.material.roughnessFactor == 0.95
    for node in said["nodes"]:
        matrix = np.reshape(node.get("matrix", np.eye(4)), (4, 4))
        assert (matrix == np.eye(4)).all()  # nothing is moved or turned


def test_all_kinds_of_file_hold_the_same_shape_and_colours(
    made: Made,
) -> None:
    _, bodies, _ = made
    vertex_vc = np.concatenate([body.vertex_vc for body in bodies])
    shades_vc = np.concatenate([255.0 * srgb(body.light_vc) for body in bodies])
    first = np.cumsum([0, *(len(body.vertex_vc) for body in bodies)])
    triangle_tv = np.concatenate([body.triangle_tv + start for body, start in zip(bodies, first[:-1], strict=True)])

    (ply,) = read(as_bytes(bodies, "ply"), "ply")
    assert (ply.vertices.astype(np.float32) == vertex_vc).all()
    assert (ply.faces == triangle_tv).all()
    np.testing.assert_allclose(ply.visual.vertex_colors[:, :3], shades_vc, atol=0.51)

    text = as_bytes(bodies, "obj").decode()
    assert [line[2:] for line in text.splitlines() if line.startswith("o ")] == [body.name for body in bodies]
    corners = np.array([line.split()[1:] for line in text.splitlines() if line.startswith("v ")], dtype=float)
    faces = np.array([line.split()[1:] for line in text.splitlines() if line.startswith("f ")], dtype=int)
    np.testing.assert_allclose(corners[:, :3], vertex_vc, atol=0.51e-8)  # eight digits behind the point
    np.testing.assert_allclose(255.0 * corners[:, 3:], shades_vc, atol=0.51)
    assert (faces == triangle_tv + 1).all()


@pytest.mark.parametrize("kind", ["glb", "ply", "obj"])
def test_the_same_fabric_gives_the_same_bytes(kind: SolidKind) -> None:
    one, other = (as_bytes(yarn_bodies(fabric(CHECK, "swatch", across=2)), kind) for _ in range(2))
    assert one == other


def test_every_ring_costs_two_triangles_a_side_and_finer_yarn_more() -> None:
    equilibrium = fabric(MOTIF, "round", across=2)
    counts = []
    for detail, (steps, sides) in FINENESS.items():
        triangles = sum(len(body.triangle_tv) for body in yarn_bodies(equilibrium, detail))
        # one band less than rings in every strand, and two caps that are half a band each
        assert triangles == 2 * sides * len(yarn_paths(tiled(equilibrium), steps).x_pc)
        counts.append(triangles / tiled(equilibrium).stitches)
    assert counts == sorted(counts, reverse=True)
    # what a piece of so many stitches comes to is what the limits promise
    assert detail_for(1200) == "fine"
    assert 200_000 < 1200 * counts[0] < 350_000
    assert detail_for(4500) == "medium"
    assert 400_000 < 4500 * counts[1] < 600_000
    assert detail_for(4501) == "coarse"


def test_of_a_repeat_whole_repeats_are_shown() -> None:
    tiling = tiled(fabric(THREE, "repeat"))
    shown = tiling.shown_n
    assert shown.sum() % (len(THREE) * len(THREE[0])) == 0
    assert shown.sum() < tiling.stitches
    yarns = np.bincount(tiling.yarn_n[shown])
    assert (yarns == yarns[0]).all()  # every colour as often as in the chart
