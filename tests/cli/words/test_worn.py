"""How a piece sits, in words, from results that nobody solved."""

from __future__ import annotations

import json
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from fabricsim.cli.words import worn as words_of_worn
from fabricsim.cli.words.on_form import for_programs
from fabricsim.cli.words.worn import goes_on, lies_on, pressure, stays, where_on, worn_figures
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.shaped_piece import shaped_rows
from fabricsim.design.scene.bodies import Body
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form.passing import WayOn
from fabricsim.fabric.form.shapes import hand, head
from fabricsim.fabric.form.wearing import Resting, Worn
from fabricsim.fabric.form.worn import WornFit
from fabricsim.study.worn.on_body import Seat
from fabricsim.study.worn.putting_on import PutOn
from tests.support.scenes import scene_of

MESH = SimpleNamespace(floats=[None] * 40, row_height=0.004, standing=None, rows=2)
OFF = cast(Equilibrium, SimpleNamespace(mesh=MESH, scene=SimpleNamespace(worked="round")))
SEAT = Seat(head(0.55), 0.0, Body.model_validate({"part": "head", "name": "woman", "cm": 55}))
WAY = WayOn(np.array([0.558, 0.558]), np.array([0.60, 0.57]), 0)


def resting(friction: float, rides: float = 0.0, push: float = 1.0) -> Resting:
    return Resting(friction, OFF, np.full(4, push), np.zeros(4), rides)


def worn(slick: Resting | None, firm: Resting | None, needs: float = 0.1) -> Worn:
    return Worn(SEAT.form, OFF, resting(0.0), needs, slick, firm)


HELD = worn(resting(0.2), resting(0.5), 0.034)
FIT = WornFit(np.array([0.55, 0.558]), np.array([0.10, 0.123]), np.array([403.0, 812.0]), 31, 0.126)
PUT = PutOn("head", SEAT, OFF, WAY, HELD, FIT)


def test_all_of_it() -> None:
    assert worn_figures(PUT, "round") == [
        ("On", "a head (woman), 55.0 cm round where it is widest"),
        (
            "Goes on",
            "yes, the lowest round first; round 2 opens to 57.0 cm at the most and must pass 55.8 cm, 2 % to spare",
        ),
        (
            "Worn",
            "stretched by 10.0 to 12.3 %, 55.0 to 55.8 cm round; 31 of 40 floats are taut there, the hardest pulls "
            "with 13 cN",
        ),
        (
            "Pressure",
            "610 Pa on average, most in round 2: 810 Pa; as is usual under support stockings, 600 to 1,800 Pa",
        ),
        ("Stays", "it holds where it was put, on smooth hair or skin too (it needs a friction of 0.03)"),
    ]


@pytest.mark.parametrize(
    ("pinned_cm", "said"), [(None, "; put on washed"), (52.0, "; put on washed, not as pinned out")]
)
def test_what_was_washed_before_is_said_everywhere(pinned_cm: float | None, said: str) -> None:
    gauge = SimpleNamespace(washed=SimpleNamespace(pinned_cm=pinned_cm))
    off = cast(Equilibrium, SimpleNamespace(mesh=MESH, scene=SimpleNamespace(worked="round", gauge=gauge)))
    clean = replace(PUT, off=off, washed=True)
    assert worn_figures(clean, "round")[0] == ("On", f"a head (woman), 55.0 cm round where it is widest{said}")
    assert worn_figures(replace(clean, worn=None), "round")[0][1].endswith(said)
    assert (lies_on(clean), lies_on(PUT)) == ("washed, on a head", "on a head")
    assert (for_programs(clean)["washed"], for_programs(PUT)["washed"]) == (True, False)


def test_rounds_that_do_not_touch_are_counted_and_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    fit = replace(FIT, pressure_i=np.array([0.0, 812.0]), taut=0)
    monkeypatch.setattr(words_of_worn, "row_said", lambda _scene, _mesh, row: f"round {row + 1}")
    drawn = SimpleNamespace(**{**vars(MESH), "standing": SimpleNamespace(apex=9), "rows": 3})
    crowned = replace(PUT, off=cast(Equilibrium, SimpleNamespace(mesh=drawn, scene=OFF.scene)))
    fits = [
        replace(FIT, girth_i=np.append(FIT.girth_i, 0.0), stretch_i=np.append(FIT.stretch_i, 0.0), pressure_i=push_i)
        for push_i in (np.array([0.0, 812.0, 0.0]), np.array([403.0, 812.0, 0.0]))
    ]
    one, all_of_them = (dict(worn_figures(replace(crowned, fit=fit), "round"))["Worn"] for fit in fits)
    assert one.startswith("1 round of 2 touch; these stretched by ")
    assert all_of_them.startswith("stretched by ")
    lines = dict(worn_figures(replace(PUT, fit=fit), "round"))
    assert (
        lines["Worn"] == "1 round of 2 touch; these stretched by 12.3 %, 55.8 cm round; 0 of 40 floats are taut there"
    )
    assert "810 Pa on average" in lines["Pressure"]


@pytest.mark.parametrize(
    ("factor", "said"),
    [(0.2, "less than is usual"), (1.0, "as is usual"), (3.2, "more than is usual"), (3.2, "2,600 Pa; more")],
)
def test_pressure_is_laid_beside_what_is_usual(factor: float, said: str) -> None:
    assert said in pressure(replace(PUT, fit=replace(FIT, pressure_i=factor * FIT.pressure_i)))


def test_what_is_felt_as_tight_is_said_and_nothing_is_called_safe() -> None:
    told = pressure(replace(PUT, fit=replace(FIT, pressure_i=3.2 * FIT.pressure_i)))
    assert told.endswith("and 1,960 Pa and more are felt as tight")
    assert "felt" not in pressure(PUT)
    assert "safe" not in " ".join(text for _, text in worn_figures(PUT, "round"))


def test_what_does_not_go_on_says_which_round_and_how_many() -> None:
    way = replace(WAY, opens_i=np.array([0.55, 0.54]))
    assert goes_on(replace(PUT, way=way), "round") == (
        "no: round 2 opens to 54.0 cm at the most and must pass 55.8 cm; 2 rounds don't pass. More stitches, or looser "
        "floats"
    )
    one = replace(WAY, opens_i=np.array([0.55, 0.6]), first=1)
    lines = worn_figures(replace(PUT, way=one, worn=None, fit=None), "round")
    assert lines[1][1].startswith("no: round 1 opens to 55.0 cm at the most and must pass 55.8 cm; it doesn't pass")
    assert len(lines) == 2


def test_what_is_too_wide_hangs_loose() -> None:
    lines = worn_figures(replace(PUT, worn=None, fit=None), "round")
    assert lines[-1] == ("", "it is wider than that all along, and hangs loose: nothing holds it")


@pytest.mark.parametrize(
    ("slick", "firm", "said"),
    [
        (resting(0.2), resting(0.5), "it holds where it was put, on smooth hair or skin too"),
        (None, resting(0.5), "it holds where friction is 0.5, it slips off where it is 0.2 (it needs 0.10 to hold)"),
        (resting(0.2, 0.012), resting(0.5), "it holds where friction is 0.5, it rides up by 1.2 cm where it is 0.2"),
        (resting(0.2, -0.012), resting(0.5, -0.008), "it rides down by 0.8 cm, where friction is 0.5 and where it is"),
        (resting(0.2, 0.03), None, "it slips off, where friction is 0.5 and where it is 0.2"),
        (resting(0.2, 0.01, push=0.1), resting(0.5), "it slips off where it is 0.2"),
    ],
)
def test_whether_it_stays(slick: Resting | None, firm: Resting | None, said: str) -> None:
    assert said in stays(worn(slick, firm))


def test_programs_are_told_every_number() -> None:
    told: dict[str, Any] = json.loads(json.dumps(for_programs(PUT), allow_nan=False))
    assert told["rounds_from_the_bottom"][1] == {
        "round": 2,
        "name": "round 2",
        "must_pass_cm": pytest.approx(55.8),
        "opens_to_cm": pytest.approx(57.0),
        "girth_cm": pytest.approx(55.8),
        "stretch_percent": pytest.approx(12.3),
        "pressure_Pa": 812.0,
    }
    assert (told["body"], told["goes_on"], told["tightest_round"]) == ("woman", True, 2)
    assert told["firm"] == {"friction": 0.5, "rides_up_cm": 0.0, "answer": "holds"}
    without: dict[str, Any] = for_programs(replace(PUT, worn=None, fit=None))
    assert without["hangs_loose"] is True
    assert without["slick"] is None


def test_rounds_of_a_whole_hat_are_called_as_its_pattern_calls_them() -> None:
    scene = scene_of(["#..."] * 2, 0.05, item="hat", chart={"across": 12}, sizes={"rib": "1x1", "rib_cm": 1})
    names = [row.name for row in shaped_rows(piece_of(scene)).rows]
    rows = len(names) + 1
    mesh = SimpleNamespace(floats=[], row_height=0.004, standing=SimpleNamespace(apex=7), rows=rows)
    way = WayOn(np.full(rows, 0.5), np.append(np.full(rows - 1, 0.6), 0.1), 0)
    put = replace(PUT, off=cast(Equilibrium, SimpleNamespace(mesh=mesh, scene=scene)), way=way, fit=None, worn=None)
    told = for_programs(put)["rounds_from_the_bottom"]
    assert [one["name"] for one in told] == [*names, "the drawn-up top"]
    assert names[0].startswith("rib")
    put = replace(put, way=replace(way, opens_i=np.where(np.arange(rows) == 1, 0.4, 0.6)))
    assert f"{names[1]} opens to 40.0 cm" in goes_on(put, "round")


def test_a_hand_is_told_as_it_goes_through_where_that_is_wider() -> None:
    body = Body.model_validate({"part": "hand", "name": "child", "cm": 14.5})
    through = replace(PUT, seat=Seat(hand(0.145, 0.167), 0.0, body))
    assert where_on(through) == "a hand (child), 14.5 cm round where it is widest, 16.7 cm as it goes through"
    narrow = replace(PUT, seat=Seat(hand(0.145, 0.14), 0.0, body))
    assert where_on(narrow) == "a hand (child), 14.5 cm round where it is widest"
