"""``fabricsim mend`` as its users meet it: what it writes is read back and counted."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import pytest

from fabricsim.cli import main
from fabricsim.cli.commands.mend.command import answer_of
from fabricsim.design.counted.mending import MOST_TRIED, mending_of
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.of_scene import floats
from fabricsim.design.scene.read import read_scene
from fabricsim.design.scene.shaping import Shaping
from tests.cli.made_up import scene_of
from tests.cli.printed import printed
from tests.support.little import assert_refused, little

GAPS = ("b........", "....b....", "b.......b")
SCENES = Path(__file__).parents[4] / "scenes"


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "check.toml"
    path.write_text(little(GAPS, floats="slack = 0.0 # mine\nlongest_gap = 5"))
    return path


def run(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    assert main(["mend", *map(str, words)]) == 0
    return capsys.readouterr().out


def test_the_copy_is_read_back_and_has_no_float_over_the_limit(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = read_scene(path)
    out = run(capsys, path, "--write", "new.toml")
    after = read_scene("new.toml")
    over = len(faults(floats(before), before.limits))
    assert over > 0
    assert not faults(floats(after), after.limits)
    assert f"{over} floats over your limit of 5 stitches before, 0 after, and no new one." in " ".join(out.split())
    assert "slack = 0.0 # mine" in Path("new.toml").read_text()
    said = json.loads(run(capsys, path, "--json"))
    assert said["floats_over_limit_in_piece"] == {"before": over, "after": 0}
    assert tuple(said["chart"]) == after.chart.rows
    rows = list(before.chart.rows or ())[::-1]
    for one in csv.DictReader(io.StringIO(run(capsys, path, "--csv"))):  # stitch by stitch, as a reader would
        row, place = int(one["row"]) - 1, -int(one["stitch"])
        assert rows[row][place] == one["from_yarn"]
        changed = list(rows[row])
        changed[place] = one["to_yarn"]
        rows[row] = "".join(changed)
    assert rows[::-1] == said["chart"]
    assert [one["after"] for one in said["changed_rows"]] == [rows[one["row"] - 1] for one in said["changed_rows"]]


@pytest.mark.parametrize(
    "name", ["across_the_edge", "hat_band", "rings_from_a_picture", "flat_swatch", "three_colours"]
)
def test_every_scene_is_mended_or_says_what_is_left(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = SCENES / f"{name}.toml"
    said = json.loads(run(capsys, scene, "--json", "--write", tmp_path / "new.toml"))
    before, after = read_scene(scene), read_scene(tmp_path / "new.toml")
    counts = [len(faults(floats(one), one.limits)) for one in (before, after)]
    assert [said["floats_over_limit_in_piece"][key] for key in ("before", "after")] == counts
    assert (counts[1] == 0) == (not said["left"])
    assert after.model_copy(update={"chart": before.chart}).model_dump() == before.model_dump()


def test_all_that_is_said(path: Path) -> None:
    scene = scene_of(0.0, ["o.....o.....o"], worked="flat", floats={"longest_gap": 4, "longest_cm": 9})
    assert printed(answer_of(scene, mending_of(scene), Path("new.toml")).tell) == (
        """\
**Made up**
1 change of the chart, the smallest that will do, each tried: rows of the chart from the bottom, stitches from
the right of its face.
The chart is the same mirrored left to right; what keeps it so comes first.
- Row 1, stitches 4 and 10 in ink: breaks the float of ink behind 5 stitches from stitch 2 of row 1 and 1
  other like it. Row 1, stitch 4 in ink alone would do for the first, but not keep it so. Or catch it once,
  the chart as it is.

The rows of the chart that change, as printed:
     1  o.....o.....o
   now  o..o..o..o..o

Counted in the whole piece: 2 floats over your limit of 4 stitches or 9 cm before, 0 after, and no new one.
Look whether the motif still says what you mean: 'fabricsim chart'.
A copy of the scene with the chart so changed is in new.toml.
[caution]"""
    )


def test_a_piece_that_is_shaped_is_told_to_be_counted_without_that(path: Path) -> None:
    scene = read_scene(path)
    shaped = scene.model_copy(update={"shaping": Shaping.model_validate({"spread": [{"row": 3, "every": 6}]})})
    plain, told = (printed(answer_of(one, mending_of(one)).tell) for one in (scene, shaped))
    assert "Counted in the whole piece: " in plain
    assert "Counted in the piece without its shaping: " in " ".join(told.split())
    left_out = "The shaping of the scene is left out here: "
    assert left_out in " ".join(told.split())
    assert left_out not in plain


def test_where_there_is_nothing_to_change(path: Path) -> None:
    fine = scene_of(0.0, ["o.o."])
    assert "No float passes your limit of 5 stitches or 2.5 cm: nothing to change." in printed(
        answer_of(fine, mending_of(fine)).tell
    )
    none = scene_of(0.0, item="baby mittens")
    assert "no change of a few stitches helps: line the piece" in " ".join(
        printed(answer_of(none, mending_of(none)).tell).split()
    )
    planned = scene_of(0.0, ["o........."], chart={"across": 2}, floats={"longest_gap": 4, "catches": "planned"})
    assert "Your scene plans catches; none was counted here" in printed(answer_of(planned, mending_of(planned)).tell)


def test_what_no_change_breaks_is_left_to_be_caught_and_a_chart_that_takes_too_many_is_to_be_drawn_anew() -> None:
    scene = scene_of(0.0, ["o.....o.....o"], worked="flat", floats={"longest_gap": 4, "longest_cm": 9})
    found = mending_of(scene)
    left = replace(found, mended=(), after=found.before, left=(found.mended[0].float,))
    text = " ".join(printed(answer_of(scene, left).tell).split())
    assert "No small change breaks the float of ink behind 5 stitches from stitch 2 of row 1: catch them" in text
    assert "2 floats over your limit of 4 stitches or 9 cm before, 2 after" in text
    many = replace(left, mended=found.mended * MOST_TRIED, stopped=True)
    text = " ".join(printed(answer_of(scene, many).tell).split())
    assert (
        "After 60 floats no more were looked at: a chart that takes so many is better drawn anew, or caught "
        "('fabricsim catches')."
    ) in text
    assert "No small change" not in text
    assert "- and 20 more (--json lists them all)." in text


def test_a_copy_goes_where_what_it_names_lies(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = "--write: given 'new.txt'"
    assert_refused(("mend", path, "--write", "new.txt"), line, path, capsys)
