"""What washing and blocking do, in words, from results that nobody solved."""

from __future__ import annotations

import json
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from fabricsim.cli.words.washed import no_single_rest, rest_band, washed_figures, washed_for_programs
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures
from fabricsim.study.washed.blocking import Blocked
from fabricsim.study.washed.following import Following
from fabricsim.study.washed.washing import Washed
from tests.support.scenes import scene_of

ROWS, FLOATS = 4, 6
ROW_F = np.array([0, 0, 1, 1, 2, 2])
SCENE = scene_of(["#..#.."] * ROWS, -0.04)


def measured(width: float, taut: int = 0, taller: float = 0.0) -> Measures:
    widths = SimpleNamespace(
        width=width, overall=0.07, width_i=np.full(ROWS, width), plain_i=np.full(ROWS, 0.5), counted=slice(0, 3)
    )
    pull = SimpleNamespace(taut=taut, taut_f=np.arange(FLOATS) < taut)
    return cast(Measures, SimpleNamespace(widths=widths, pull=pull, height_change=taller))


def resting(tension: float = 0.0) -> Equilibrium:
    table = SimpleNamespace(
        node_f2=np.column_stack([ROW_F, ROW_F]), gap_f=np.full(FLOATS, 2), yarn_f=np.array([0, 1, 1, 1, 1, 0])
    )

    class Table(SimpleNamespace):
        def __len__(self) -> int:
            return FLOATS

    mesh = SimpleNamespace(floats=Table(**vars(table)), row_n=np.arange(ROWS), standing=None, rows=ROWS)
    pulls = np.linspace(0.0, tension, FLOATS)
    return cast(Equilibrium, SimpleNamespace(mesh=mesh, scene=SCENE, tension_f=pulls))


WAY = Following(
    widest_i=np.array([0.5, 0.48, 0.47, 0.5]),
    plain_i=np.full(ROWS, 0.5),
    short_f=np.array([False, True, True, True, True, False]),
    width=0.485,
    plain=0.5,
)
FOUND = Washed(measured(0.467), resting(), measured(0.476, 4, 0.02), 0.056, -0.019, 0.48, 0.495, WAY, None)


def pinned(width: float, taut: int = 5) -> Blocked:
    width_i = np.array([width, width, width, width + 0.004])
    return Blocked(width, "board", width_i, -0.03, np.arange(FLOATS) < taut, resting(0.052))


def test_what_follows_is_told_beside_plain_fabric_and_what_holds_it_back() -> None:
    assert washed_figures(FOUND, "round") == [
        (
            "Washed",
            "plain fabric comes out 5.6 % wider and 1.9 % shorter; this 1.9 % wider and 0.1 % taller, 46.7 cm to "
            "47.6 cm, 4 of 6 floats taut then",
        ),
        (
            "Follows",
            "laid flat it can follow plain fabric to 48.5 cm of 50.0 cm; 4 floats hold it back, most in rounds 3 and 2 "
            f"(6.0 % narrower there); all are of {SCENE.yarns[1].name}, behind 2 stitches",
        ),
    ]


def test_what_folds_up_in_the_wash_is_said_to() -> None:
    folded = replace(FOUND, measured=measured(0.42, 4, -0.3))
    assert washed_figures(folded, "round")[0][1].endswith(
        "4 of 6 floats taut then. So tight it folds up where nothing holds it: lay it flat to dry, and go by what it "
        "can follow"
    )


def test_where_no_float_is_short_it_follows_all_the_way() -> None:
    way = replace(WAY, short_f=np.zeros(FLOATS, dtype=bool))
    label, text = washed_figures(replace(FOUND, following=way), "round")[1]
    assert (label, text) == (
        "Follows",
        "laid flat it can follow plain fabric all the way, to 50.0 cm: every float is long enough",
    )


def test_rows_that_follow_alike_are_not_named_and_kinds_are_counted() -> None:
    way = replace(WAY, widest_i=np.full(ROWS, 0.48), short_f=np.array([True, True, True, False, False, False]))
    text = washed_figures(replace(FOUND, following=way), "round")[1][1]
    assert "most in" not in text
    assert f"2 of them are of {SCENE.yarns[1].name}" in text


def test_without_floats_there_is_nothing_to_hold_it_back() -> None:
    none = cast(Equilibrium, SimpleNamespace(mesh=SimpleNamespace(floats=[])))
    found = replace(FOUND, after=none, first=None, half=None, taller=0.0, wider=-0.02, measured=measured(0.4577))
    assert washed_figures(found, "row") == [
        (
            "Washed",
            "plain fabric comes out 2.0 % narrower and no taller; this 2.0 % narrower and no taller, 46.7 cm to "
            "45.8 cm",
        )
    ]


@pytest.mark.parametrize(
    ("width", "said", "not_said"),
    [
        (0.485, "1.9 % wider and 3.0 % shorter than it lies, 48.5 to 48.9 cm from round to round", "reported"),
        (0.485, "it is 47.6 (springs back whole) to 48.5 cm wide (keeps all)", "give way"),
        (0.485, "5 of 6 floats are taut there, the hardest in round 3 pulls with 5.2 cN", "found no rest"),
        (0.500, "so wide most floats are straight", "reported"),
        (0.540, "the most reported to have stayed in stranded work is 7.8 %", "safe"),
    ],
)
def test_pins_keep_something_between_nothing_and_all(width: float, said: str, not_said: str) -> None:
    label, text = washed_figures(replace(FOUND, blocked=pinned(width)), "round")[-1]
    assert label == "Blocked"
    assert text.startswith(f"pinned to {100.0 * width:.1f} cm it is ")
    assert said in text
    assert not_said not in text


def test_what_no_pin_pulls_and_what_finds_no_rest_is_told() -> None:
    loose = Blocked(0.45, "head", np.full(ROWS, 0.476), 0.0, np.zeros(FLOATS, dtype=bool))
    label, text = washed_figures(replace(FOUND, blocked=loose), "round")[-1]
    assert (label, text) == ("Blocked", "pinned to 45.0 cm over a head, no wider than it lies: nothing pulls on it")
    text = washed_figures(replace(FOUND, blocked=replace(loose, why_not="it went on and on")), "round")[-1][1]
    assert text.endswith("it found no rest, so far is it pulled: it went on and on")


def test_programs_are_told_every_number() -> None:
    found = replace(FOUND, blocked=pinned(0.5))
    told: dict[str, Any] = json.loads(json.dumps(washed_for_programs(found), allow_nan=False))
    assert told["unpinned_low_cm"] == pytest.approx(47.6)
    assert told["unpinned_high_cm"] == pytest.approx(50.0)
    assert told["wider_percent"] == pytest.approx(100.0 * (0.476 / 0.467 - 1.0))
    assert told["follows_to_cm"] == pytest.approx(48.5)
    assert "Crassous" in told["unpinned_high_owner"]
    third = told["rows_from_the_bottom"][2]
    assert third == pytest.approx(
        {
            "row": 3,
            "plain_cm": 50.0,
            "width_cm": 47.6,
            "follows_to_cm": 47.0,
            "floats_that_hold_it_back": 1,
            "floats_taut": 0,
            "pinned_cm": 50.0,
            "unpinned_low_cm": 47.6,
            "unpinned_high_cm": 50.0,
        }
    )
    bare = washed_for_programs(FOUND)
    assert bare["pinned_cm"] is None
    assert "pinned_cm" not in bare["rows_from_the_bottom"][0]


def test_the_dead_band_of_the_rest_width_is_told_beside_a_forecast() -> None:
    assert "would be 43.8 to 49.4 cm; what is forecast lies amid that" in no_single_rest(0.466)
    assert rest_band(0.5) == pytest.approx({"percent": 6.0, "low_cm": 47.0, "high_cm": 53.0})
