"""One stitch: how long it is, how it interlocks, how far strands stay apart."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.spatial import cKDTree

from fabricsim.design.scene.yarn import loop_length
from fabricsim.render.yarn.float_path import bow, end_slope
from fabricsim.render.yarn.loop import body_parameters, loop, sinker_parameters
from fabricsim.render.yarn.loop_form import DEPTH

WIDTH, HEIGHT = 1.0, 0.75


def centreline(t: np.ndarray, column: int = 0, row: int = 0) -> np.ndarray:
    u, v, z = loop(t, WIDTH, HEIGHT)
    return np.column_stack([WIDTH * (u + column), HEIGHT * (v + row), z])


def test_a_stitch_holds_as_much_yarn_as_munden_found() -> None:
    x = centreline(np.linspace(-np.pi, np.pi, 4001))
    length = np.linalg.norm(np.diff(x, axis=0), axis=1).sum()
    assert length == pytest.approx(loop_length(WIDTH, HEIGHT), rel=0.02)  # drawn by Kw, 4.2


def test_strands_stay_a_quarter_stitch_apart() -> None:
    t = np.linspace(-np.pi, np.pi, 1201)[:-1]
    here = centreline(t)
    # every strand that can come near: rows above and below, and the far legs of the neighbours in the row
    others = [centreline(t, column, row) for column in (-2, -1, 0, 1, 2) for row in (1, 2)]
    nearest = min(cKDTree(other).query(here)[0].min() for other in others)
    assert 0.24 <= nearest <= 0.25


def test_each_row_is_drawn_through_the_one_below() -> None:
    t = np.linspace(-np.pi, np.pi, 20001)
    lower, upper = centreline(t), centreline(t, row=1)
    # a leg of the upper row crosses the head of the lower one where both have the same x and y
    legs = upper[(np.abs(t) > 0.3 * np.pi) & (np.abs(t) < 0.8 * np.pi)]
    heads = lower[np.abs(t) < 0.4 * np.pi]
    apart, which = cKDTree(heads[:, :2]).query(legs[:, :2])
    crossing = apart.argmin()
    assert legs[crossing, 2] - heads[which[crossing], 2] > 0.3
    # and its sinker passes behind the legs of the lower row
    sinkers = upper[np.abs(t) > 0.75 * np.pi]
    lower_legs = lower[(np.abs(t) > 0.15 * np.pi) & (np.abs(t) < 0.6 * np.pi)]
    apart, which = cKDTree(lower_legs[:, :2]).query(sinkers[:, :2])
    crossing = apart.argmin()
    assert lower_legs[which[crossing], 2] - sinkers[crossing, 2] > 0.3


def test_heads_and_sinkers_lie_behind_and_legs_in_front() -> None:
    x = centreline(np.array([-np.pi, -np.pi / 2, 0.0, np.pi / 2, np.pi]))
    np.testing.assert_allclose(x[:, 2], [-DEPTH, DEPTH, -DEPTH, DEPTH, -DEPTH])


@pytest.mark.parametrize("steps", [10, 14, 20, 30, 40])
def test_cutting_a_loop_keeps_head_feet_and_sinker(steps: int) -> None:
    body, (left, right) = body_parameters(steps), sinker_parameters(steps)
    assert 0.0 in body
    assert left[-1] == np.pi
    assert right[0] == -np.pi
    assert len(body) + len(left) + len(right) - 2 == pytest.approx(steps, abs=1)
    np.testing.assert_allclose(left[:-1], -right[::-1][:-1])


@pytest.mark.parametrize("excess", [1e-6, 1e-3, 0.02, 0.1, 0.25, 1.0, 4.0])
def test_a_slack_strand_is_exactly_as_long_as_its_yarn(excess: float) -> None:
    slope = float(end_slope(np.array([excess]))[0])
    arc = quad(lambda s: np.sqrt(1.0 + (slope * (1.0 - 2.0 * s)) ** 2), 0.0, 1.0, epsabs=1e-13)[0]
    assert arc - 1.0 - excess == pytest.approx(0.0, abs=1e-9)
    assert bow(np.array([0.0, 0.5, 1.0]), np.array(slope)) == pytest.approx([0.0, slope / 4, 0.0])


def test_a_taut_strand_is_straight() -> None:
    assert end_slope(np.array([0.0, -0.1])).tolist() == [0.0, 0.0]


def test_a_little_slack_sags_as_the_trade_reckons() -> None:
    # span x sqrt(3 s / 8): 2.5 cm at 10 % hangs 0.48 cm (derived, for shallow arcs; at 10 % good to 6 %)
    slope = float(end_slope(np.array([0.10]))[0])
    assert 2.5 * slope / 4 == pytest.approx(0.48, rel=0.06)
