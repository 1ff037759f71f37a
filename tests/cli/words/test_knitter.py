"""What a knitter's file says, sentence by sentence."""

from __future__ import annotations

import pytest

from fabricsim.cli.words.knitter import factor_said, for_programs, hands_used, slack_said
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntSlack
from fabricsim.design.scene.model import Scene
from tests.cli.made_up import scene_of

UNTOLD = LearntFactor(value=1.0, low=0.2, high=5.0, known="not told")


def learnt(value: float, low: float, high: float, known: str = "measured") -> LearntSlack:
    return LearntSlack.model_validate({"value": value, "low": low, "high": high, "known": known})


def factor(value: float, low: float, high: float) -> LearntFactor:
    return LearntFactor(value=value, low=low, high=high, known="measured")


def hands(**more: object) -> Knitter:
    given = {"swatch": "first", "slack": learnt(-0.06, -0.09, -0.03), "stretch": UNTOLD, "bending": UNTOLD}
    return Knitter.model_validate({**given, "bending_against_stretch": 1.5, "weight": UNTOLD, **more})


def with_hands(knitter: Knitter, **floats: object) -> Scene:
    """Return a scene that takes from a knitter's file what its ``floats`` don't say."""
    said = scene_of(0.0)
    table = said.model_dump(exclude_unset=True) | {"floats": floats}
    made = Scene.model_validate(table).model_copy(update={"knitter": "my_hands.toml"})
    made._hands = knitter
    return made


@pytest.mark.parametrize(
    ("slack", "said"),
    [
        (learnt(-0.06, -0.09, -0.03), "6 % too short (3 to 9 %)"),
        (learnt(-0.06, -0.09, 0.0), "6 % too short (0 to 9 %)"),
        (learnt(0.06, 0.03, 0.09), "6 % slack (3 to 9 %)"),
        (learnt(0.02, -0.04, 0.08), "2 % slack (4 % too short to 8 % slack)"),
        (learnt(-0.02, -0.05, 0.004), "2 % too short (5 % too short to just long enough)"),
        (learnt(0.2, -0.02, 0.5, "at least"), "at least 2 % too short"),
        (learnt(0.2, 0.004, 0.5, "at least"), "at least just long enough"),
    ],
)
def test_a_slack_with_its_ends(slack: LearntSlack, said: str) -> None:
    assert slack_said(slack) == said


def test_a_factor_with_its_ends() -> None:
    assert factor_said(factor(1.3, 0.94, 1.86)) == "1.3 times (0.94 to 1.9)"


def test_which_file_and_what_it_holds_in_one_sentence() -> None:
    all_told = hands(
        slack_by_yarn={"ink": learnt(0.02, 0.01, 0.03)},
        stretch=factor(1.3, 1.0, 1.7),
        bending=factor(0.8, 0.5, 1.25),
        weight=factor(1.1, 1.05, 1.15),
    )
    assert hands_used(with_hands(all_told)) == [
        "By the knitter's file my_hands.toml: floats 6 % too short (3 to 9 %); those of ink 2 % slack (1 to 3 %); "
        "1.3 times (1 to 1.7) as stiff to stretch as was assumed; 0.8 times (0.5 to 1.2) as stiff to bend as was "
        "assumed; 1.1 times (1.1 to 1.1) as heavy."
    ]
    assert hands_used(with_hands(hands())) == ["By the knitter's file my_hands.toml: floats 6 % too short (3 to 9 %)."]


def test_where_another_slack_is_given_that_of_the_file_is_said_not_to_count() -> None:
    said = ["By the knitter's file my_hands.toml: its slack is not used, since another one is given."]
    assert hands_used(with_hands(hands(), slack=0.05)) == said
    assert hands_used(with_hands(hands()), other_slack=True) == said


def test_what_it_cannot_tell_is_said() -> None:
    untold = hands(slack=learnt(0.05, -0.1, 0.2, "not told"))
    assert hands_used(with_hands(untold)) == ["By the knitter's file my_hands.toml: it can't tell the slack."]
    one = hands(slack=untold.slack, slack_by_yarn={"ink": learnt(0.02, 0.01, 0.03)})
    assert "those of ink 2 % slack (1 to 3 %)" in hands_used(with_hands(one))[0]


def test_without_a_file_nothing_is_said() -> None:
    assert hands_used(scene_of()) == []
    assert for_programs(None) is None


def test_for_programs_units_are_in_the_keys() -> None:
    told = hands(slack_by_yarn={"ink": learnt(0.02, 0.01, 0.03)}, stretch=factor(1.3, 1.0, 1.7))
    untold = {"factor": 1.0, "low_factor": 0.2, "high_factor": 5.0, "known": "not told"}
    slack = {"percent": -6.0, "low_percent": -9.0, "high_percent": -3.0, "known": "measured"}
    assert for_programs(told) == {
        "swatch": "first",
        "slack": slack,
        "slack_by_yarn": {"ink": {"percent": 2.0, "low_percent": 1.0, "high_percent": 3.0, "known": "measured"}},
        "unevenness": None,
        "short": None,
        "stretch": {"factor": 1.3, "low_factor": 1.0, "high_factor": 1.7, "known": "measured"},
        "bending": untold,
        "bending_against_stretch_factor": 1.5,
        "weight": untold,
    }
