"""The lines of needle corners in words, from results that nobody solved."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from fabricsim.cli.words.corners import corner_figure, corners_for_programs, turned_figure
from fabricsim.fabric.corner_line import CornerLine, TurnedOut
from fabricsim.fabric.measures import Measures
from tests.cli.made_up import scene_of

LINE = CornerLine(np.array([0, 12]), 31, np.arange(9), 20, 0.25, 4e-4)


def test_which_stitches_and_what_comes_of_it() -> None:
    scene = scene_of(0.0, floats={"needles": "magic loop"})
    label, said = corner_figure(scene, LINE, 24, "round")
    assert label == "Corners"
    assert said == (
        "by magic loop 31 floats in 9 rounds lie round a corner, after stitch 12 and 24, and are 10 % shorter; 20 of "
        "them are taut, and stitches along these lines are 25.0 % narrower than the others and stand 0.4 mm further "
        "out, in a ridge. Knitted inside out (--inside-out) they go round outside and lose nothing"
    )
    shaped = corner_figure(scene, LINE, 24, "round", "round 3")[1]
    assert ", after stitch 12 and 24 of round 3 and over the same stitches further up, and are 10 %" in shaped
    loose = corner_figure(scene, replace(LINE, taut=0, narrower=0.0, ridge=0.0), 24, "round")[1]
    assert "0 of them are taut, and they leave no line of narrower stitches" in loose


def test_needles_have_their_names() -> None:
    for needles, named in (("double-pointed", "on four double-pointed needles"), ("two circulars", "on two circular")):
        assert corner_figure(scene_of(0.0, floats={"needles": needles}), LINE, 24, "round")[1].startswith(named)


def turned(narrower: float, loss: float) -> TurnedOut:
    measures = SimpleNamespace(widths=SimpleNamespace(overall=loss), pull=SimpleNamespace(taut=3))
    return TurnedOut(cast(Measures, measures), narrower, 1e-5)


def test_what_comes_of_it_inside_out_stands_beside_it() -> None:
    assert turned_figure(turned(0.02, 0.031), LINE) == (
        "Inside out",
        "knitted so by the same hands: stitches along those lines 2.0 % narrower than the others in place of 25.0 %; "
        "3.1 % narrower than plain all round, 3 floats taut",
    )
    said = turned_figure(turned(0.0, 0.0), LINE)[1]
    assert said == "knitted so by the same hands: no line at all; as wide as plain all round, 3 floats taut"


def test_programs_are_told_too() -> None:
    told = {
        "after_stitches": [12, 24], "floats": 31, "rounds": 9, "in_rounds": list(range(1, 10)), "taut": 20,
        "narrower_percent": 25.0, "ridge_mm": pytest.approx(0.4),
    }  # fmt: skip
    assert corners_for_programs(LINE, 24) == told
    assert corners_for_programs(LINE, 24, below=5)["in_rounds"] == list(range(-4, 5))
    beside = corners_for_programs(LINE, 24, turned(0.02, 0.031))
    assert beside.pop("inside_out") == pytest.approx(
        {"draw_in_percent": 3.1, "floats_taut": 3, "narrower_percent": 2.0, "ridge_mm": 0.01}
    )
    assert beside == told
