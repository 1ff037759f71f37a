"""Forms: how far round they are, against closed forms, and their parts against differences."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from fabricsim.fabric.form import shapes
from fabricsim.fabric.form.shapes import Form

FORMS = {
    "cylinder": shapes.cylinder(0.5, 0.2),
    "ball": shapes.ball(0.5),
    "head": shapes.head(0.55),
    "hand": shapes.hand(0.19, 0.22),
    "arm": shapes.arm(0.28, 0.22),
    "board": shapes.board(0.48, 0.2),
}
every_form = pytest.mark.parametrize("form", FORMS.values(), ids=list(FORMS))


@every_form
def test_parts_are_derivatives_of_one_another(form: Form) -> None:
    x_bc = np.random.default_rng(3).uniform(-0.06, 0.06, (40, 3))
    h = 1e-4
    here = form.parts(x_bc)
    for order in range(3):
        ahead, back = form.parts(x_bc + h)[order], form.parts(x_bc - h)[order]
        largest = np.abs(here[order + 1]).max()
        # Central differences of quartics and sextics are off by h^2 f''' / 6: (1e-4 / 0.002)^2 at the board.
        assert np.abs((ahead - back) / (2.0 * h) - here[order + 1]).max() <= 4e-3 * largest + 1e-9


@every_form
def test_points_on_a_section_lie_on_the_surface(form: Form) -> None:
    y = 0.5 * (form.bottom + form.top) + 0.01
    for point_p2 in (form.section(np.linspace(0.0, 1.0, 50)), form.evenly(np.linspace(0.0, 1.0, 50))):
        at_p2 = point_p2 * form.scale(y)
        x_pc = np.column_stack([at_p2[:, 0], np.full(50, y), at_p2[:, 1]])
        assert np.abs(form.parts(x_pc)[0].sum(axis=1)).max() < 1e-6


def test_a_head_is_as_round_and_high_as_asked_and_widest_there() -> None:
    head = FORMS["head"]
    assert float(head.girth(0.0)) == pytest.approx(0.55, rel=1e-6)  # a polygon of 4096 sides
    around_k = head.girth(np.linspace(head.bottom, head.top, 2001))
    assert around_k.max() <= float(head.girth(0.0))
    assert around_k[[0, -1]] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert head.top == pytest.approx(0.18 * 0.55)


def test_forms_say_what_they_are() -> None:
    names = [shapes.cylinder(0.05, 0.2).name, shapes.ball(0.05).name, shapes.head(0.55).name]
    assert names == ["a cylinder", "a ball", "a head"]
    assert [shapes.cylinder(0.05, 0.2).is_straight, shapes.ball(0.05).is_straight] == [True, False]


def test_a_ball_is_round_every_way() -> None:
    ball, radius = shapes.ball(0.5), 0.5 / (2.0 * np.pi)
    y_p = np.array([0.0, 0.3, -0.8]) * radius
    np.testing.assert_allclose(ball.girth(y_p), 2.0 * np.pi * np.sqrt(radius**2 - y_p**2), rtol=1e-6)


def test_a_hand_and_a_board_are_as_far_round_as_asked() -> None:
    hand, board = FORMS["hand"], FORMS["board"]
    a, b = hand.half_width, hand.half_depth
    around = quad(lambda t: np.hypot(a * np.sin(t), b * np.cos(t)), 0.0, 2.0 * np.pi)[0]
    assert around == pytest.approx(0.19, rel=1e-9)
    assert float(hand.girth(-0.4 * 0.19)) == pytest.approx(0.85 * 0.19, rel=1e-6)
    assert float(board.girth(0.1)) == pytest.approx(0.48, rel=1e-6)
    # Round a box of the same sides it would be more, along its diagonal corners less.
    assert 4.0 * np.hypot(board.half_width, board.half_depth) < 0.48 < 4.0 * (board.half_width + board.half_depth)


def test_evenly_is_even() -> None:
    # of chords, each over a hundredth of the way: the four bends at its edges are tighter than that
    step_p = np.linalg.norm(np.diff(FORMS["board"].evenly(np.linspace(0.0, 1.0, 401)), axis=0), axis=1)
    assert step_p.max() / step_p.min() < 1.12


def test_what_must_be_passed_is_the_widest_on_the_way() -> None:
    head, arm = FORMS["head"], FORMS["arm"]
    # Over the top of a head: above its widest place no more than where it comes to lie, below it the widest.
    np.testing.assert_allclose(head.to_pass(np.array([0.05, -0.05])), [head.girth(0.05), 0.55], rtol=1e-4)
    # From the wrist up: the folded hand, until the arm is wider.
    wide = brentq(lambda y: float(arm.girth(y)) - 0.22, 0.0, 1.0)
    np.testing.assert_allclose(arm.to_pass(np.array([0.0, wide + 0.1])), [0.22, arm.girth(wide + 0.1)], rtol=1e-4)


def test_a_board_is_flat_and_its_edges_are_as_round_as_it_is_thick() -> None:
    """At its tip the radius of |x/a|^p + |z/b|^2 = 1 is p b^2 / 2a, by its second derivative."""
    form = FORMS["board"]
    a, b, p = form.half_width, form.half_depth, form.power
    assert p * b**2 / (2.0 * a) == pytest.approx(b, rel=1.0 / p)
    z = 0.02 * b
    x = a * (1.0 - (z / b) ** 2) ** (1.0 / p)
    assert z**2 / (2.0 * (a - x)) == pytest.approx(p * b**2 / (2.0 * a), rel=1e-3)
    # to three quarters of the way out it loses less than a tenth of a millimetre
    assert b * (1.0 - (1.0 - 0.75**p) ** 0.5) < 1e-4
    point_p2 = form.evenly(np.linspace(0.0, 1.0, 200))
    turned_p2 = form.out_of(point_p2)
    flat_p = np.abs(point_p2[:, 0]) < 0.7 * a
    np.testing.assert_allclose(np.abs(turned_p2[flat_p, 1]), 1.0, atol=1e-4)


@pytest.mark.parametrize("name", ["hand", "board"])
def test_a_line_off_a_section_is_gone_round_evenly(name: str) -> None:
    form, gap = FORMS[name], 0.0013
    point_pc = form.evenly(form.shares_off(np.arange(400) / 400, gap, 1.0))
    off_pc = point_pc + gap * form.out_of(point_pc)
    step_p = np.linalg.norm(np.diff(off_pc, axis=0, append=off_pc[:1]), axis=1)
    assert step_p.max() / step_p.min() < 1.02  # chords of an edge as round as that are shorter by as much
