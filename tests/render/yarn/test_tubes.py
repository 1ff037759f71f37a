"""Tubes about the yarn: closed, true to size, and readable back from a triangle."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from fabricsim.render.yarn.paths import yarn_paths
from fabricsim.render.yarn.strands import Strands
from fabricsim.render.yarn.tiling import tiled
from fabricsim.render.yarn.tubes import frames, spots, tubes
from tests.render.fabrics import GAUGE, MOTIF, THREE, fabric


def strands_of(*curves: np.ndarray, thickness: float = 1.0) -> Strands:
    x = np.concatenate(curves)
    return Strands(
        x_pc=x,
        first_s=np.cumsum([0, *(len(curve) for curve in curves)]),
        yarn_s=np.arange(len(curves)),
        thin_p=np.ones(len(x)),
        loose_p=np.zeros(len(x), dtype=bool),
        stitch_p=np.zeros(len(x), dtype=int),
        float_p=np.full(len(x), -1),
        link_p=np.zeros(len(x), dtype=bool),
        thickness=thickness,
    )


def helix(points: int, radius: float, rise: float, turns: float) -> np.ndarray:
    t = np.linspace(0.0, 2.0 * np.pi * turns, points)
    return np.column_stack([radius * np.cos(t), radius * np.sin(t), rise * t])


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
@pytest.mark.parametrize("sides", [4, 8])
def test_yarn_is_closed_and_wound_outwards(case: str, sides: int) -> None:
    strands = yarn_paths(tiled(fabric(MOTIF if case != "repeat" else THREE, case, across=2)), 20)
    tube = tubes(strands, sides)
    mesh = trimesh.Trimesh(tube.vertex_vc.astype(float), tube.triangle_tv, process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    step = np.diff(strands.x_pc / strands.thickness, axis=0)
    strand = np.repeat(np.arange(len(strands.yarn_s)), np.diff(strands.first_s))
    length = np.linalg.norm(step[strand[1:] == strand[:-1]], axis=1).sum()
    share = mesh.volume / (np.pi * length / 4.0)
    # of a round yarn as long; tight bends take up to 4 % from a mesh of 20 steps a loop
    assert 0.96 < share < 1.01


def test_frames_are_square_and_turn_as_little_as_can_be() -> None:
    # on a helix the rotation-minimising frame turns against the Frenet frame by the torsion along the arc
    radius, rise, turns = 1.0, 0.4, 1.5
    x = helix(1500, radius, rise, turns)
    tangent, normal, along = frames(x, np.array([0, len(x)]))
    np.testing.assert_allclose(np.einsum("pc,pc->p", tangent, normal), 0.0, atol=1e-12)
    np.testing.assert_allclose(np.linalg.norm(normal, axis=1), 1.0, atol=1e-12)
    torsion = rise / (radius**2 + rise**2)
    inward = -np.column_stack([x[:, 0], x[:, 1], np.zeros(len(x))]) / radius
    turned = np.unwrap(
        np.arctan2(np.einsum("pc,pc->p", normal, np.cross(tangent, inward)), np.einsum("pc,pc->p", normal, inward))
    )
    inner = slice(5, -5)  # one-sided tangents at the very ends
    np.testing.assert_allclose(np.gradient(turned[inner], along[inner]), -torsion, rtol=2e-3)


def test_in_a_plane_the_frame_never_leaves_it() -> None:
    t = np.linspace(0, 5, 200)
    x = np.column_stack([t, np.sin(t), 0 * t])
    _, normal, _ = frames(x, np.array([0, len(x)]))
    np.testing.assert_allclose(normal[:, 2], normal[0, 2], atol=1e-12)


def test_strands_are_framed_apart_from_each_other() -> None:
    one, two = helix(60, 1.0, 0.3, 1.0), helix(80, 2.0, -0.2, 2.0) + 5.0
    both = frames(np.concatenate([one, two]), np.array([0, 60, 140]))
    for part, alone in (
        (slice(0, 60), frames(one, np.array([0, 60]))),
        (slice(60, 140), frames(two, np.array([0, 80]))),
    ):
        for got, wanted in zip(both, alone, strict=True):
            np.testing.assert_allclose(got[part], wanted, atol=1e-12)


def test_place_along_and_round_the_yarn_is_read_back_from_a_triangle() -> None:
    tube = tubes(strands_of(helix(200, 4.0, 0.6, 0.6), helix(150, 3.0, 0.5, 0.5) + 20.0), 24)
    rng = np.random.default_rng(3)
    body = 2 * tube.sides * len(tube.ring_of_step_q)
    triangle = rng.integers(0, body, 500).astype(np.int32)
    u = rng.random(500)
    v = rng.random(500) * (1 - u)
    corner = tube.vertex_vc[tube.triangle_tv[triangle]].astype(float)
    point = (1 - u - v)[:, None] * corner[:, 0] + u[:, None] * corner[:, 1] + v[:, None] * corner[:, 2]
    spot = spots(tube, triangle, u.astype(np.float32), v.astype(np.float32))
    ring, share = spot.ring_m, spot.fraction_m[:, None]
    assert (tube.strand_g[ring] == tube.strand_g[ring + 1]).all()
    centre = tube.x_gc[ring] * (1 - share) + tube.x_gc[ring + 1] * share
    normal = tube.normal_gc[ring] * (1 - share) + tube.normal_gc[ring + 1] * share
    tangent = tube.tangent_gc[ring]
    out = np.cos(spot.angle_m)[:, None] * normal + np.sin(spot.angle_m)[:, None] * np.cross(tangent, normal)
    # a 24-sided tube of radius 1/2 lies within 0.005 of a round one; rings lean a little against each other
    np.testing.assert_allclose(point, centre + 0.5 * out, atol=0.02)


def test_caps_belong_to_the_ends_of_their_strands() -> None:
    tube = tubes(strands_of(helix(10, 4.0, 0.6, 0.2), helix(12, 3.0, 0.5, 0.2) + 20.0), 6)
    body = 2 * tube.sides * len(tube.ring_of_step_q)
    caps = np.arange(body, len(tube.triangle_tv), dtype=np.int32)
    third = np.full(len(caps), 1.0 / 3.0, dtype=np.float32)
    spot = spots(tube, caps, third, third)
    at = np.where(spot.fraction_m > 0.5, spot.ring_m + 1, spot.ring_m)
    assert at.tolist() == [0] * 6 + [10] * 6 + [9] * 6 + [21] * 6
    middle = tube.vertex_vc[tube.triangle_tv[caps]].mean(axis=1)
    assert np.linalg.norm(middle - tube.x_gc[at], axis=1).max() < 0.5


def test_no_strand_is_dropped_and_all_is_in_float32() -> None:
    strands = yarn_paths(tiled(fabric(MOTIF)), 20)
    tube = tubes(strands, 6)
    assert len(np.unique(tube.strand_g)) == len(strands.yarn_s)
    assert tube.scale == pytest.approx(0.4 * GAUGE.stitch_width)
    for name in ("x_gc", "tangent_gc", "normal_gc", "along_g", "radius_g", "vertex_vc"):
        assert getattr(tube, name).dtype == np.float32
    assert tube.triangle_tv.dtype == np.int32
