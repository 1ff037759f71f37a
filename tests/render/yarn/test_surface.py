"""The surface through the stitches, and how the fabric is laid out for it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.fabric.measures import taut
from fabricsim.fabric.mesh import DOWN, LEFT, RIGHT, UP
from fabricsim.render.yarn.surface import Surface, blend_weights
from fabricsim.render.yarn.tiling import FEWEST_ACROSS, lay, repeats_shown
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
    laid = lay(fabric(MOTIF, "swatch", across=2, up=2, bend=ripples(0.003, 0.05, 0.06)))
    surface = Surface(laid)
    node = np.arange(laid.stitches)
    here = np.zeros(len(node))
    np.testing.assert_allclose(surface.at(node, here, here)[0], laid.x_nc[: laid.stitches], atol=1e-15)
    right = laid.neighbour_n4[:, RIGHT][: laid.stitches]
    inner = right < laid.stitches
    half, up = np.full(inner.sum(), 0.5), np.full(inner.sum(), -0.3)
    from_left, _ = surface.at(node[inner], half, up)
    from_right, _ = surface.at(right[inner], -half, up)
    np.testing.assert_allclose(from_left, from_right, atol=1e-15)


def test_a_bent_fabric_is_followed_closely() -> None:
    radius = 0.03
    laid = lay(fabric(PLAIN, "swatch", across=2, bend=cylinder(radius)))
    surface = Surface(laid)
    node = np.nonzero((laid.column_n > 1) & (laid.column_n < 14))[0]
    point, normal = surface.at(node, np.full(len(node), 0.37), np.full(len(node), 0.2), 0.0)
    from_axis = np.hypot(point[:, 0], point[:, 2] + radius)
    # a cubic through points on a circle a stitch apart: error of the order of (w/r)^4 r / 100
    np.testing.assert_allclose(from_axis, radius, rtol=1e-4)
    np.testing.assert_allclose(normal[:, 1], 0.0, atol=1e-12)


def test_where_the_fabric_ends_it_goes_straight_on() -> None:
    laid = lay(fabric(PLAIN, "swatch"))
    step = {LEFT: (-W, 0), RIGHT: (W, 0), DOWN: (0, -C), UP: (0, C)}
    edges = 0
    for direction, (dx, dy) in step.items():
        ghost = laid.neighbour_n4[: laid.stitches, direction]
        at_edge = np.nonzero(ghost >= laid.stitches)[0]
        edges += len(at_edge)
        went = laid.x_nc[ghost[at_edge]] - laid.x_nc[at_edge]
        np.testing.assert_allclose(went, np.tile([dx, dy, 0.0], (len(at_edge), 1)), atol=1e-15)
    assert edges == 4 * 8


def test_a_repeat_is_laid_side_by_side_until_it_fills_a_picture() -> None:
    equilibrium = fabric(CHECK, squeeze=0.9)
    across, up = repeats_shown(equilibrium)
    laid = lay(equilibrium)
    assert laid.window_a is not None
    assert across * 4 >= FEWEST_ACROSS
    width, height = np.diff(laid.window_a)[::2]
    assert width == pytest.approx(across * 4 * 0.9 * W)
    assert height == pytest.approx(up * 4 * C)
    # every stitch in the window has the colour that the chart gives it, and neighbours one step away
    grid = equilibrium.scene.chart_grid()
    inside = (laid.x_nc[: laid.stitches, 0] > laid.window_a[0]) & (laid.x_nc[: laid.stitches, 0] < laid.window_a[1])
    inside &= (laid.x_nc[: laid.stitches, 1] > laid.window_a[2]) & (laid.x_nc[: laid.stitches, 1] < laid.window_a[3])
    assert inside.sum() == across * up * 16
    assert (laid.yarn_n[inside] == grid[laid.row_n[inside] % 4, laid.column_n[inside] % 4]).all()
    right = laid.neighbour_n4[: laid.stitches, RIGHT][inside]
    assert right.max() < laid.stitches
    np.testing.assert_allclose(
        laid.x_nc[right] - laid.x_nc[: laid.stitches][inside], np.tile([0.9 * W, 0, 0], (inside.sum(), 1)), atol=1e-15
    )


def test_a_wide_chart_is_shown_once_and_whole() -> None:
    rows = ("a" * 59 + "b", "b" + "a" * 59)
    assert repeats_shown(fabric(rows))[0] == 1


def test_floats_of_a_repeat_keep_their_ends_in_the_copies() -> None:
    equilibrium = fabric(MOTIF)
    laid = lay(equilibrium)
    across = laid.column_n[laid.node_f2[:, 1]] - laid.column_n[laid.node_f2[:, 0]]
    assert (across == laid.gap_f + 1).all()
    assert (laid.row_n[laid.node_f2[:, 1]] == laid.row_n[laid.node_f2[:, 0]]).all()


def test_floats_are_drawn_taut_where_the_numbers_say_so() -> None:
    slack = fabric(MOTIF, slack=0.02)
    unfelt, felt = (replace(slack, tension_f=np.full(len(slack.tension_f), pull)) for pull in (1e-12, 1e-3))
    assert not taut(unfelt).any()
    assert lay(unfelt).excess_f == pytest.approx(0.02)
    assert taut(felt).all()
    assert (lay(felt).excess_f == 0.0).all()
