"""What calibrating says of a swatch that can't be, from a made-up answer."""

from __future__ import annotations

import pytest

from fabricsim.cli.commands.calibrate.words import learnt
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntSlack
from fabricsim.design.swatch.measured import Measured
from fabricsim.study.calibrate.learning import Calibration, wider_than_plain
from fabricsim.study.calibrate.posterior import Prior
from fabricsim.study.calibrate.responses import too_tight
from tests.support.scenes import scene_of

SCENE = scene_of(["#..#..", ".##..."])
FACTOR = LearntFactor(value=1.0, low=0.5, high=2.0, known="not told")
HANDS = Knitter(
    slack=LearntSlack(value=0.03, low=-0.01, high=0.2, known="measured"),
    stretch=FACTOR,
    bending=FACTOR,
    bending_against_stretch=2.0,
    weight=FACTOR,
)


@pytest.mark.parametrize("wider", [False, True])
def test_a_swatch_wider_than_plain_knitting_is_remarked_upon(wider: bool) -> None:
    said = learnt(SCENE, Calibration(HANDS, (), "repeat", 0, (), Prior(), wider))
    assert (
        "The colourwork was measured wider than plain knitting, which no floats make it." in " ".join(said)
    ) == wider


@pytest.mark.parametrize(
    ("plain", "width_cm", "wider"),
    [({}, 20.1, True), ({}, 19.9, False), ({"stitches": 19, "width_cm": 10.2}, 20.3, False)],
)
def test_wider_by_the_plain_part_else_by_the_gauge(plain: dict[str, float], width_cm: float, wider: bool) -> None:
    measured = Measured.model_validate({"plain": plain, "colourwork": {"stitches": 38, "width_cm": width_cm}})
    assert wider_than_plain(SCENE, measured) == wider


def test_too_tight_a_swatch_is_said_in_what_was_measured() -> None:
    assert too_tight(-0.371) == (
        "what was measured asks for floats 37 % too short, with which the fabric finds no rest; measure the colourwork "
        "again, width and pucker, and count its stitches"
    )
