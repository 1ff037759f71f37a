"""The words of a lesson's page, from steps that nobody solved and pictures that nobody drew."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from fabricsim.cli.commands.lesson import pictures
from fabricsim.cli.commands.lesson.data import for_programs
from fabricsim.cli.commands.lesson.options import LessonOptions
from fabricsim.cli.commands.lesson.pictures import key_slacks, page_of, solid_page_of, solid_said
from fabricsim.cli.commands.lesson.telling import uneven_told
from fabricsim.cli.commands.lesson.words import figures, summary
from fabricsim.cli.shell.options import Load
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.pins import SEEN_CURLED, STILL_PINNED
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.lying import Unpinned
from fabricsim.render.basics.scale import ColourScale
from fabricsim.render.handouts import lesson_solid
from fabricsim.render.handouts.lesson import Lesson
from fabricsim.render.handouts.lesson_pictures import Album, Views
from fabricsim.study.forecast.sweep import Step, Sweep
from tests.cli.made_up import measures_of, rest_of, scene_of
from tests.cli.printed import rounded

COLOURS = ColourScale("Pull", ("none", "hard"), (), np.zeros((1, 3)))
DOT = Image.new("RGB", (2, 2))


def step(slack: float, case: Case = "repeat", rest: Equilibrium | None = None, **measured: object) -> Step:
    rest = rest or rest_of(scene_of(0.0), case, slack=slack)
    return Step(slack, rest, measures_of(rest, **measured))  # type: ignore[arg-type]


def swept(case: Case = "repeat") -> Sweep:
    return Sweep(
        (
            step(0.3, case, spare=0.3),
            step(0.1, case, spare=0.1),
            step(-0.1, case, taut=8, lost=0.08, pucker_mm=4.0, pull_cN=0.456),
        ),
        ((-0.2, "it crumples"),),
    )


def lesson_of(
    found: Sweep,
    monkeypatch: pytest.MonkeyPatch,
    solid: str | None = None,
    both: tuple[Step, Step] | None = None,
    of: dict[int, Image.Image] | None = None,
) -> Lesson:
    """Return what is put on the page; faces ``of`` rests, by their identity, where they are to be told apart."""
    made: list[Lesson] = []

    def album(rests: list[Equilibrium], announce: Any) -> Album:
        for number in range(len(rests)):
            announce(number)
        views = tuple(Views((of or {}).get(id(rest), DOT), DOT, DOT, DOT) for rest in rests)
        return Album(views, 1e-4, 2, COLOURS)

    def page(lesson: Lesson) -> str:
        made.append(lesson)
        return "the page"

    monkeypatch.setattr(pictures, "album", album)
    monkeypatch.setattr(pictures, "lesson_page", page)
    assert page_of(found, both, solid, Watch()) == "the page"
    return made[0]


def test_the_page_in_3_d_shows_a_flat_piece_off_its_pins(monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[tuple[Equilibrium, str]] = []

    def page(rest: Equilibrium, *, said: str, **_: object) -> str:
        shown.append((rest, said))
        return "the page"

    monkeypatch.setattr(lesson_solid, "solid_page", page)
    tight = step(-0.1, "swatch")
    lying = rest_of(scene_of(0.0), "swatch")
    plain = "The fabric with its floats 10 % too short: as wide as plain fabric."
    for loose, rest, said in (
        (None, tight.rest, plain),
        (Unpinned(lying, 0.14, 0.15, 0.02), lying, f"{plain} {SEEN_CURLED}"),
        (Unpinned(None, 0.15, 0.15, 0.0), tight.rest, f"{plain} {STILL_PINNED}"),
    ):
        assert solid_page_of(tight, loose, "page.html", Watch()) == "the page"
        assert shown.pop() == (rest, said)


def test_what_is_said_beside_and_about_the_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    made = lesson_of(swept(), monkeypatch, "hat-3d.html")
    assert (made.title, made.shown, made.metres_per_px, made.lead) == ("Made up", 0, 1e-4, pictures.LEAD)
    assert made.notes == (pictures.TRUST, CAUTION)
    assert made.made == (
        ("Scene", "Made up"),
        ("Seen as", "endless repeats, far from any edge and without weight: 12 stitches x 3 rounds"),
        ("Gauge", "20 stitches and 20 rounds to 10 cm, plain, on the needles used"),
        ("Yarns", "milk (500 tex), ink (500 tex)"),
        ("Strands", "milk lies below: carry its strand under that of ink, and never swap them."),
        ("Slack", "one for all floats at a time, in place of what the scene says"),
        ("Left out", "20 % too short: no rest was found (it crumples)"),
        ("By", "fabricsim"),
    )
    assert made.scene_3d is not None
    assert (made.scene_3d.name, made.scene_3d.said) == (
        "hat-3d.html",
        "the fabric with its floats 10 % too short, in 3-D, on a page of its own.",
    )
    assert [(one.slack, one.group, one.name, one.key) for one in made.stations] == [
        (-0.1, "tight", "10 % too short", True),
        (0.1, "right", "10 % slack", True),
        (0.3, "loose", "30 % slack", True),
    ]
    assert [one.heard for one in made.stations] == [
        "10 % too short: 8.0 % narrower",
        "10 % slack: as wide as plain fabric",
        "30 % slack: as wide as plain fabric",
    ]
    assert [[plate.kind for plate in one.plates] for one in made.stations] == [["face", "back", "pull", "section"]] * 3
    assert [plate.caption for plate in made.stations[0].plates] == [
        "face",
        "back, as seen from behind",
        "back, as seen from behind: how hard the floats pull",
        "round 3 seen edge on, face up",
    ]
    assert [plate.alt for plate in made.stations[0].plates] == [
        "Face of Made up in milk and ink, 10 % too short: 8.0 % narrower, puckered.",
        "Its back, as seen from behind: 8 of 8 floats are drawn straight.",
        "The back, as seen from behind, floats coloured by pull: 8 pull, the hardest with 0.46 cN.",
        "Edge on: 4 of the 4 floats of this row lie straight behind the line of stitches and pull.",
    ]
    assert [plate.alt for plate in made.stations[1].plates] == [
        "Face of Made up in milk and ink, 10 % slack: as wide as plain fabric, flat.",
        "Its back, as seen from behind: the floats run along it without pulling.",
        "The back, as seen from behind, floats coloured by pull: none pulls; they have at least 10 % yarn to spare.",
        "Edge on: 4 floats behind the line of stitches, none of them taut, with 10 % yarn to spare on average.",
    ]
    assert [plate.alt for plate in made.stations[2].plates][
        1
    ] == "Its back, as seen from behind: the floats hang in bows."
    assert made.stations[0].figures == figures(swept().steps[-1])


def test_of_a_tube_the_outside_and_the_inside_are_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    made = lesson_of(swept("round"), monkeypatch)
    assert made.scene_3d is None
    assert [plate.caption for plate in made.stations[0].plates] == [
        "outside",
        "inside, with the near half cut away",
        "inside, with the near half cut away: how hard the floats pull",
        "half of round 3 seen edge on, outside up",
    ]
    assert made.stations[0].plates[3].alt == (
        "Edge on: 5 of the 5 floats of this row lie straight inside the round of stitches and pull."
    )
    assert made.stations[1].plates[3].alt == (
        "Edge on: 5 floats inside the round of stitches, none of them taut, with 10 % yarn to spare on average."
    )


def test_how_it_was_made_tells_of_a_tube_worked_inside_out(monkeypatch: pytest.MonkeyPatch) -> None:
    turned = rest_of(scene_of(0.1), "round", inside_out=True)
    steps = (step(0.1, rest=turned), step(-0.1, rest=turned))
    made = dict(lesson_of(Sweep(steps), monkeypatch).made)
    longer = 100.0 * (turned.mesh.floats_longer - 1.0)
    assert made["Inside out"] == (
        f"knitted with the floats outside, which makes them {longer:.1f} % longer, then turned"
    )
    assert "Left out" not in made


def test_floats_alike_and_uneven_ones_are_shown_side_by_side(monkeypatch: pytest.MonkeyPatch) -> None:
    found = swept()
    even, uneven = found.steps[1], step(0.1, taut=3, lost=0.014, pucker_mm=1.5)
    faces = {id(one.rest): Image.new("RGB", (2, 2), (shade, 0, 0)) for one, shade in ((even, 10), (uneven, 20))}
    made = lesson_of(found, monkeypatch, both=(even, uneven), of=faces)
    assert made.beside is not None
    assert made.beside.title == "The same slack, carried unevenly"
    assert [plate.caption for plate in made.beside.plates] == [
        "Every float alike: as wide as plain fabric, flat",
        "Floats uneven, the same on average: 1.4 % narrower, faintly rippled",
    ]
    assert [plate.alt for plate in made.beside.plates] == [
        "Face with every float alike: as wide as plain fabric, flat.",
        "Face with floats uneven, the same on average: 1.4 % narrower, faintly rippled.",
    ]
    assert [plate.image for plate in made.beside.plates] == [faces[id(even.rest)], faces[id(uneven.rest)]]
    assert len(made.stations) == len(found.steps)  # on the slider every float is alike
    assert lesson_of(found, monkeypatch).beside is None
    said = for_programs(found, (even, uneven), LessonOptions(Load("repeat"), (0.1,), Path("hat.html"), True), [], {})
    assert said["uneven"]["draw_in_percent"] == pytest.approx(1.4)


def test_what_uneven_floats_do_is_told() -> None:
    even = step(0.1, spare=0.1)
    slack_f = np.resize([0.13, 0.07], len(even.rest.mesh.floats))  # 3 % off, each of them
    table = replace(even.rest.mesh.floats, slack_f=slack_f)
    rest = replace(even.rest, mesh=replace(even.rest.mesh, floats=table))
    narrow, wide = (step(0.1, rest=rest, taut=3, lost=lost) for lost in (0.014, 0.0))
    first = (
        "On the left every float is alike, with 10 % slack. On the right they have the same slack on average, but two "
        "in three lie within 3 % of it and the others further off, as hands usually carry them."
    )
    assert uneven_told((even, narrow)) == [
        first,
        "The 3 that come out short pull; the others can't push, so nothing makes up for it. The fabric is 1.4 % "
        "narrower than with every float alike.",
    ]
    assert uneven_told((even, wide)) == [
        first,
        "The 3 that come out short pull; the others can't push, so nothing makes up for it. Here they are too few, or "
        "too loose, to narrow the fabric.",
    ]


def test_three_slacks_stand_for_all() -> None:
    assert key_slacks([-0.1, -0.05, 0.0, 0.05, 0.1, 0.2]) == {-0.1, 0.1, 0.2}
    assert key_slacks([0.05, 0.15]) == {0.05, 0.15}


def test_for_programs_and_in_words() -> None:
    options = LessonOptions(Load("repeat"), (0.3, 0.1, -0.1, -0.2), Path("hat.html"), True)
    files = [(Path("hat.html"), 4_321_000), (options.solid_out, 1_150_000)]
    said = for_programs(swept(), None, options, files, {"solve_s": 1.5})
    first = said["steps"][0]
    assert first.pop("said") == dict(figures(swept().steps[-1]))
    assert rounded(first) == {
        "slack_percent": -10.0,
        "width_cm": 5.52,
        "draw_in_percent": 8.0,
        "pucker_mm": 4.0,
        "floats": 8,
        "taut": 8,
        "greatest_tension_cN": 0.456,
    }
    assert rounded({key: value for key, value in said.items() if key != "steps"}) == {
        "command": "lesson",
        "title": "Made up",
        "case": "repeat",
        "files": [{"path": "hat.html", "bytes": 4321000}, {"path": "hat-3d.html", "bytes": 1150000}],
        "uneven": None,
        "no_rest": [{"slack_percent": -20.0, "because": "it crumples"}],
        "seconds": {"solve_s": 1.5},
    }
    assert [round(one["slack_percent"]) for one in said["steps"]] == [-10, 10, 30]
    assert list(summary(said)) == [
        "Made up: a lesson of 3 steps is in hat.html (4.3 MB).",
        "The fabric in 3-D is in hat-3d.html (1.1 MB).",
        "Open it in any browser; it needs no network, and prints on two sheets.",
        "No rest was found at a slack of -20 %; the page says so.",
    ]
    assert list(summary({**said, "files": said["files"][:1], "no_rest": []})) == [
        "Made up: a lesson of 3 steps is in hat.html (4.3 MB).",
        "Open it in any browser; it needs no network, and prints on two sheets.",
    ]
    assert solid_said(swept().steps[-1]) == "the fabric with its floats 10 % too short, in 3-D, on a page of its own."
