"""What a preview says of how sure it is, made from a forecast that is made up."""

from __future__ import annotations

from dataclasses import replace
from math import log
from typing import Any

import pytest

from fabricsim.cli.commands.preview.likely import hands_told, trust
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntSlack
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.study.forecast.starts import Start
from fabricsim.study.hands.prior import EVEN, Hands, hands_of
from fabricsim.units import MICROJOULE
from tests.cli.made_up import forecast_of, measures_of, pieces_of, rest_of, scene_of


@pytest.fixture(scope="module")
def repeat() -> Equilibrium:
    return rest_of(scene_of(-0.05))


def said_of(hands: Hands, scene: Scene | None = None, slack: float | None = None) -> str:
    rest = rest_of(scene or scene_of(-0.05), slack=slack)
    return hands_told(forecast_of(rest, measures_of(rest), hands=hands))


def learnt(low: float = -0.08, high: float = -0.03, *, floats: dict[str, Any] | None = None, known: Any = "measured",
           bending: float = 2.0) -> Scene:  # fmt: skip
    """Return a scene that names a knitter's file; ``floats``: what it says itself."""
    once = LearntFactor(value=1.0, low=0.5, high=2.0, known="measured")
    slack = LearntSlack(value=-0.06, low=low, high=high, known=known)
    scene = scene_of()
    scene = scene.model_copy(update={"floats": scene.floats.model_validate(floats or {}), "knitter": "h.toml"})
    scene._hands = Knitter(slack=slack, stretch=once, bending=once, weight=once, bending_against_stretch=bending)
    return scene


STIFF = ", and fabric up to 2 times as stiff or as soft"
SAME = Hands(0.03 * EVEN, 0.0, 0.0, 0.0, 2.0)
"""Hands that carry every float alike, none short."""


def test_whose_slack_the_likely_range_is_about() -> None:
    assert said_of(SAME) == f"slack as written, 3 % tighter to 3 % looser{STIFF}"
    unwritten = scene_of()
    unwritten = unwritten.model_copy(update={"floats": unwritten.floats.model_validate({})})
    anybody = replace(hands_of(unwritten).even(), short=0.0, short_spread=0.0)
    assert said_of(anybody, unwritten) == f"floats that just reach, 10 % tighter to 10 % looser{STIFF}"
    asked = replace(hands_of(unwritten, other_slack=True).even(), short=0.0, short_spread=0.0)
    assert said_of(asked, unwritten, slack=0.1) == f"slack as written, 3 % tighter to 3 % looser{STIFF}"


def test_slack_by_a_knitters_file_is_as_sure_as_it_says() -> None:
    """95 in 100 between -8 and -3 %: spread evenly, within 2.5 / 1.96 sqrt 3 = 2.2 %."""
    file = replace(SAME, slack=hands_of(learnt()).slack)
    assert said_of(file, learnt()) == f"slack as the knitter's file says, 2.2 % tighter to 2.2 % looser{STIFF}"
    assert said_of(SAME, learnt(), slack=0.02) == f"slack as written, 3 % tighter to 3 % looser{STIFF}"
    written = learnt(floats={"slack": -0.06})  # the same, but written
    assert said_of(SAME, written).startswith("slack as written, 3 %")
    dark = learnt(known="not told")
    unknown = replace(SAME, slack=hands_of(dark).slack)
    assert said_of(unknown, dark).startswith("floats that just reach, 10 % tighter to 10 % looser")


def test_slack_that_a_file_hardly_knows_is_still_that_of_the_file() -> None:
    """Between -30 and +10 %: within 18 %, which is less sure than of hands that nobody measured."""
    wide = learnt(-0.3, 0.1)
    assert said_of(replace(SAME, slack=hands_of(wide).slack), wide).startswith(
        "slack as the knitter's file says, 18 % tighter to 18 % looser"
    )


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (
            {"floats": 0.03, "unevenness_log": log(1.6) * EVEN},
            "uneven by 3 % from float to float (or 1.6 times more or less)",
        ),
        ({"floats": 0.05}, "uneven by 5 % from float to float"),
        ({"short": 0.00045, "short_spread": 0.00025 * EVEN}, "each 0.2 to 0.7 mm shorter"),
        ({"short": 0.0012}, "each 1.2 mm shorter"),
        ({"short": 0.0001, "short_spread": 0.00025 * EVEN}, "each 0.0 to 0.3 mm shorter"),  # never longer
    ],
)
def test_each_thing_that_hands_do_is_told(more: dict[str, float], said: str) -> None:
    told = said_of(replace(SAME, **more))
    assert told == f"slack as written, 3 % tighter to 3 % looser, {said}{STIFF}"


def test_stiffness_is_told_as_the_less_sure_of_both() -> None:
    assert said_of(replace(SAME, factor=1.5)).endswith(", and fabric up to 1.5 times as stiff or as soft")
    assert said_of(replace(SAME, factor=1.5, bending_factor=1.25)).endswith("up to 1.5 times as stiff or as soft")


def test_what_is_learnt_from_a_swatch_is_named_where_nobody_measured(repeat: Equilibrium) -> None:
    learns = ", and 'fabricsim calibrate' learns your hands from it, which narrows this range the most."
    pieces = pieces_of(repeat, (0.0, 0.0))
    for slack, ends in ((0.10, learns), (0.03, ".")):
        (said,) = trust(forecast_of(repeat, measures_of(repeat), pieces, hands=replace(SAME, slack=slack * EVEN)))
        assert said.endswith(f"not against hand-knits: knit a swatch{ends}")
        assert said.startswith("'Likely': nine pieces in ten lie there, of 1 knitted by hands that might be yours: ")


def test_pieces_that_crumpled_are_told(repeat: Equilibrium) -> None:
    for lost, said in (
        (1, "1 piece crumpled and found no rest; it counts as drawn in further than the rest."),
        (2, "2 pieces crumpled and found no rest; they count as drawn in further than the rest."),
    ):
        pieces = pieces_of(repeat, *[None] * lost, *[(0.0, 0.0)] * (4 - lost))
        assert trust(forecast_of(repeat, measures_of(repeat), pieces))[1:] == [said]


def test_where_nothing_floats_there_is_nothing_to_doubt_but_the_gauge() -> None:
    rest = rest_of(scene_of(0.05, ["......"] * 2))
    assert trust(forecast_of(rest, measures_of(rest))) == ["Nothing floats, so nothing is uncertain but the gauge."]


def test_a_draft_says_so(repeat: Equilibrium) -> None:
    assert trust(forecast_of(repeat, measures_of(repeat))) == [
        "This was a draft: one forecast from one start, no likely range. Leave out --draft for that."
    ]
    both = [Start("from loose to tight", MICROJOULE, measures_of(repeat))]
    assert trust(forecast_of(repeat, measures_of(repeat), (), both)) == [
        "This was a draft: one forecast, no likely range. Leave out --draft for that."
    ]
