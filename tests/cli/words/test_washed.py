"""What washing and blocking do, in words, from results that nobody solved."""

from __future__ import annotations

import json
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest

from fabricsim.cli.words.washed import washed_figures, washed_for_programs
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures
from fabricsim.study.washed.washing import Washed


def measured(width: float, taut: int = 0) -> Measures:
    return cast(
        Measures, SimpleNamespace(widths=SimpleNamespace(width=width, overall=0.07), pull=SimpleNamespace(taut=taut))
    )


AFTER = cast(Equilibrium, SimpleNamespace(mesh=SimpleNamespace(floats=[None] * 60)))
FOUND = Washed(measured(0.467), AFTER, measured(0.476, 41), 0.056, -0.019, 0.48, 0.495, None)


def test_what_follows_is_told_beside_plain_fabric() -> None:
    assert washed_figures(FOUND) == [
        (
            "Washed",
            "plain fabric comes out 5.6 % wider and 1.9 % shorter; this 1.9 % wider: 46.7 cm to 47.6 cm, 41 of 60 "
            "floats taut then",
        ),
        (
            "Follows",
            "pulled on, its first floats are straight at 48.0 cm and half of them at 49.5 cm; beyond that a board "
            "pulls on yarn that hardly gives",
        ),
    ]


def test_without_floats_there_is_nothing_to_hold_it_back() -> None:
    none = cast(Equilibrium, SimpleNamespace(mesh=SimpleNamespace(floats=[])))
    found = replace(FOUND, after=none, first=None, half=None, taller=0.0, wider=-0.02, measured=measured(0.4577))
    assert washed_figures(found) == [
        ("Washed", "plain fabric comes out 2.0 % narrower and no taller; this 2.0 % narrower: 46.7 cm to 45.8 cm")
    ]


@pytest.mark.parametrize(
    ("pinned", "said", "not_said"),
    [
        (0.476, "as wide as it lies", "springs back"),
        (
            0.485,
            "1.9 % wider than it lies; once the pins are out between 47.6 cm (it springs back whole) and",
            "straight",
        ),
        (0.500, "so wide its floats are straight", "reported"),
        (0.54, "the most reported to have stayed in stranded work is 7.8 %", "safe"),
        (0.45, "5.5 % narrower than it lies; once the pins are out between 45.0 cm", "reported"),
    ],
)
def test_pins_keep_something_between_nothing_and_all(pinned: float, said: str, not_said: str) -> None:
    label, text = washed_figures(replace(FOUND, pinned=pinned))[-1]
    assert label == "Blocked"
    assert said in text
    assert not_said not in text


def test_programs_are_told_every_number() -> None:
    told: dict[str, Any] = json.loads(json.dumps(washed_for_programs(replace(FOUND, pinned=0.5)), allow_nan=False))
    assert told["unpinned_low_cm"] == pytest.approx(47.6)
    assert told["unpinned_high_cm"] == pytest.approx(50.0)
    assert told["wider_percent"] == pytest.approx(100.0 * (0.476 / 0.467 - 1.0))
    assert washed_for_programs(FOUND)["pinned_cm"] is None
