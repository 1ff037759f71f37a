"""The surface through the stitches, and how the fabric is tiled for it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.fabric.measures import taut
from fabricsim.fabric.mesh import DOWN, LEFT, RIGHT, UP
from fabricsim.render.yarn.surface import StitchSurface, blend_weights
from fabricsim.render.yarn.tiling import FEWEST_ACROSS, repeats_shown, tiled
from tests.render.fabrics import CHECK, GAUGE, MOTIF, PLAIN, cylinder, fabric, ripples

W, C = GAUGE.stitch_width, GAUGE.row_height


def test_weights_sum_to_one_and_hold_parabolas() -> None:
    place = np.linspace(-1.0, 1.0, 41)
    weight = blend_weights(place)
    knot = np.arange(-2.0, 3.0)
    np.testing.assert_allclose(weight.sum(axis=1), 1.0, atol=1e-14)
    np.testing.assert_allclose(weight @ knot, place, atol=1e-14)
    np.testing.assert_allclose(weight @ knot**2, place**2, atol=1e-14)


def test_the_surface_passes_through_every_stitch_and_is_the_same_from_each_neighbour() -> None:
    tiling = tiled(fabric(MOTIF, "swatch", across=2, up=2, bend=ripples(0.003, 0.05, 0.06)))
    surface = StitchSurface(tiling)
    node = np.arange(tiling.stitches)
    here = np.zeros(len(node))
    np.testing.assert_allclose(surface.at(node, here, here)[0], tiling.x_nc[: tiling.stitches], atol=1e-15)
    right = tiling.neighbour_n4[:, RIGHT][: tiling.stitches]
    inner = right < tiling.stitches
    half, up = np.full(inner.sum(), 0.5), np.full(inner.sum(), -0.3)
    from_left, _ = surface.at(node[inner], half, up)
    from_right, _ = surface.at(right[inner], -half, up)
    np.testing.assert_allclose(from_left, from_right, atol=1e-15)


def test_a_bent_fabric_is_followed_closely() -> None:
    radius = 0.03
    tiling = tiled(fabric(PLAIN, "swatch", across=2, bend=cylinder(radius)))
    surface = StitchSurface(tiling)
    node = np.nonzero((tiling.column_n > 1) & (tiling.column_n < 14))[0]
    point, normal = surface.at(node, np.full(len(node), 0.37), np.full(len(node), 0.2), 0.0)
    from_axis = np.hypot(point[:, 0], point[:, 2] + radius)
    # a cubic through points on a circle a stitch apart: error of the order of (w/r)^4 r / 100
    np.testing.assert_allclose(from_axis, radius, rtol=1e-4)
    np.testing.assert_allclose(normal[:, 1], 0.0, atol=1e-12)


def test_where_the_fabric_ends_it_goes_straight_on() -> None:
    tiling = tiled(fabric(PLAIN, "swatch"))
    step = {LEFT: (-W, 0), RIGHT: (W, 0), DOWN: (0, -C), UP: (0, C)}
    edges = 0
    for direction, (dx, dy) in step.items():
        ghost = tiling.neighbour_n4[: tiling.stitches, direction]
        at_edge = np.nonzero(ghost >= tiling.stitches)[0]
        edges += len(at_edge)
        went = tiling.x_nc[ghost[at_edge]] - tiling.x_nc[at_edge]
        np.testing.assert_allclose(went, np.tile([dx, dy, 0.0], (len(at_edge), 1)), atol=1e-15)
    assert edges == 4 * 8


def test_a_repeat_is_laid_side_by_side_until_it_fills_a_picture() -> None:
    equilibrium = fabric(CHECK, squeeze=0.9)
    across, up = repeats_shown(equilibrium)
    tiling = tiled(equilibrium)
    assert tiling.window_a is not None
    assert across * 4 >= FEWEST_ACROSS
    width, height = np.diff(tiling.window_a)[::2]
    assert width == pytest.approx(across * 4 * 0.9 * W)
    assert height == pytest.approx(up * 4 * C)
    # every stitch in the window has the colour that the chart gives it, and neighbours one step away
    grid = equilibrium.scene.chart_grid()
    x_nc, (left, right, bottom, top) = tiling.x_nc[: tiling.stitches], tiling.window_a
    inside = (x_nc[:, 0] > left) & (x_nc[:, 0] < right) & (x_nc[:, 1] > bottom) & (x_nc[:, 1] < top)
    assert inside.sum() == across * up * 16
    assert (tiling.yarn_n[inside] == grid[tiling.row_n[inside] % 4, tiling.column_n[inside] % 4]).all()
    beside = tiling.neighbour_n4[: tiling.stitches, RIGHT][inside]
    assert beside.max() < tiling.stitches
    np.testing.assert_allclose(
        tiling.x_nc[beside] - x_nc[inside],
        np.tile([0.9 * W, 0, 0], (inside.sum(), 1)),
        atol=1e-15,
    )


def test_a_wide_chart_is_shown_once_and_whole() -> None:
    rows = ("a" * 59 + "b", "b" + "a" * 59)
    assert repeats_shown(fabric(rows))[0] == 1


def test_floats_of_a_repeat_keep_their_ends_in_the_copies() -> None:
    equilibrium = fabric(MOTIF)
    tiling = tiled(equilibrium)
    across = tiling.column_n[tiling.node_f2[:, 1]] - tiling.column_n[tiling.node_f2[:, 0]]
    assert (across == tiling.gap_f + 1).all()
    assert (tiling.row_n[tiling.node_f2[:, 1]] == tiling.row_n[tiling.node_f2[:, 0]]).all()


def test_floats_are_drawn_taut_where_the_numbers_say_so() -> None:
    slack = fabric(MOTIF, slack=0.02)
    unfelt, felt = (replace(slack, tension_f=np.full(len(slack.tension_f), pull)) for pull in (1e-12, 1e-3))
    assert not taut(unfelt).any()
    assert tiled(unfelt).excess_f == pytest.approx(0.02)
    assert taut(felt).all()
    assert (tiled(felt).excess_f == 0.0).all()
