"""The fabric's yarn as solid bodies, and the bytes of 3-D files: GLB, PLY and OBJ, all in metres with y upwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import trimesh

from fabricsim.arrays import Indices, Singles
from fabricsim.colour import srgb
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.trace.occlusion import openness
from fabricsim.render.trace.paint import yarn_colours
from fabricsim.render.trace.rays import Rays
from fabricsim.render.trace.shade import albedos
from fabricsim.render.yarn.paths import yarn_paths
from fabricsim.render.yarn.strands import cropped
from fabricsim.render.yarn.tiling import tiled
from fabricsim.render.yarn.tubes import Tubes, tubes

SolidKind = Literal["glb", "ply", "obj"]
Detail = Literal["fine", "medium", "coarse"]

FINENESS: dict[Detail, tuple[int, int]] = {"fine": (16, 6), "medium": (11, 5), "coarse": (8, 4)}
"""Steps of a loop and sides of the yarn (chosen: rings 0.26, 0.38 and 0.53 stitch widths apart)."""
MOST_STITCHES: dict[Detail, int] = {"fine": 1200, "medium": 4500}
"""Stitches up to which yarn is so fine if nobody says how fine (chosen: about 300,000 triangles and 8 MB)."""
SKY = 16
"""Rays to the sky at every corner of the yarn (chosen: no grain is seen)."""
METALLIC, ROUGHNESS = 0.0, 0.95
"""Looks of yarn in the terms of glTF 2.0 (chosen: dull; without them viewers take it for metal and show it black)."""

VERTICES, INDICES = 34_962, 34_963
"""What a part of a file's buffer is for (glTF 2.0, bufferView.target)."""


@dataclass(frozen=True, eq=False)
class SolidBody:
    """A closed part of a model, such as all of one yarn.

    ``name``; ``vertex_vc`` (v, 3) float32, m: x right, y up, z out of the face; ``normal_vc`` (v, 3) float32, unit;
    ``triangle_tv`` (t, 3) int, wound outwards; ``light_vc`` (v, 3) float32: colours in linear light, 0 to 1.
    """

    name: str
    vertex_vc: Singles
    normal_vc: Singles
    triangle_tv: Indices
    light_vc: Singles


def detail_for(stitches: int) -> Detail:
    """Return how fine yarn of so many ``stitches`` is if nobody says so."""
    return next((detail for detail, most in MOST_STITCHES.items() if stitches <= most), "coarse")


def yarn_bodies(equilibrium: Equilibrium, detail: Detail | None = None) -> tuple[SolidBody, ...]:
    """Return one body a yarn, its strands closed tubes, coloured as dyed times the share of open sky.

    Of a ``repeat`` it is what a picture shows, cut off straight. Without ``detail`` it is as fine as keeps the file
    handy. Tubes of neighbouring strands may overlap a little, as the drawn ones do.
    """
    tiling = tiled(equilibrium)
    steps, sides = FINENESS[detail or detail_for(int(tiling.shown_n.sum()))]
    strands = yarn_paths(tiling, steps)
    if tiling.window_a is not None:
        strands = cropped(strands, tiling.shows(strands.x_pc))
    tube = tubes(strands, sides)
    open_gk = openness(Rays(tube.vertex_vc, tube.triangle_tv), tube, SKY, 1)
    ring_v, out_vc = _corners(tube)
    end_v = np.arange(len(tube.x_gc) * sides, len(tube.vertex_vc))
    open_v = np.append(open_gk.ravel(), open_gk.mean(axis=1)[ring_v[end_v]])
    yarn_v = tube.yarn_g[ring_v]
    light_kc = albedos(yarn_colours(equilibrium.scene))
    return tuple(
        _part(yarn.name, yarn_v == number, tube, out_vc, open_v[:, None] * light_kc[number])
        for number, yarn in enumerate(equilibrium.scene.yarns)
        if (yarn_v == number).any()
    )


def _corners(tube: Tubes) -> tuple[Indices, Singles]:
    """Return the ring of every vertex (v,) and the unit normal there (v, 3), tips of the caps included."""
    angle_k = np.float32(2.0 * np.pi / tube.sides) * np.arange(tube.sides, dtype=np.float32)
    binormal_gc = np.cross(tube.tangent_gc, tube.normal_gc)
    out_gkc = np.cos(angle_k)[:, None] * tube.normal_gc[:, None] + np.sin(angle_k)[:, None] * binormal_gc[:, None]
    first = np.nonzero(np.diff(tube.strand_g, prepend=-1))[0]
    last = np.append(first[1:], len(tube.strand_g)) - 1
    ring_v = np.concatenate([np.repeat(np.arange(len(tube.x_gc)), tube.sides), first, last]).astype(np.int32)
    out_vc = np.concatenate([out_gkc.reshape(-1, 3), -tube.tangent_gc[first], tube.tangent_gc[last]])
    return ring_v, (out_vc / np.linalg.norm(out_vc, axis=1, keepdims=True)).astype(np.float32)


def _part(name: str, mine_v: np.ndarray, tube: Tubes, out_vc: Singles, light_vc: Singles) -> SolidBody:
    new_v = (np.cumsum(mine_v) - 1).astype(np.int32)
    return SolidBody(
        name=name,
        vertex_vc=tube.vertex_vc[mine_v] * np.float32(tube.scale),
        normal_vc=out_vc[mine_v],
        triangle_tv=new_v[tube.triangle_tv[mine_v[tube.triangle_tv[:, 0]]]],
        light_vc=light_vc[mine_v].astype(np.float32),
    )


def as_bytes(bodies: Sequence[SolidBody], kind: SolidKind) -> bytes:
    """Return ``bodies`` as the bytes of one file, the same every time.

    GLB: a mesh and a material a body, colours in linear light. PLY: all in one, colours sRGB, 8 bits. OBJ: an object a
    body, colours sRGB behind the places of its vertices.
    """
    if kind == "glb":
        scene: Any = trimesh.Scene()
        for body in bodies:
            scene.add_geometry(_linear(body), geom_name=body.name, node_name=body.name)
        return _bytes(scene.export(file_type="glb", include_normals=True, tree_postprocessor=_finished))
    meshes = [_srgb(body) for body in bodies]
    if kind == "ply":
        joined: Any = meshes[0] if len(meshes) == 1 else trimesh.util.concatenate(meshes)
        return _bytes(joined.export(file_type="ply", vertex_normal=False, include_attributes=False))
    scene = trimesh.Scene(meshes)
    return _bytes(scene.export(file_type="obj", include_normals=False, header="in metres, y up; colours sRGB"))


def _bytes(data: Any) -> bytes:
    """Return what an exporter made, text or not, as bytes."""
    return data.encode() if isinstance(data, str) else bytes(data)


def _linear(body: SolidBody) -> trimesh.Trimesh:
    mesh = _bare(body)
    # as numbers of 4 bytes: in one byte of linear light dark yarn has five tones, and not all programs know two
    mesh.vertex_attributes["light"] = body.light_vc
    return mesh


def _srgb(body: SolidBody) -> trimesh.Trimesh:
    mesh = _bare(body)
    mesh.visual = trimesh.visual.ColorVisuals(mesh, vertex_colors=np.rint(255.0 * srgb(body.light_vc)).astype(np.uint8))
    return mesh


def _bare(body: SolidBody) -> trimesh.Trimesh:
    return trimesh.Trimesh(
        body.vertex_vc,
        body.triangle_tv,
        vertex_normals=body.normal_vc,
        metadata={"name": body.name},
        process=False,
        validate=False,
    )


def _finished(tree: dict[str, Any]) -> None:
    """Give every mesh of a glTF ``tree`` its material, and its colours the name under which viewers find them."""
    tree["asset"]["generator"] = "fabricsim"
    tree["materials"] = []
    for mesh in tree["meshes"]:
        mesh.pop("extras", None)
        primitive = mesh["primitives"][0]
        primitive["attributes"]["COLOR_0"] = primitive["attributes"].pop("_light")
        for accessor in primitive["attributes"].values():
            tree["bufferViews"][tree["accessors"][accessor]["bufferView"]]["target"] = VERTICES
        tree["bufferViews"][tree["accessors"][primitive["indices"]]["bufferView"]]["target"] = INDICES
        primitive["material"] = len(tree["materials"])
        looks = {"metallicFactor": METALLIC, "roughnessFactor": ROUGHNESS}
        tree["materials"].append({"name": mesh["name"], "pbrMetallicRoughness": looks})
