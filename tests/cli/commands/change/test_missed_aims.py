"""What is said of aims that are missed."""

from __future__ import annotations

from dataclasses import replace

from fabricsim.cli.commands.change.missed_aims import against_one_another, misses_said
from fabricsim.study.change.aims import Aims
from fabricsim.study.change.found_ways import ChangeWay
from tests.cli.commands.change.made_up import AIMS, ONE, told, tried
from tests.cli.made_up import scene_of


def test_an_aim_met_to_the_last_digit_printed_is_met() -> None:
    assert tried(scene_of(), 0.03004, 0.5, 0).misses(AIMS) == ()
    assert tried(scene_of(), 0.0301, 0.5, 0).misses(AIMS) == ("may_lose",)


def test_nothing_is_missed_by_nothing() -> None:
    assert misses_said(AIMS, tried(scene_of(), 0.0304, 0.5, 0)) == "the width by less than 0.1 %"
    assert misses_said(AIMS, tried(scene_of(), 0.0312, 0.5, 0)) == "the width by 0.1 %"


def test_aims_that_contradict_each_other_are_said_to() -> None:
    kept = ChangeWay("carrying", ONE, tried(scene_of(), 0.02, 2.5, 0))
    flat = ChangeWay("both", ONE, tried(scene_of(), 0.052, 0.5, 0))
    assert against_one_another(told(kept, flat).found) == [
        "What is wanted contradicts itself here: with the width kept it misses flat by 1.5 mm; with the fabric flat it "
        "misses the width by 2.2 %."
    ]
    both = ChangeWay("both", ONE, tried(scene_of(), 0.02, 0.5, 0))
    assert against_one_another(told(kept, flat, both).found) == []
    assert against_one_another(told().found) == []


def test_what_nothing_gets_over_is_said_by_how_much() -> None:
    wanted = Aims(within=False, over="arm", size="woman")
    short = ChangeWay("both", ONE, replace(tried(scene_of(), 0.02, 0.5, 0), lacking=0.034))
    made = told(short)
    found = replace(made.found, aims=wanted, now=replace(made.found.now, lacking=0.05))
    (said,) = against_one_another(found)
    assert said == "Out of reach of all that was tried: going over an arm (woman), by 3.4 %, at the least."


def test_what_nothing_that_was_tried_reaches_is_said_with_what_it_misses() -> None:
    ways = [ChangeWay("both", ONE, tried(scene_of(), lost, 2.0, 2)) for lost in (0.06, 0.045)]
    assert against_one_another(told(*ways).found) == [
        "Out of reach of all that was tried: the width, by 1.5 %, flat, by 1.0 mm and your limit, by 2 floats, at the "
        "least."
    ]
