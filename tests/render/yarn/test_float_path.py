"""Floats drawn over the backs of the stitches that bulge in their way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial import ConvexHull, cKDTree

from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import taut
from fabricsim.fabric.mesh import RIGHT
from fabricsim.render.yarn.float_lanes import LANE_DEPTH, Carries, find_carries, lane
from fabricsim.render.yarn.float_path import GREATEST_DROP, FloatWays, carry_paths
from fabricsim.render.yarn.surface import StitchSurface
from fabricsim.render.yarn.tiling import Tiling, tiled
from tests.render.fabrics import GAUGE, MOTIF, cylinder, fabric, ripples
from tests.render.rests import LOZENGE, folded

W = GAUGE.stitch_width
ONE_FLOAT = ("aaabbbbbbbbaaa", "aaaaaaaaaaaaaa")
SHALLOW = 0.01
"""Stitch widths that a float may come nearer than its lane: a fortieth of its yarn. On flat fabric it is round-off; in
deep folds the lane bulges a little between the stitches that it is led over."""


def before_lane(equilibrium: Equilibrium) -> float:
    """Return the most by which any float comes nearer to the back of any stitch than its lane, stitch widths."""
    tiling = tiled(equilibrium)
    carries = find_carries(tiling)
    surface = StitchSurface(tiling)
    path = carry_paths(surface, carries, 0.05)
    u, v = (part.ravel() for part in np.meshgrid(*2 * [np.linspace(-0.5, 0.5, 7)]))
    node = np.repeat(np.arange(tiling.stitches), len(u))
    back, normal = surface.at(node, np.tile(u, tiling.stitches), np.tile(v, tiling.stitches))
    far, nearest = cKDTree(back).query(path.x_pc)
    behind = np.einsum("pc,pc->p", path.x_pc - back[nearest], normal[nearest]) < 0.0
    depth = LANE_DEPTH[carries.layer_k[path.carry_p]] * W
    shown = np.ones(len(far), dtype=bool)
    if tiling.window_a is not None:  # beyond it stitches are missing
        low, high = tiling.window_a[::2], tiling.window_a[1::2]
        shown = ((path.x_pc[:, :2] >= low) & (path.x_pc[:, :2] <= high)).all(axis=1)
    return float((depth - np.where(behind, far, -far))[shown].max() / W)


def taut_lengths(tiling: Tiling) -> Iterator[tuple[float, float]]:
    """Return, for each taut float that presses, its length and that of a string pulled tight behind its lane.

    Both as seen along the wales, where the string is the half of the hull of the lane that lies to the back.
    """
    carries, surface = find_carries(tiling), StitchSurface(tiling)
    path = carry_paths(surface, carries, 0.05)
    for b in np.unique(carries.stretch_q[carries.excess_b[carries.stretch_q] == 0.0]).tolist():
        k = carries.carry_b[b]
        lane_pc, normal_pc = along_lane(surface, carries, b)
        x_pc = path.x_pc[path.carry_p == k]
        across = lane_pc[-1] - lane_pc[0]
        across /= np.linalg.norm(across)
        out = normal_pc.mean(axis=0)
        out -= out @ across * across
        axes = np.stack([across, out / np.linalg.norm(out)], axis=1)
        corner = (lane_pc - lane_pc[0]) @ axes
        lid = np.vstack([corner, [corner[0] + [0.0, 9.0], corner[-1] + [0.0, 9.0]]])  # closes the face side far off
        string = corner[np.sort(np.setdiff1d(ConvexHull(lid).vertices, [len(corner), len(corner) + 1]))]
        yield length(x_pc @ axes), length(string)


def along_lane(surface: StitchSurface, carries: Carries, stretch: int) -> tuple[np.ndarray, np.ndarray]:
    k = np.full(400, carries.carry_b[stretch])
    along = np.linspace(carries.begin_b[stretch], carries.end_b[stretch], len(k))
    whole = np.rint(along).astype(int)
    v, z = lane(carries.layer_k[k], surface.tiling.width, surface.tiling.height)
    return surface.at(carries.walk_kw[k, whole], along - whole, v, z)


def length(x_pc: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(x_pc, axis=0), axis=1).sum())


def test_a_way_turns_at_its_corners_and_is_straight_between_them() -> None:
    begin, end = np.zeros((3, 3)), np.tile([4.0, 0.0, 0.0], (3, 1))
    corners = np.array([[1.0, 0.0, -1.0], [3.0, 0.0, -1.0]])
    way = FloatWays(begin, end, np.array([1, 1]), np.array([0.25, 0.75]), corners)
    assert way.length_b == pytest.approx([4.0, 2.0 + 2.0 * 2.0**0.5, 4.0])
    stretch, place = np.repeat([0, 1, 2], 5), np.tile(np.linspace(0.0, 1.0, 5), 3)
    off = way.off_straight(stretch, place)
    np.testing.assert_allclose(off[5:10], np.outer([0.0, 1.0, 1.0, 1.0, 0.0], [0.0, 0.0, -1.0]), atol=1e-15)
    assert (off[:5] == 0.0).all()
    assert (off[10:] == 0.0).all()


def test_floats_stay_as_far_behind_a_folded_fabric_as_behind_a_flat_one() -> None:
    assert before_lane(fabric(LOZENGE, slack=-0.15)) == pytest.approx(0.0, abs=1e-4)  # the back is looked at in steps
    assert before_lane(folded()) < SHALLOW


def test_taut_floats_take_the_shortest_way_behind_their_lane() -> None:
    lengths = list(taut_lengths(tiled(folded())))
    assert len(lengths) > 0
    for drawn, string in lengths:
        # it cuts corners of the lane by less than SHALLOW, and turns only at the middles of stitches
        assert drawn == pytest.approx(string, rel=1e-3)


def test_floats_lie_on_the_stitches_that_the_numbers_name() -> None:
    tiling = tiled(folded())
    named = {steps for steps, pulls in zip(folded().pressed, taut(folded()), strict=True) if steps and pulls}
    assert named <= set(tiling.pressed)
    surface = StitchSurface(tiling)
    path = carry_paths(surface, find_carries(tiling), 0.02)
    tree = cKDTree(path.x_pc)
    for (node, _), layer, steps in zip(tiling.node_f2.tolist(), tiling.layer_f, tiling.pressed, strict=True):
        for step in range(1, max(steps, default=0) + 1):
            node = int(tiling.neighbour_n4[node, RIGHT])
            if step in steps:
                v, z = lane(np.array([layer]), tiling.width, tiling.height)
                back, _ = surface.at(np.array([node]), np.zeros(1), v, z)
                # half a step of the path, which folds stretch, is nearly this far
                assert tree.query(back)[0][0] < 0.02 * W


@pytest.mark.parametrize("slack", [-0.02, 0.05])
def test_floats_that_lie_on_nothing_are_drawn_as_if_none_did(slack: float) -> None:
    equilibrium = fabric(MOTIF, "swatch", across=3, up=2, slack=slack, bend=ripples(0.003, 0.09, 0.07))
    tiling = tiled(equilibrium)
    carries = find_carries(tiling)
    without = find_carries(replace(tiling, pressed=((),) * len(tiling.pressed)))
    here, there = (carry_paths(StitchSurface(tiling), each, 0.1) for each in (carries, without))
    free = np.setdiff1d(np.arange(len(carries.base_k)), carries.carry_b[carries.stretch_q])
    assert 0 < len(free) < len(carries.base_k)
    for k in free.tolist():
        assert np.array_equal(here.x_pc[here.carry_p == k], there.x_pc[there.carry_p == k])


def test_a_fabric_without_bulges_in_the_way_keeps_its_slack_over_the_straight_line() -> None:
    for bend in (None, cylinder(0.03)):
        equilibrium = fabric(ONE_FLOAT, "swatch", slack=0.05, bend=bend)
        tiling = tiled(equilibrium)
        assert not any(tiling.pressed)
        assert np.array_equal(tiling.excess_f, equilibrium.mesh.floats.length_f / equilibrium.chord_f - 1.0)


@pytest.mark.parametrize("slack", [0.06, 0.2])
def test_a_slack_float_hangs_from_the_bulge_in_its_way(slack: float) -> None:
    radius = 0.02
    equilibrium = fabric(ONE_FLOAT, "swatch", slack=slack, bend=cylinder(-radius))
    tiling = tiled(equilibrium)
    f = int(np.argmax(tiling.gap_f))
    # eight stitches are passed, and the way over them lies half a thickness outside their middles
    assert tiling.pressed[f] == tuple(range(1, 9))
    arc = 9 * 2.0 * (radius + 0.5 * equilibrium.mesh.thickness) * np.sin(0.5 * W / radius)
    assert tiling.excess_f[f] == pytest.approx(9 * W * (1.0 + slack) / arc - 1.0, rel=1e-3)
    assert before_lane(equilibrium) < SHALLOW
    carries = find_carries(tiling)
    k = int(carries.carry_b[np.argmax(carries.end_b - carries.begin_b)])
    path = carry_paths(StitchSurface(tiling), carries, 0.05)
    x = path.x_pc[path.carry_p == k]
    string = length(along_lane(StitchSurface(tiling), carries, int(np.flatnonzero(carries.carry_b == k)[0]))[0])
    assert length(x) / string - 1.0 == pytest.approx(
        tiling.excess_f[f], abs=0.015
    )  # the lane is farther round than the way


@pytest.mark.parametrize("hanging", [True, False])
def test_a_very_slack_float_of_flat_work_hangs_a_row_and_a_half_and_no_lower(hanging: bool) -> None:
    tiling = tiled(fabric(ONE_FLOAT, "swatch", slack=0.4))
    path = carry_paths(StitchSurface(tiling), find_carries(tiling), 0.02, hanging=hanging)
    high_p = path.x_pc[:, 1]
    drops = []
    for carry in np.unique(path.carry_p):
        of_carry = high_p[path.carry_p == carry]
        drops.append(float(min(of_carry[0], of_carry[-1]) - of_carry.min()) / tiling.height)
    assert max(drops) == pytest.approx(GREATEST_DROP if hanging else 0.0, abs=0.02)
