"""The yarns' paths: loops, floats, catches, edges, joins."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import cKDTree

from fabricsim.design.scene.yarn import loop_length
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.yarn.float_lanes import LANE_DEPTH, LANE_HEIGHT, find_carries
from fabricsim.render.yarn.float_path import carry_paths
from fabricsim.render.yarn.loop_form import YARN_THICKNESS
from fabricsim.render.yarn.paths import WRAP_THIN, following, yarn_paths
from fabricsim.render.yarn.strands import Strands, cropped
from fabricsim.render.yarn.surface import StitchSurface
from fabricsim.render.yarn.tiling import tiled
from tests.render.fabrics import CHECK, GAUGE, MOTIF, PLAIN, THREE, cylinder, fabric, mirror_twins, ripples

W, C = GAUGE.stitch_width, GAUGE.row_height
ODD = {
    "one stitch": (("a",), "swatch"),
    "one stitch repeated": (("a",), "repeat"),
    "one row": (("abbaab",), "repeat"),  # a swatch of one row has no normals; it is refused
    "one column": (("a", "b", "a", "a"), "swatch"),
    "smallest tube": (("aab", "bba"), "round"),
    "once in a row": (("abaaaaaaaaaaaaa", "aaaaaaaaaaaaaaa"), "repeat"),
}


def steps_of(strands: Strands) -> tuple[np.ndarray, np.ndarray]:
    """Return the steps (q, 3) within strands and the strand of each."""
    strand = np.repeat(np.arange(len(strands.yarn_s)), np.diff(strands.first_s))
    inside = strand[1:] == strand[:-1]
    return np.diff(strands.x_pc, axis=0)[inside], strand[1:][inside]


def sharpest_turn(strands: Strands) -> float:
    """Return the greatest angle between following steps, degrees."""
    step, strand = steps_of(strands)
    step = step / np.linalg.norm(step, axis=1, keepdims=True)
    cosine = np.einsum("qc,qc->q", step[1:], step[:-1])[strand[1:] == strand[:-1]]
    return float(np.degrees(np.arccos(np.clip(cosine, -1, 1))).max())


def test_plain_fabric_uses_as_much_yarn_as_its_gauge_says() -> None:
    strands = yarn_paths(tiled(fabric(PLAIN)), 40)
    step, _ = steps_of(strands)
    stitch = strands.stitch_p
    long = np.linalg.norm(step, axis=1).sum() / W / len(np.unique(stitch))
    assert long == pytest.approx(loop_length(W, C) / W, rel=0.02)
    assert strands.thickness == pytest.approx(YARN_THICKNESS * W)


def test_squeezed_stitches_keep_the_thickness_of_their_yarn() -> None:
    assert yarn_paths(tiled(fabric(PLAIN, squeeze=0.85)), 20).thickness == pytest.approx(YARN_THICKNESS * W)


def test_one_strand_per_row_and_colour() -> None:
    tiling = tiled(fabric(MOTIF, "swatch", across=2))
    strands = yarn_paths(tiling, 20)
    pairs = {(row, yarn) for row, yarn in zip(tiling.row_n.tolist(), tiling.yarn_n.tolist(), strict=True)}
    assert len(strands.yarn_s) == len(pairs)


def test_a_plain_tube_is_one_yarn_from_end_to_end() -> None:
    tiling = tiled(fabric(PLAIN, "round", across=3))
    strands = yarn_paths(tiling, 20)
    assert len(strands.yarn_s) == 1
    assert len(np.unique(strands.stitch_p)) == tiling.stitches


def test_yarn_runs_on_from_round_to_round_through_the_join() -> None:
    tiling = tiled(fabric(CHECK, "round", across=4))
    next_n = following(tiling, find_carries(tiling))
    ends = np.nonzero(next_n < 0)[0]
    assert len(ends) == 2  # each of the two yarns ends once
    down = (next_n >= 0) & (tiling.row_n[next_n] < tiling.row_n)
    assert down.sum() == 2 * 3  # both cross each of the three joins between four rounds


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
@pytest.mark.parametrize("rows", [MOTIF, THREE, PLAIN], ids=["two", "three", "one"])
def test_paths_are_smooth_and_whole(rows: tuple[str, ...], case: str) -> None:
    strands = yarn_paths(tiled(fabric(rows, case, across=5 if case == "round" else 2, slack=0.06)), 40)
    assert np.isfinite(strands.x_pc).all()
    step, _ = steps_of(strands)
    far = np.linalg.norm(step, axis=1) / W
    assert far.max() < 0.45
    # the tightest bends are where a float turns up an edge; a corner there would be a right angle
    assert sharpest_turn(strands) < 65.0


@pytest.mark.parametrize("name", ODD)
def test_odd_pieces_are_drawn_too(name: str) -> None:
    rows, case = ODD[name]
    strands = yarn_paths(tiled(fabric(rows, case)), 20)
    assert np.isfinite(strands.x_pc).all()
    assert (np.diff(strands.first_s) >= 2).all()


def carried(equilibrium: Equilibrium) -> tuple[list[np.ndarray], np.ndarray, np.ndarray]:
    """Return the points of every carry, its excess yarn and its layer; for fabrics without catches."""
    tiling = tiled(equilibrium)
    carries = find_carries(tiling)
    path = carry_paths(StitchSurface(tiling), carries, 0.05)
    return [path.x_pc[path.carry_p == k] for k in range(len(carries.base_k))], carries.excess_b, carries.layer_k


@pytest.mark.parametrize("slack", [-0.2, -0.02, 0.0])
def test_taut_floats_are_straight(slack: float) -> None:
    points, excess, _ = carried(fabric(MOTIF, slack=slack))
    assert excess.max() < 1e-12
    for x in points:
        np.testing.assert_allclose(np.linalg.norm(np.cross(x - x[0], x[-1] - x[0]), axis=1), 0.0, atol=1e-12)


def test_a_float_across_a_hollow_back_is_a_chord_and_over_a_bulging_one_bends_round_it() -> None:
    rows = ("aaabbbbbbbbaaa", "aaaaaaaaaaaaaa")
    hollow = tiled(fabric(rows, "swatch", slack=-0.3, bend=cylinder(0.03)))
    bulging = tiled(fabric(rows, "swatch", slack=-0.3, bend=cylinder(-0.03)))
    for tiling, straight in ((hollow, True), (bulging, False)):
        carries = find_carries(tiling)
        path = carry_paths(StitchSurface(tiling), carries, 0.1)
        k = int(carries.carry_b[np.argmax(carries.end_b - carries.begin_b)])
        x = path.x_pc[path.carry_p == k]
        off = np.linalg.norm(np.cross(x - x[0], x[-1] - x[0]), axis=1) / np.linalg.norm(x[-1] - x[0])
        assert (off.max() < 1e-12) == straight
        radius = 0.03 if straight else -0.03
        behind = np.hypot(x[:, 0], x[:, 2] + radius) - abs(radius)
        depth = LANE_DEPTH[carries.layer_k[k]] * W
        if straight:
            assert behind.max() <= -depth * (1 - 1e-3)
        else:
            np.testing.assert_allclose(behind, depth, rtol=0.01)  # the place below a chord is found along it


@pytest.mark.parametrize("slack", [0.02, 0.1, 0.3])
def test_slack_floats_have_the_length_of_their_yarn(slack: float) -> None:
    points, excess, _ = carried(fabric(MOTIF, slack=slack))
    for x, e in zip(points, excess, strict=True):
        arc = np.linalg.norm(np.diff(x, axis=0), axis=1).sum()
        chord = np.linalg.norm(x[-1] - x[0])
        # polygons of steps of 0.05 stitches cut the arc short by far less than this
        assert arc / chord - 1.0 == pytest.approx(e, rel=0.01)
        assert x[:, 1].min() < x[0, 1] - 1e-6  # it hangs
        assert x[:, 2].max() <= x[0, 2] + 1e-12  # and never towards the fabric


def test_each_colour_of_a_row_has_a_lane_of_its_own() -> None:
    points, _, layer = carried(fabric(THREE, slack=0.0))
    for x, which in zip(points, layer, strict=True):
        np.testing.assert_allclose(x[:, 2], -LANE_DEPTH[which] * W)
        row = np.rint((x[0, 1] - LANE_HEIGHT[which] * W) / C)
        np.testing.assert_allclose(x[:, 1], row * C + LANE_HEIGHT[which] * W)
    assert set(layer.tolist()) == {0, 1, 2}


def test_floats_stay_behind_a_puckered_fabric() -> None:
    equilibrium = fabric(MOTIF, "swatch", across=3, up=2, slack=-0.05, bend=ripples(0.004, 0.05, 0.07))
    tiling = tiled(equilibrium)
    carries = find_carries(tiling)
    surface = StitchSurface(tiling)
    path = carry_paths(surface, carries, 0.1)
    loops = yarn_paths(tiling, 40)
    body = loops.x_pc[~loops.link_p]
    gap, _ = cKDTree(body).query(path.x_pc)
    # flat, a float clears the heads by 0.16 w and more; bends and neighbouring lanes take a little of that
    assert gap.min() > 0.2 * W


def test_caught_floats_go_on_through_the_catch_and_are_held_by_the_working_yarn() -> None:
    rows = ("aaaaaaaaaaab", "aaaaaaaaaaaa")
    caught = np.zeros((2, 12), dtype=bool)
    caught[1, 5] = True  # row 1 is the printed top row
    with_catch, without = fabric(rows, slack=0.1, catches=caught), fabric(rows, slack=0.1)
    tiling = tiled(with_catch)
    carries = find_carries(tiling)
    assert len(tiling.node_f2) > len(tiled(without).node_f2)
    assert (carries.from_k >= 0).any()
    assert len(carries.base_k) == len(find_carries(tiled(without)).base_k)  # joined again
    assert len(carries.wrapped_w) > 0
    assert (tiling.yarn_n[carries.wrapped_w] == 0).all()
    strands = yarn_paths(tiling, 40)
    depth = strands.x_pc[strands.link_p & (np.isin(strands.stitch_p, carries.wrapped_w)), 2].min()
    assert depth < -(LANE_DEPTH[1] + 0.8 * YARN_THICKNESS) * W  # the yarn passes behind the float that it holds
    thin = strands.thin_p[strands.link_p & np.isin(strands.stitch_p, carries.wrapped_w)]
    assert thin.min() == pytest.approx(WRAP_THIN, abs=1e-3)  # flat where it bends most, and nowhere thicker than it is
    assert thin.max() <= 1.0
    assert sharpest_turn(strands) < 60.0


def test_flat_rows_are_joined_at_the_edge_where_the_work_turns() -> None:
    tiling = tiled(fabric(PLAIN, "swatch"))
    strands = yarn_paths(tiling, 40)
    ends = strands.x_pc[strands.first_s[1:] - 1], strands.x_pc[strands.first_s[:-1]]
    x = tiling.x_nc[: tiling.stitches, 0]
    for row in range(7):
        # the first row is worked right to left, so the work turns at the left edge, then at the right one
        own, other = (ends[1], ends[1]) if row % 2 == 0 else (ends[0], ends[0])
        assert np.linalg.norm(own[row] - other[row + 1]) < 1e-9
    assert strands.x_pc[:, 0].min() > x.min() - 1.1 * W
    assert strands.x_pc[:, 0].max() < x.max() + 1.1 * W


def test_a_colour_idle_for_two_rows_is_carried_up_its_edge() -> None:
    rows = ("bbbb", "aaaa", "aaaa", "bbbb")
    tiling = tiled(fabric(rows, "swatch"))
    strands = yarn_paths(tiling, 40)
    blue = [strands.x_pc[strands.first_s[s] : strands.first_s[s + 1]] for s in np.nonzero(strands.yarn_s == 1)[0]]
    lowest = min(blue, key=lambda x: x[:, 1].min())
    assert lowest[:, 1].max() > 2.2 * C
    climbing = lowest[(lowest[:, 1] > 1.2 * C) & (lowest[:, 1] < 1.8 * C)]
    assert climbing[:, 2].max() < -0.5 * W  # behind the fabric


def test_cropping_cuts_strands_and_keeps_their_yarn() -> None:
    strands = yarn_paths(tiled(fabric(CHECK)), 20)
    low, high = np.array([0.03, 0.02]), np.array([0.06, 0.05])
    kept = ((strands.x_pc[:, :2] >= low) & (strands.x_pc[:, :2] <= high)).all(axis=1)
    part = cropped(strands, kept)
    assert ((part.x_pc[:, :2] >= low) & (part.x_pc[:, :2] <= high)).all()
    assert kept.sum() - len(part.x_pc) <= kept.sum() * 0.01  # only single points may be lost
    assert (np.diff(part.first_s) >= 2).all()
    step, _ = steps_of(part)
    assert np.linalg.norm(step, axis=1).max() <= np.linalg.norm(steps_of(strands)[0], axis=1).max()


def test_a_mirrored_swatch_has_the_mirrored_yarns_to_the_last_turn_and_end() -> None:
    here, there = (tiled(piece) for piece in mirror_twins())
    one, other = yarn_paths(here, 40), yarn_paths(there, 40)
    last = here.column_n.max()
    for yarn in (0, 1):
        mine, wanted = (
            strands.x_pc[np.repeat(strands.yarn_s == yarn, np.diff(strands.first_s))] for strands in (one, other)
        )
        mirrored = mine * [-1.0, 1.0, 1.0] + [last * W, -C, 0.0]
        assert len(mirrored) == len(wanted)
        # every step is the same arithmetic with left and right exchanged: all that differs is round-off
        for a, b in ((mirrored, wanted), (wanted, mirrored)):
            assert cKDTree(b).query(a)[0].max() < 1e-9 * W
