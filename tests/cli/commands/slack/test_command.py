"""The slack command, for people, programs and spreadsheets."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from fabricsim.cli import main
from fabricsim.errors import NoEquilibriumError
from tests.support.little import assert_refused, little


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "scene.toml"
    path.write_text(little(floats="slack = 0.0\nunevenness = 0\nshort_mm = 0"), encoding="utf-8")
    return path


def test_for_people(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["slack", str(scene), "--stretch", "10"]) == 0
    said = capsys.readouterr().out
    assert "to lose no more than 1 % of its width" in said
    assert "to stretch by 10 %" in said
    assert "+10.0 %" in said
    assert "So aim at 13 % slack: at least 10 %, and 3 % more" in " ".join(said.split())
    assert "50 % with 3 needles in the work and 71 % with 4 needles" in " ".join(said.split())
    assert "safe" not in said.lower()


def test_what_an_item_needs_is_what_it_must_stretch_by(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene.write_text('item = "socks"\n' + scene.read_text(encoding="utf-8"), encoding="utf-8")
    assert main(["slack", str(scene)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "as socks must to be put on" in said
    assert "floats with more than 25 % hang in loops and snag" in said


SHAPED = "[shaping]\nspread = [{ row = 3, every = 6 }]\n"


@pytest.mark.parametrize(
    ("shaped", "words", "whole"),
    [(SHAPED, [], True), (SHAPED, ["--no-whole"], False), (SHAPED, ["--case", "round"], False), ("", [], False)],
)
def test_a_scene_that_shapes_its_piece_is_asked_about_whole(
    shaped: str, words: list[str], whole: bool, scene: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As preview sees it, so that both speak of the same floats."""
    scene.write_text(little(floats="slack = 0.0", case="round").replace('[simulation]\ncase = "round"', shaped))
    asked: list[bool] = []

    def how_loose(*_: object, whole: bool, **__: object) -> None:
        asked.append(whole)
        raise NoEquilibriumError("enough")

    monkeypatch.setattr("fabricsim.study.forecast.loosening.how_loose", how_loose)
    assert main(["slack", str(scene), *words]) == 3
    assert asked == [whole]


def test_for_programs_and_spreadsheets(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["slack", str(scene), "--stretch", "10", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["command"] == "slack"
    assert said["aim_percent"] == pytest.approx(13.0)
    assert said["slack_for_width_percent"]["nominal"] < 0.0
    assert main(["slack", str(scene), "--stretch", "10", "--csv"]) == 0
    lines = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert [int(line["stitches_passed"]) for line in lines] == [int(one["stitches_passed"]) for one in said["floats"]]
    for line in lines:
        yarn, span = float(line["yarn_cm"]), float(line["span_cm"])
        assert yarn == pytest.approx(1.13 * span)
        assert float(line["extra_yarn_mm"]) == pytest.approx(10 * (yarn - span))


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (["--may-lose", "0"], "--may-lose: given 0; allowed: 0.05 to 50 per cent"),
        (["--stretch", "nan"], "--stretch: given nan; allowed: 0 to 100 per cent"),
        (["--json", "--csv"], "--csv: given together with --json; allowed: one of the two"),
        (["--case", "sphere"], "--case: given 'sphere'; allowed: repeat, swatch, round"),
    ],
)
def test_bad_input_is_one_line(scene: Path, options: list[str], line: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert_refused(["slack", scene, *options], line, scene, capsys)
