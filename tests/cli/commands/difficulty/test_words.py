"""What ``difficulty`` says, from results that nobody counted."""

from __future__ import annotations

from fabricsim.cli.commands.difficulty.words import tell
from fabricsim.cli.shell.recorded import Sentence, recorded
from fabricsim.design.counted.difficulty import Difficulty
from tests.cli.made_up import scene_of

OVER = "- The longest floats left open pass your limit: 'fabricsim catches' says what to do about them."
OPEN = "Floats are counted as they hang open, from catch to catch."


def said(longest: int, **floats: object) -> list[str]:
    found = Difficulty(
        rows=4,
        patterned=4,
        stack=None,
        three=0,
        floats=4,
        mean_gap=2.0,
        longest_gap=longest,
        allowed_gap=4,
        in_bands=4,
        without=0,
        changes=20.0,
    )
    scene = scene_of(0.0, floats=floats)
    return [one.text for one in recorded(lambda page: tell(page, scene, found)) if isinstance(one, Sentence)]


def test_only_floats_past_the_limit_are_to_be_caught() -> None:
    assert OVER not in said(4)
    assert OVER in said(5)


def test_where_floats_are_caught_it_is_said_how_they_are_counted() -> None:
    assert OPEN not in said(4)
    assert OPEN in said(4, catches="planned", longest_gap=1)
