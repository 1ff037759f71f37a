"""What a handout says of each fabric, from steps that nobody solved."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fabricsim.cli.commands.sheet.words import about, figures, foot, heading, verdict, ways
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.design.floats.faults import faults
from fabricsim.design.scene.choices import Case
from fabricsim.study.forecast.sweep import Step
from tests.cli.made_up import measures_of, rest_of, scene_of


def step(slack: float = -0.05, **measured: object) -> Step:
    rest = rest_of(scene_of(0.0), slack=slack)
    return Step(slack, rest, measures_of(rest, **measured))  # type: ignore[arg-type]


def test_each_fabric_is_headed_by_its_slack() -> None:
    assert heading("Tight", -0.08) == "Tight: 8 % too short"
    assert heading("Right", 0.0) == "Right: no slack"
    assert heading("Loose", 0.3) == "Loose: 30 % slack"


def test_the_numbers_each_with_what_it_is() -> None:
    assert figures(step(lost=0.04, pucker_mm=1.24, taut=3, pull_cN=0.456)) == (
        ("Width", "5.8 cm, 4.0 % narrower"),
        ("Pucker", "1.2 mm, faintly rippled"),
        ("Pull", "3 of 8 floats taut, hardest 0.46 cN"),
        ("Yarn", "2.8 cm in the longest float"),
    )
    assert figures(step(0.1, lost=0.0004)) == (
        ("Width", "6.0 cm, none lost"),
        ("Pucker", "0.0 mm, flat"),
        ("Pull", "none of 8 floats"),
        ("Yarn", "3.3 cm in the longest float"),
    )


@pytest.mark.parametrize(
    ("slack", "measured", "said"),
    [
        (0.1, {"spare": 0.084}, "Nothing pulls: the fabric keeps its width, and stretches 8 % before floats go taut."),
        (0.1, {"spare": -0.1}, "Nothing pulls: the fabric keeps its width, and stretches 0 % before floats go taut."),
        (0.25, {}, "Nothing pulls: the fabric keeps its width, and stretches 0 % before floats go taut."),
        (0.26, {}, "Nothing pulls, but floats this long hang in loops and snag."),
        (-0.1, {"taut": 1}, "hardly to be seen yet."),
        (-0.1, {"taut": 1, "lost": 0.0005}, "it draws in."),
        (-0.1, {"taut": 1, "pucker_mm": 1.0}, "it ripples faintly."),
        (-0.1, {"taut": 1, "lost": 0.0004, "pucker_mm": 0.99}, "hardly to be seen yet."),
        (-0.1, {"taut": 1, "lost": 0.01, "pucker_mm": 2.9}, "it draws in and it ripples faintly."),
        (-0.1, {"taut": 1, "lost": 0.01, "pucker_mm": 3.0}, "it draws in and it puckers."),
    ],
)
def test_what_a_slack_does(slack: float, measured: dict[str, object], said: str) -> None:
    gives = "The fabric is longer than the floats behind it and must give way: " if "taut" in measured else ""
    assert verdict(step(slack, **measured)) == f"{gives}{said}"


@pytest.mark.parametrize(
    ("case", "seen"),
    [
        ("repeat", "one repeat of 12 stitches x 3 rows, endlessly repeated"),
        ("swatch", "a swatch of 12 stitches x 3 rows, flat on a table"),
        ("round", "a tube of 12 stitches x 3 rounds, floats inside"),
    ],
)
def test_what_stands_under_the_title(case: Case, seen: str) -> None:
    scene = scene_of(0.0)
    said = about(scene, rest_of(scene, case).mesh)
    assert said == f"The same chart at three slacks: {seen}; 20 stitches and 20 rows to 10 cm."


def test_how_to_carry_yarn_step_by_step() -> None:
    scene = scene_of(0.0)
    rest = rest_of(scene)
    every = faults(rest.floats, replace(scene.limits, longest_gap=0))
    assert list(ways(scene, rest.mesh.floats, every[:2])) == [
        "Before each change of colour spread the last 4 or 5 stitches on the right needle to their full "
        "width, as wide as they will lie in the finished piece.",
        "Lay the new yarn behind them without pulling, and knit. It lies along the spread stitches; the "
        "usual aim is 5 to 15 % more yarn than fabric. The longest float here passes behind 5 stitches: 3.0 "
        "cm from stitch to stitch, so it takes 3.1 to 3.4 cm of yarn.",
        "After some stitches pull the fabric sideways. If it won't stretch to the width of plain knitting, "
        "the floats are too short; if they hang in loops that catch a finger, they are too long.",
        "milk lies below: carry its strand under that of ink, and never swap them. The yarn that lies below stands "
        "out more.",
        "Catch what is too long to hang free: 2 floats here pass your limit of 5 stitches or 2.5 cm. Twist "
        "the two yarns round each other once, in the middle of the gap.",
        "Floats still come out short? Knit with the floats on the outside of the tube, where they have the "
        "longer way to go, and turn it when it is done.",
    ]
    one = ways(scene, rest.mesh.floats, every[:1])[4]
    assert one.startswith(
        "Catch what is too long to hang free: 1 float here passes your limit of 5 stitches or 2.5 cm."
    )
    flat = scene_of(0.0, worked="flat")
    assert list(ways(flat, rest_of(flat).mesh.floats, [])) == list(ways(scene, rest.mesh.floats, [])[:4])


def test_what_stands_at_its_foot() -> None:
    assert foot()[0] == (
        "The shapes are computed, not drawn by hand; the mechanics is checked against exact solutions, not "
        "against hand-knits. Every float is taken alike; real ones are uneven, which draws in more: knit a swatch. 1 "
        "cN is about the weight of a gram."
    )
    assert foot()[1:] == (CAUTION,)
