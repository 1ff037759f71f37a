"""The scalar laws: U', U'' against differences, no jump in U or U' at a kink, and values by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.mechanics.laws import Cushion, Dragged, Elastic, Floor, Knitted, Law, Proportional, Taut
from tests.support.differences import STEP

BAR = Knitted(stiffness=20.0, rest=0.005, lock=0.6, lock_ratio=10.0, jam=0.2, jam_ratio=4.0)
LAWS: dict[str, tuple[Law, tuple[float, ...], float]] = {
    "elastic": (Elastic(3.0, 0.2), (), 1.0),
    "knitted": (BAR, (0.005 * 1.6, 0.005, 0.005 * 0.8), 0.005),
    "taut": (Taut(100.0, 0.02), (0.02,), 0.02),
    "floor": (Floor(5.0, 0.001), (0.001,), 0.001),
    "cushion": (Cushion(5.0, 0.002, 0.0007), (0.002, 0.0013), 0.001),
    "dragged": (Dragged(2.0, 0.0012, 0.0004), (0.0008, 0.0012, 0.0016), 0.001),
    "proportional": (Proportional(-0.3), (), 1.0),
}
"""Each with its kinks and its scale."""

every_law = pytest.mark.parametrize(("law", "kinks", "scale"), LAWS.values(), ids=list(LAWS))


def at(law: Law, s: float) -> tuple[float, float, float]:
    u, slope, stiff = law(np.array([s]))
    return float(u[0]), float(slope[0]), float(stiff[0])


@every_law
def test_slopes_against_differences(law: Law, kinks: tuple[float, ...], scale: float) -> None:
    h = STEP * scale
    for s in scale * np.linspace(0.11, 2.51, 41):
        if min((abs(s - k) for k in kinks), default=1.0) < 2.5 * h:
            continue
        _, slope, stiff = at(law, s)
        # Laws are quartic between kinks: five-point differences are exact but for round-off, eps / STEP = 1e-12 of the
        # largest value met.
        there = {n: at(law, s + n * h) for n in (-2, -1, 1, 2)}
        by_u, by_slope = (
            (8.0 * (there[1][k] - there[-1][k]) - (there[2][k] - there[-2][k])) / (12.0 * h) for k in (0, 1)
        )
        largest = max(abs(at(law, 2.51 * scale)[0]), abs(at(law, 0.11 * scale)[0])) / scale
        assert by_u == pytest.approx(slope, abs=1e-10 * largest)
        assert by_slope == pytest.approx(stiff, abs=1e-10 * largest / scale)


JUMPS: dict[str, tuple[float, ...]] = {"knitted": (0.005 * 0.8,), "taut": (0.02,), "floor": (0.001,)}
"""Kinks at which the second derivative jumps; towards its lock a bar stiffens smoothly."""


@pytest.mark.parametrize("name", list(JUMPS))
def test_no_jump_at_a_kink_but_in_the_second_derivative(name: str) -> None:
    law, _, scale = LAWS[name]
    for kink in JUMPS[name]:
        hair = 1e-9 * scale
        below, above = at(law, kink - hair), at(law, kink + hair)
        steepest = max(below[2], above[2])
        # Over two hairs U' moves by no more than the steeper U'' allows, U by no more than U'.
        assert abs(above[1] - below[1]) <= 2.0 * hair * steepest * (1.0 + 1e-6)
        assert abs(above[0] - below[0]) <= 2.0 * hair * max(abs(above[1]), abs(below[1])) * (1.0 + 1e-6)
        assert abs(above[2] - below[2]) > 0.5 * steepest


def test_knitted_by_hand() -> None:
    # k = 20 N/m, L = 5 mm: k L = 0.1 N, k L^2 = 5e-4 J. On paper at e = 0.3 (half way to the lock), 0.8 (past it, the
    # integral of 9 (e/0.6)^2 and of 9) and -0.3 (jammed).
    u, slope, stiff = BAR(0.005 * np.array([1.3, 1.8, 0.7]))
    u_locked = 9.0 * (0.03 + 0.2 * 0.2 + 0.5 * 0.2**2)
    np.testing.assert_allclose(
        u, 5e-4 * np.array([0.045 + 9.0 * 0.3**4 / (12.0 * 0.36), 0.32 + u_locked, 0.045 + 1.5 * 0.01]), rtol=1e-12
    )
    np.testing.assert_allclose(
        slope,
        0.1 * np.array([0.3 + 9.0 * 0.3**3 / (3.0 * 0.36), 0.8 + 9.0 * (0.2 + 0.2), -0.3 - 3.0 * 0.1]),
        rtol=1e-12,
    )
    np.testing.assert_allclose(stiff, [20.0 * (1.0 + 9.0 * 0.25), 200.0, 80.0], rtol=1e-12)


def test_a_bar_stiffens_without_a_jump_up_to_its_lock() -> None:
    for e in (0.0, 0.6):
        below, above = at(BAR, 0.005 * (1.0 + e - 1e-9)), at(BAR, 0.005 * (1.0 + e + 1e-9))
        np.testing.assert_allclose(above[2], below[2], rtol=1e-7)  # 2 hairs of 2 (R - 1) / lock


def test_the_others_by_hand() -> None:
    s = np.array([0.01, 0.03])
    for law, u, slope, stiff in (
        (Elastic(4.0, 0.02), [2e-4, 2e-4], [-0.04, 0.04], [4.0, 4.0]),
        (Taut(4.0, 0.02), [0.0, 2e-4], [0.0, 0.04], [0.0, 4.0]),
        (Floor(4.0, 0.02), [2e-4, 0.0], [-0.04, 0.0], [4.0, 0.0]),
        (Proportional(4.0), [0.04, 0.12], [4.0, 4.0], [0.0, 0.0]),
    ):
        for got, want in zip(law(s), (u, slope, stiff), strict=True):
            np.testing.assert_allclose(got, want, rtol=1e-12, atol=0.0)


@given(s=st.floats(-1.0, 1.0), length=st.floats(0.0, 1.0))
def test_a_float_never_pushes_and_a_table_never_pulls(s: float, length: float) -> None:
    assert at(Taut(7.0, length), s)[1] >= 0.0
    assert (at(Taut(7.0, length), s)[1] > 0.0) == (7.0 * (s - length) > 0.0)
    assert at(Floor(7.0, length), s)[1] <= 0.0


@pytest.mark.parametrize("name", ["cushion", "dragged"])
def test_what_comes_up_softly_has_no_jump_at_all(name: str) -> None:
    law, kinks, scale = LAWS[name]
    for kink in kinks:
        hair = 1e-9 * scale
        below, above = at(law, kink - hair), at(law, kink + hair)
        # U'' changes by no more than two hairs of its own growth, whose greatest is U'' over the softness.
        assert above[2] == pytest.approx(below[2], abs=1e-4 * 2.0 * 2.0 / 0.0004)


def test_a_cushion_and_friction_by_hand() -> None:
    # 5 N/m, coming up over 0.7 mm: 0.2 mm below the level it is at 2/7 of that; 1 mm below, past it.
    u, slope, stiff = Cushion(5.0, 0.002, 0.0007)(np.array([0.0018, 0.001, 0.0021]))
    np.testing.assert_allclose(stiff, [5.0 * 2.0 / 7.0, 5.0, 0.0], rtol=1e-12)
    np.testing.assert_allclose(slope, [-0.5 * 5.0 * 2.0 / 7.0 * 0.0002, -5.0 * (0.001 - 0.00035), 0.0], rtol=1e-12)
    np.testing.assert_allclose(
        u,
        [5.0 * 0.0002**3 / (6.0 * 0.0007), 5.0 * (0.0007**2 / 6.0 + 0.00035 * 0.0003 + 0.00015 * 0.0003), 0.0],
        rtol=1e-9,
    )
    # 2 N, come up over 0.4 mm: all of it beyond, three quarters of it half way there.
    u, slope, _ = Dragged(2.0, 0.0012, 0.0004)(np.array([0.0022, 0.0014, 0.0002]))
    np.testing.assert_allclose(slope, [2.0, 1.5, -2.0], rtol=1e-12)
    np.testing.assert_allclose(u[[0, 2]], 2.0 * (0.001 - 0.0004 / 3.0), rtol=1e-12)
