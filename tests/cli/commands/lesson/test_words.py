"""What a lesson says of each slack, from steps that nobody solved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.cli.commands.lesson.words import figures, group, narrower_said, sag_of, spare_of, verdict
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.study.forecast.sweep import Step
from tests.cli.made_up import measures_of, rest_of, scene_of


def step(slack: float = -0.05, rest: Equilibrium | None = None, **measured: object) -> Step:
    rest = rest or rest_of(scene_of(0.0), slack=slack)
    return Step(slack, rest, measures_of(rest, **measured))  # type: ignore[arg-type]


def test_tight_right_and_loose_by_the_usual_aim() -> None:
    slacks = (-0.1, -0.001, 0.0, 0.049, 0.05, 0.1, 0.15, 0.151)
    assert [group(slack) for slack in slacks] == ["tight", "tight", "", "", "right", "right", "right", "loose"]


def test_the_numbers_each_with_what_it_is() -> None:
    """The longest float passes behind 5 stitches of 5 mm, from one middle to the other 30 mm."""
    told = figures(step(-0.05, lost=0.04, pucker_mm=1.24, taut=3, pull_cN=0.456))
    assert told == (
        ("Width", "5.8 cm, 4.0 % narrower (0.2 cm)"),
        ("Pucker", "1.2 mm, faintly rippled"),
        ("Taut floats", "3 of 8 in one repeat"),
        ("Greatest pull of a float", "0.46 cN"),
        ("Yarn in the longest float", "28.5 mm to bridge 30.0 mm"),
    )
    tube = rest_of(scene_of(0.1, chart={"across": 2}), "round")
    assert figures(step(0.1, tube, pull_cN=0.3))[:4] == (
        ("Width, all round", "12.0 cm, as plain fabric"),
        ("Pucker", "0.0 mm, flat"),
        ("Taut floats", f"0 of {len(tube.floats)}"),
        ("Greatest pull of a float", "none"),
    )


@pytest.mark.parametrize(
    ("lost", "said"),
    [(0.0, "as wide as plain fabric"), (0.00049, "as wide as plain fabric"), (0.0005, "0.1 % narrower")],
)
def test_how_wide_in_a_few_words(lost: float, said: str) -> None:
    assert narrower_said(step(lost=lost).measures) == said


def test_what_a_slack_does_in_one_line() -> None:
    assert verdict(step(lost=0.04, taut=1)) == "The floats pull: 4.0 % narrower and flat."
    assert verdict(step(lost=0.04, taut=1, pucker_mm=9)) == "The floats pull: 4.0 % narrower and deeply puckered."
    assert verdict(step(lost=0.0004, taut=1)) == "A few floats are taut; the width hardly changes."
    assert verdict(step(0.05)) == "Nothing pulls: as wide as plain fabric and flat."
    assert verdict(step(0.15)) == "Nothing pulls: as wide as plain fabric and flat."
    assert verdict(step(lost=0.04, taut=1, crossing=1)) == (
        "So tight that the fabric passes through itself here: don't trust this step."
    )


def parabola(chord: float, sag: float) -> float:
    """Return the length of a parabola, summed up of ten thousand straight parts."""
    x = np.linspace(0.0, 1.0, 10_001)
    return float(np.hypot(np.diff(x) * chord, np.diff(4.0 * sag * x * (1.0 - x))).sum())


def test_how_far_the_longest_float_hangs() -> None:
    """As far as a parabola of its length does."""
    one = step(0.2)
    sag = sag_of(one)
    assert parabola(0.030, sag) == pytest.approx(1.2 * 0.030, rel=1e-6)
    assert verdict(one) == f"Nothing pulls, but the longest float hangs {1000 * sag:.0f} mm off the back."
    straight = replace(one.rest, chord_f=one.rest.mesh.floats.length_f)
    assert sag_of(replace(one, rest=straight)) == 0.0


def test_worked_inside_out_floats_hold_more_than_their_slack() -> None:
    scene = scene_of(0.02, chart={"across": 2})
    assert spare_of(step(0.02, rest_of(scene, "round"))) == pytest.approx(0.02)
    turned = rest_of(scene, "round", inside_out=True)
    assert spare_of(step(0.02, turned)) == pytest.approx(1.02 * turned.mesh.floats_longer - 1.0)
