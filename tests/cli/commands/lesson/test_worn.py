"""Tight and right floats on a body, from results that nobody solved."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from PIL import Image

from fabricsim.cli.commands.lesson import worn as lesson_worn
from fabricsim.cli.commands.lesson.pictures import solid_page_of, solid_said
from fabricsim.cli.commands.lesson.worn import worn_beside, worn_for_programs, worn_steps
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.bodies import Body
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form.passing import WayOn
from fabricsim.fabric.form.shapes import head
from fabricsim.fabric.form.wearing import Resting, Worn
from fabricsim.fabric.form.worn import WornFit
from fabricsim.study.forecast.sweep import Step, Sweep
from fabricsim.study.worn.on_body import Seat
from fabricsim.study.worn.putting_on import PutOn
from tests.cli.made_up import measures_of, rest_of, scene_of

TUBE = scene_of(0.0, chart={"across": 2, "up": 2})
SEAT = Seat(head(0.55), 0.0, Body.model_validate({"part": "head", "name": "woman", "cm": 55}))


def step(slack: float) -> Step:
    rest = rest_of(TUBE, "round", slack=slack)
    return Step(slack, rest, measures_of(rest))


STEPS = tuple(step(slack) for slack in (0.3, 0.1, -0.02, -0.1))


def put(off: Equilibrium, *, goes: bool, pressure: float = 400.0) -> PutOn:
    rows = off.mesh.rows
    way = WayOn(np.full(rows, 0.55), np.full(rows, 0.6 if goes else 0.5), 0)
    if not goes:
        return PutOn("head", SEAT, off, way, None, None)
    resting = Resting(0.0, off, np.ones(4), np.zeros(4), 0.0)
    fit = WornFit(np.full(rows, 0.55), np.full(rows, 0.123), np.full(rows, pressure), 7, 0.05)
    return PutOn("head", SEAT, off, way, Worn(SEAT.form, off, resting, 0.1, resting, resting), fit)


@pytest.mark.parametrize(("loosest_that_fails", "slacks"), [(-1.0, [-0.1, 0.1]), (-0.05, [-0.1, -0.02, 0.1])])
def test_right_and_the_tightest_that_goes_on_are_put_on_the_same_body(
    monkeypatch: pytest.MonkeyPatch, loosest_that_fails: float, slacks: list[float]
) -> None:
    sizes = []

    def put_on(off: Equilibrium, on: str, size: str | None, stage: Any, *, knitted: Any) -> PutOn:
        sizes.append(size)
        assert knitted is None
        slack = next(one.slack for one in STEPS if one.rest is off)
        return put(off, goes=slack > loosest_that_fails)

    monkeypatch.setattr(lesson_worn, "put_on", put_on)
    made = worn_steps(Sweep(STEPS), 0.1, "head", None, lambda *_: None)
    assert [one.slack for one, _ in made] == slacks
    assert sizes[0] is None
    assert set(sizes[1:]) == {"woman"}


def test_each_is_washed_before_where_the_scene_is(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[float | None, bool | None]] = []
    clean = rest_of(TUBE, "round", slack=0.2)

    def as_worn(_scene: Any, rest: Equilibrium, slack: float | None, inside_out: bool | None, _begun: Any) -> Any:
        asked.append((slack, inside_out))
        return clean, rest.mesh

    def put_on(off: Equilibrium, _on: str, _size: str | None, _stage: Any, *, knitted: Any) -> PutOn:
        assert off is clean
        assert knitted in [one.rest.mesh for one in STEPS]
        return replace(put(off, goes=True), washed=True)

    monkeypatch.setattr(lesson_worn, "as_worn", as_worn)
    monkeypatch.setattr(lesson_worn, "put_on", put_on)
    monkeypatch.setattr(lesson_worn, "pictures_worn", lambda worn: [Image.new("RGB", (2, 2))] * len(worn))
    made = worn_steps(Sweep(STEPS), 0.1, "head", None, lambda *_: None)
    assert asked == [(0.1, False), (-0.1, False)]
    assert worn_beside(made).said[0].startswith("The same piece, washed, on a head (woman)")
    assert all(one["washed"] for one in worn_for_programs(made))


def test_what_is_said_beside_the_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    dot = Image.new("RGB", (2, 2))
    monkeypatch.setattr(lesson_worn, "pictures_worn", lambda worn: [dot] * len(worn))
    right, near, tight = STEPS[1], STEPS[2], STEPS[3]
    worn = [
        (tight, put(tight.rest, goes=False)),
        (near, put(near.rest, goes=True, pressure=812.0)),
        (right, put(right.rest, goes=True)),
    ]
    made = worn_beside(worn)
    assert made.title == "On a head"
    assert made.said[0] == "The same piece on a head (woman), 55.0 cm round where it is widest, by the same hands."
    assert made.said[1].startswith("With 10 % too short: does it go on? No: round 1 opens to 50.0 cm at the most")
    assert "Yes, the lowest round first" in made.said[2]
    assert "Stretched by 12.3 %, 55.0 cm round; 7 of " in made.said[2]
    assert "Pressure: 810 Pa on average, most in round 1: 810 Pa; as is usual" in made.said[2]
    assert [plate.caption for plate in made.plates] == [
        "2 % too short: stretched by up to 12.3 %, 7 floats taut, 810 Pa on average",
        "10 % slack: stretched by up to 12.3 %, 7 floats taut, 400 Pa on average",
    ]
    assert "safe" not in " ".join(made.said)
    told = worn_for_programs(worn)
    assert [one["goes_on"] for one in told] == [False, True, True]
    assert told[0]["slack_percent"] == pytest.approx(-10.0)


def test_one_that_found_no_rest_is_told_without_a_picture(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lesson_worn, "pictures_worn", lambda worn: [None] * len(worn))
    lost = replace(put(STEPS[3].rest, goes=True), worn=None, fit=None, why_not="it went on and on")
    made = worn_beside([(STEPS[3], lost)])
    assert made.plates == ()
    assert made.said[1].endswith("It found no rest there: it went on and on.")


def test_the_page_in_3d_shows_the_tightest_that_went_on(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: dict[str, Any] = {}

    def page(rest: Equilibrium, **more: Any) -> str:
        asked.update(more, rest=rest)
        return "page"

    monkeypatch.setattr("fabricsim.render.handouts.lesson_solid.solid_page", page)
    right, near, tight = STEPS[1], STEPS[2], STEPS[3]
    worn = [
        (tight, put(tight.rest, goes=False)),
        (near, put(near.rest, goes=True)),
        (right, put(right.rest, goes=True)),
    ]
    with Watch() as watch:
        assert solid_page_of(tight, None, "hat.html", watch, worn) == "page"
        assert asked["rest"] is near.rest
        assert asked["form"] is SEAT.form
        assert asked["said"].startswith(
            "The fabric with its floats 2 % too short, on a head (woman), 55.0 cm round where"
        )
        assert "stretched by up to 12.3 %, 7 floats taut" in asked["said"]
        assert solid_said(tight, worn) == (
            "the fabric with its floats 2 % too short on a head, in 3-D, on a page of its own."
        )
        asked.clear()
        solid_page_of(tight, None, "hat.html", watch, worn[:1])
        assert asked["rest"] is tight.rest
        assert asked.get("form") is None
    assert solid_said(tight, worn[:1]) == "the fabric with its floats 10 % too short, in 3-D, on a page of its own."
    enough = replace(tight, slack=0.0)
    assert solid_said(enough) == "the fabric with its floats just long enough, in 3-D, on a page of its own."
