"""The lines of needle corners in words, from results that nobody solved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fabricsim.cli.words.corners import corner_figure, corners_for_programs
from fabricsim.fabric.corner_line import CornerLine
from tests.cli.made_up import scene_of

LINE = CornerLine(np.array([0, 12]), 31, 9, 20, 0.25)


def test_which_stitches_and_what_comes_of_it() -> None:
    scene = scene_of(0.0, floats={"needles": "magic loop"})
    label, said = corner_figure(scene, LINE, 24, "round")
    assert label == "Corners"
    assert said == (
        "by magic loop 31 floats in 9 rounds lie round a corner, after stitch 12 and 24, and are 10 % shorter; 20 of "
        "them are taut, and stitches along these lines are 25.0 % narrower than the others. Knitted inside out "
        "(--inside-out) they go round outside and lose nothing"
    )
    loose = corner_figure(scene, replace(LINE, taut=0, narrower=0.0), 24, "round")[1]
    assert "0 of them are taut, and they leave no line of narrower stitches" in loose


def test_needles_have_their_names() -> None:
    for needles, named in (("double-pointed", "on four double-pointed needles"), ("two circulars", "on two circular")):
        assert corner_figure(scene_of(0.0, floats={"needles": needles}), LINE, 24, "round")[1].startswith(named)


def test_programs_are_told_too() -> None:
    assert corners_for_programs(LINE, 24) == {
        "after_stitches": [12, 24], "floats": 31, "rounds": 9, "taut": 20, "narrower_percent": 25.0,
    }  # fmt: skip
