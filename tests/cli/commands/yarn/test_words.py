"""What ``yarn`` says, from amounts that nobody reckoned."""

from __future__ import annotations

import pytest

from fabricsim.cli.commands.yarn.words import left_of_balls, tell
from fabricsim.cli.shell.recorded import Sentence, recorded
from fabricsim.design.counted.yarn_amounts import Amounts, YarnAmount
from fabricsim.units import GRAM
from tests.cli.made_up import scene_of


def amount(yarn: int, metres: float, balls: int) -> YarnAmount:
    """Return so many metres of a yarn of 500 tex, half a gram each, and 15 % to spare."""
    return YarnAmount(
        yarn=yarn,
        stitches=100,
        loops=metres,
        floats=0.0,
        catches=0.0,
        carried=0.0,
        edges=0.0,
        ends=2,
        tails=0.0,
        tex=500.0,
        margin=0.15,
        balls=balls,
    )


def said(*yarns: YarnAmount) -> list[str]:
    scene, found = scene_of(0.0), Amounts(yarns, pieces=1, over_plain=None, areal_mass=0.2)
    return [one.text for one in recorded(lambda page: tell(page, scene, found, True)) if isinstance(one, Sentence)]


def test_what_is_left_of_the_balls_is_not_what_is_to_spare() -> None:
    scene = scene_of(0.0)
    ball = scene.yarns[0].ball_grams
    one = amount(0, 40.0, 1)  # 20 g; 3 g to spare
    assert left_of_balls(scene, one) == pytest.approx(ball - 20.0)
    assert one.left_of_balls(ball * GRAM) == pytest.approx((ball - 20.0) * GRAM)
    left = f"Left of these balls when it is done: {ball - 20:.0f} g of {scene.yarns[0].name}"
    spare = "the 15 % to spare, in case your hands take more."
    assert f"{left}. Of that, 3 g is {spare}" in said(one)
    two = amount(1, 160.0, 2)  # 80 g; 12 g to spare
    other = f"{2 * scene.yarns[1].ball_grams - 80:.0f} g of {scene.yarns[1].name}"
    assert f"{left} and {other}. Of that, 3 g and 12 g are {spare}" in said(one, two)
