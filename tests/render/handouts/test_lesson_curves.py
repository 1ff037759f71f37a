"""Small curves as numbers: every dot where its value is, on scales of round steps."""

from __future__ import annotations

import pytest

from fabricsim.render.handouts.lesson_curves import BOTTOM, LEFT, RIGHT, TALL, TOP, WIDE, curve

SLACKS = (-0.1, -0.05, 0.0, 0.1)


def test_a_curve_of_four_steps() -> None:
    made = curve("Draw-in", "%", SLACKS, (7.9, 3.0, 0.0, -1e-9), 1.0)
    floor, room = TALL - BOTTOM, TALL - BOTTOM - TOP
    assert [dot.x for dot in made.dots] == pytest.approx([LEFT, LEFT + 69.0, LEFT + 138.0, WIDE - RIGHT])
    assert [dot.y for dot in made.dots] == pytest.approx([floor - room * 7.9 / 8.0, floor - room * 3 / 8, floor, floor])
    assert [dot.said for dot in made.dots] == ["7.9 % at −10 %", "3.0 % at −5 %", "0.0 % at 0 %", "-0.0 % at +10 %"]
    assert made.alt == "Draw-in against slack: 7.9 % at −10 %, 3.0 % at −5 %, 0.0 % at 0 %, -0.0 % at +10 %."
    assert [mark.text for mark in made.up] == ["0", "2", "4", "6", "8"]
    assert [mark.at for mark in made.up] == pytest.approx([floor - room * k / 4 for k in range(5)])
    assert [mark.text for mark in made.across] == ["−10 %", "−5 %", "0 %", "+5 %", "+10 %"]
    assert [mark.at for mark in made.across] == pytest.approx([LEFT + 69.0 * k for k in range(5)])
    assert (made.floor, made.right, made.wide, made.tall) == (floor, WIDE - RIGHT, WIDE, TALL)
    assert made.path == (
        f"M{LEFT:.1f} {made.dots[0].y:.1f}L109.0 {made.dots[1].y:.1f}L178.0 {floor:.1f}L{WIDE - RIGHT:.1f} {floor:.1f}"
    )


@pytest.mark.parametrize(
    ("values", "least", "marks"),
    [
        ((0.0, 0.0), 1.0, ["0", "0.5", "1"]),
        ((0.2, 0.4), 1.0, ["0", "0.5", "1"]),
        ((1.0, 0.0), 1.0, ["0", "0.5", "1"]),
        ((4.0, 0.0), 1.0, ["0", "1", "2", "3", "4"]),
        ((4.1, 0.0), 1.0, ["0", "2", "4", "6"]),
        ((21.0, 0.0), 1.0, ["0", "10", "20", "30"]),
        ((0.03, 0.0), 0.01, ["0", "0.01", "0.02", "0.03"]),
        ((39.0, 0.0), 1.0, ["0", "10", "20", "30", "40"]),
    ],
)
def test_the_upright_scale_has_round_steps_and_reaches_what_it_must(
    values: tuple[float, ...], least: float, marks: list[str]
) -> None:
    assert [mark.text for mark in curve("Pucker", "mm", (0.0, 0.1), values, least).up] == marks


@pytest.mark.parametrize(
    ("low", "high", "marks"),
    [
        (-0.1, 0.2, ["−10 %", "−5 %", "0 %", "+5 %", "+10 %", "+15 %", "+20 %"]),
        (-0.03, 0.03, ["−3 %", "−2 %", "−1 %", "0 %", "+1 %", "+2 %", "+3 %"]),
        (-0.07, 0.22, ["−5 %", "0 %", "+5 %", "+10 %", "+15 %", "+20 %"]),
        (0.0, 0.005, ["0 %", "+0.1 %", "+0.2 %", "+0.3 %", "+0.4 %", "+0.5 %"]),
    ],
)
def test_round_slacks_stand_below(low: float, high: float, marks: list[str]) -> None:
    assert [mark.text for mark in curve("Pucker", "mm", (low, high), (0.0, 1.0), 1.0).across] == marks
