"""What stands in a report, from results that nobody solved."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from fabricsim.cli.commands.report import gathering
from fabricsim.cli.commands.report.pictures import schematic
from fabricsim.cli.commands.report.words import about, blocks_of, forecast_told, ticked, worksheet
from fabricsim.cli.shell.answer import Answer
from fabricsim.cli.shell.options import Load
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.shell.recorded import Sentence
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.cautions import CAUTION, cautions
from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.piece.making import piece_of
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene, scene_hash
from fabricsim.render.handouts.report import Block, Fields, Figure, Figures, Items, Notes, Report, TableBlock, Text
from fabricsim.study.forecast.forecast import Forecast
from tests.cli.made_up import forecast_of, measures_of, pieces_of, rest_of, scene_of

SCENES = Path(__file__).parents[4] / "scenes"


def test_what_is_left_over_is_what_is_left_of_the_balls() -> None:
    scene = scene_of(0.0)
    rest, amounts = rest_of(scene), yarn_amounts(scene)
    (fields,) = (
        one
        for one in worksheet(piece_of(scene), forecast_of(rest, measures_of(rest)), amounts)
        if isinstance(one, Fields)
    )
    lines = {what: forecast for what, forecast, _ in fields.lines}
    for one in amounts.yarns:
        yarn = scene.yarns[one.yarn]
        grams = one.balls * yarn.ball_grams - 1000.0 * one.mass
        assert lines[f"left over of {yarn.name}"] == f"{grams:.0f} g of {one.balls} ball{'s' if one.balls > 1 else ''}"


def test_a_page_has_lists_and_tables_where_a_command_says_them() -> None:
    scene = scene_of(0.0)
    table = Table("Two lines", {"": "left", "cm": "right"}, [["wide", "3"], ["tall", "4"]], bold={1})
    parts: list[Sentence | Table] = [
        Sentence(scene.title, bold=True), Sentence("First"), Sentence("  - one"), Sentence("- two"), Sentence(""),
        table, Sentence("Bold", bold=True), Sentence(CAUTION), Sentence("- three"),
    ]  # fmt: skip
    assert blocks_of(scene, parts) == [
        Text("First"),
        Items(("one", "two")),
        TableBlock("Two lines", (("", "left"), ("cm", "right")), (("wide", "3"), ("tall", "4")), frozenset({1})),
        Text("Bold", strong=True),
        Items(("three",)),
    ]


def test_every_row_gets_a_box_to_tick() -> None:
    blocks: list[Block] = [Text("Key"), Text("Rnd 1: k all MC."), Text("Rnds 2-3: as rnd 1."), Text("Row 4: p.")]
    assert ticked(blocks) == [
        Text("Key"),
        Items(("Rnd 1: k all MC.", "Rnds 2-3: as rnd\N{NO-BREAK SPACE}1.", "Row 4: p."), tick=True),
    ]


def test_what_stands_under_the_title() -> None:
    assert about(piece_of(scene_of(0.0, item="hat"))) == (
        "12 stitches x 13 rounds (hat), worked in the round, at 20 stitches and 20 rows to 10 cm of plain knitting, "
        "in milk, ink.",
    )
    told = scene_of(0.0, worked="flat", story="  Knitted\n  at sea. ")
    assert about(piece_of(told)) == (
        "Knitted at sea.",
        "12 stitches x 3 rows, worked flat, at 20 stitches and 20 rows to 10 cm of plain knitting, in milk, ink.",
    )


def test_the_forecast_and_what_to_do_about_it() -> None:
    scene = scene_of(-0.05, floats={"longest_gap": 3})
    rest = rest_of(scene)
    blocks = forecast_told(forecast_of(rest, measures_of(rest, lost=0.04, taut=3, pull_cN=1.2, touching=2)))
    assert [type(one).__name__ for one in blocks] == ["Text", "Text", "TableBlock", "Text", "Items"]
    assert blocks[0] == Text("Seen as endless repeats, far from any edge and without weight: 12 stitches x 3 rounds.")
    assert blocks[1] == Text("So tight, the fabric folds onto itself (2 stitches touch).")
    assert isinstance(blocks[2], TableBlock)
    assert (blocks[2].title, blocks[2].headings) == ("The forecast", (("", "left"), ("", "left")))
    assert blocks[2].lines[0] == (
        "Floats",
        "8 in one repeat; 2 over your limit of 3 stitches (the longest passes behind 5 stitches, 2.5 cm)",
    )
    assert blocks[3] == Text("What to do", strong=True)
    assert isinstance(blocks[4], Items)
    assert blocks[4].items[0].startswith("Catch the 2 floats over your limit (in chart row 3;")


def test_what_a_test_knitter_measures() -> None:
    scene = scene_of(0.0)
    rest, amounts = rest_of(scene), yarn_amounts(scene)
    shown = measures_of(rest, lost=0.04, pucker_mm=1.24)
    text, fields, notes = worksheet(
        piece_of(scene), forecast_of(rest, shown, pieces_of(rest, *[(0.1, 2.0)] * 4)), amounts
    )
    assert text == Text(
        "Measure flat and relaxed, after washing if it will be washed, and write it beside the forecast."
    )
    assert isinstance(fields, Fields)
    assert list(fields.lines) == [
        ("stitches to 10 cm, plain", "20", ""),
        ("rows to 10 cm, plain", "20", ""),
        ("width, colourwork", "5.8 cm (5.4 to 5.8)", "cm"),
        ("width, plain, of as many stitches", "6.0 cm", "cm"),
        ("height, cast-on to last row", "1.5 cm by the gauge", "cm"),
        ("pucker, from peak to valley", "1.2 mm", "mm"),
        ("stretched as far as it goes with ease", "", "cm"),
        ("weight of the finished piece", "1 g", "g"),
        ("left over of milk", "49 g of 1 ball", "g"),
        ("left over of ink", "50 g of 1 ball", "g"),
        ("needles, yarns, how long it took", "", ""),
    ]
    assert notes == Notes("Rows that were hard to follow, floats that pulled or hung, what you would change:")
    tube = rest_of(scene, "round")
    (_, girth, _) = worksheet(piece_of(scene), forecast_of(tube, measures_of(tube, lost=0.04)), amounts)
    assert isinstance(girth, Fields)
    assert girth.lines[2:4] == (
        ("girth, colourwork", "5.8 cm", "cm"),
        ("girth, plain, of as many stitches", "6.0 cm", "cm"),
    )


@pytest.fixture
def no_solve(monkeypatch: pytest.MonkeyPatch) -> None:
    """A report without a solve and without pictures: what is made up stands in for both."""

    def made(scene: Scene, case: Case, **_: object) -> Forecast:
        rest = rest_of(scene, case)
        return forecast_of(rest, measures_of(rest, lost=0.04 if len(rest.floats) else 0.0))

    picture = Figure(Image.new("RGB", (4, 4)), "drawn", "what is drawn")
    monkeypatch.setattr(gathering, "forecast", made)
    monkeypatch.setattr(gathering, "of_fabric", lambda *_: (picture,))
    monkeypatch.setattr(gathering, "charted", lambda _: (picture,))
    monkeypatch.setattr(gathering, "schematic", lambda _: picture)
    monkeypatch.setattr(gathering, "in_other_eyes", lambda _: picture)
    monkeypatch.setattr(gathering, "back_map", lambda *_: picture)
    answer = Answer(lambda page: page.say("as slack as that"), {"command": "slack"}, [])
    monkeypatch.setattr(gathering.slack, "answer_of", lambda *_: answer)


def gathered_of(scene: Scene, *, draft: bool = True) -> tuple[Report, dict[str, Any]]:
    return gathering.gathered(scene, None, Load("repeat"), Watch(), draft=draft)


CHAPTERS = [
    ("forecast", "What to expect"),
    ("slack", "How slack to carry the floats"),
    ("chart", "The chart"),
    ("colours", "The colours"),
    ("difficulty", "How hard it is"),
    ("floats", "Floats and yarn carried up"),
    ("catches", "Where to catch"),
    ("sizes", "Sizes"),
    ("yarn", "Yarn"),
    ("rounds", "The pattern, round by round"),
    ("mine", "Your own piece"),
]


def figures_in(page: Report) -> list[str]:
    return [one.key for one in page.chapters if any(isinstance(block, Figures) for block in one.blocks)]


def test_the_chapters_in_their_order_and_what_each_command_says(no_solve: None) -> None:
    scene = scene_of(-0.05, item="hat", chart={"across": 2}, floats={"longest_gap": 3, "catches": "planned"})
    page, said = gathered_of(scene)
    assert [(one.key, one.title) for one in page.chapters] == CHAPTERS
    assert list(said["parts"]) == [
        "preview", "slack", "colours", "difficulty", "floats", "catches", "sizes", "yarn_by_size", "yarn", "rounds",
    ]  # fmt: skip
    assert {key: part["command"] for key, part in said["parts"].items()} == {
        key: key.removesuffix("_by_size") for key in said["parts"]
    }
    assert figures_in(page) == ["forecast", "chart", "colours", "catches", "rounds"]
    assert (page.title, page.about, page.cautions) == (scene.title, about(piece_of(scene)), cautions(scene))
    assert page.foot == ("This was a draft: one forecast from one start, no likely range. Leave out --draft for that.",)
    of_yarn = page.chapters[8].blocks
    assert Text("For every size", strong=True) in of_yarn
    ticked_off = [one.items for one in page.chapters[9].blocks if isinstance(one, Items) and one.tick]
    assert ticked_off[0][0].startswith("Cast on: ")
    assert ticked_off[-1][-1].startswith("Draw together: ")
    assert page.chapters[1].blocks == (Text("as slack as that"),)
    assert {key: said[key] for key in ("schema_version", "command", "title", "scene_hash", "cautions")} == {
        "schema_version": 1, "command": "report", "title": "Made up", "scene_hash": scene_hash(scene),
        "cautions": list(cautions(scene)),
    }  # fmt: skip


def test_chapters_that_have_nothing_to_say_are_left_out(no_solve: None) -> None:
    page, said = gathered_of(scene_of(0.05, ["...."] * 2, worked="flat"))
    keys = [one.key for one in page.chapters]
    assert keys == [key for key, _ in CHAPTERS if key not in ("slack", "sizes")]
    assert page.chapters[-2].title == "The pattern, row by row"
    assert figures_in(page) == ["forecast", "chart"]
    assert "yarn_by_size" not in said["parts"]


@pytest.mark.parametrize(
    ("name", "end"), [("tapered_sleeve", "; 30.9 cm round at its end"), ("washed_cowl", ""), ("whole_hat", "")]
)
def test_the_schematic_tells_both_ends_of_what_is_shaped(name: str, end: str) -> None:
    told = schematic(piece_of(read_scene(SCENES / f"{name}.toml"))).alt
    assert told.endswith(end)
    assert ("at its end" in told) == bool(end)
