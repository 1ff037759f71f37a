"""Which strand lies below, as it is said."""

from __future__ import annotations

from fabricsim.cli.words.strands import strands_said
from tests.support.scenes import scene_of


def test_of_two_yarns_the_lower_is_named_first_by_whatever_they_are_called() -> None:
    rows = [".#..", "...."]
    assert strands_said(scene_of(rows)) == ". lies below: carry its strand under that of #, and never swap them."
    scene = scene_of(rows, floats={"below": "#"})
    assert strands_said(scene) == "# lies below: carry its strand under that of ., and never swap them."
    called = {0: "MC", 1: "CC"}
    assert strands_said(scene, called) == "CC lies below: carry its strand under that of MC, and never swap them."


def test_three_are_listed_from_below_and_a_yarn_that_is_never_carried_is_not() -> None:
    three = scene_of(["#..#", "o..."], floats={"below": ["o"]})
    assert strands_said(three) == (
        "Strands from below: o, . and #. Of the yarns of a row carry the first of these lowest; never swap."
    )
    assert strands_said(scene_of(["#..#", "oooo"])) == (
        ". lies below: carry its strand under that of #, and never swap them."
    )
    assert strands_said(scene_of(["....", "####"])) is None
