"""A steek in words: where its stitches are, how long its floats get, how it is cut."""

from __future__ import annotations

import pytest

from fabricsim.cli.words.steeks import CUT_ONCE, longest_in_steek, steek_counted, steek_opened, steek_said
from fabricsim.design.scene.model import Scene
from tests.cli.made_up import scene_of


def cut(stitches: int, **more: object) -> Scene:
    return scene_of(0.0, chart={"across": 3}, steek={"stitches": stitches, **more})


PLACED = (
    "The steek, stitches for cutting: the first {} of every round and the last {}. They are in all counts here and in "
    "the yarn, but no part of the width."
)


@pytest.mark.parametrize(("stitches", "right", "left"), [(6, 3, 3), (7, 4, 3)])
def test_where_its_stitches_are_and_how_its_yarns_take_turns(stitches: int, right: int, left: int) -> None:
    scene = cut(stitches, pattern="checks")
    assert longest_in_steek(scene) == 1
    first, second = steek_said(scene)
    assert first == PLACED.format(right, left) + (
        " In rounds of several colours their yarns take turns, stitch by stitch, in checks, so that no float there "
        "passes behind more than 1 stitch. These floats count against no limit, and what is forecast is the piece cut "
        "open, without them."
    )
    assert second == (
        "The rounds begin in the middle of the steek: join and break yarns there, and leave their ends hanging, since "
        "they are cut off with it. The step from round to round lies there too, so that no line of the pattern is "
        "broken."
    )
    assert steek_counted(scene) == f", {stitches} of them for the steek"


def test_in_one_colour_nothing_floats_there() -> None:
    scene = scene_of(0.0, ["............"] * 2, chart={"across": 3}, steek={"stitches": 6})
    assert longest_in_steek(scene) == 0
    assert steek_said(scene)[0] == PLACED.format(3, 3)


def test_it_is_cut_where_no_line_is_and_sewn_on_both_sides() -> None:
    caution, sewn, opened, turned = steek_opened(cut(6))
    odd = steek_opened(cut(7))
    assert steek_opened(cut(9)) == odd
    assert steek_opened(cut(10))[1:3] == [sewn, opened]
    assert caution == odd[0] == CUT_ONCE
    assert "sew up stitch 1 and up the last stitch of all rounds, from cast-on to bind-off and back" in sewn
    assert "sew up stitch 2 and up the last stitch of all rounds" in odd[1]
    assert "scissors cut between stitch 1 and the last stitch of the rounds" in opened
    assert "scissors cut the middle of stitch 1 of the rounds" in odd[2]
    assert opened.startswith("Cut it: lay a card inside")
    assert "sew it down loosely over its raw edge" in turned


def test_without_one_there_is_nothing_to_say() -> None:
    scene = scene_of()
    assert (steek_counted(scene), steek_said(scene), steek_opened(scene)) == ("", [], [])
