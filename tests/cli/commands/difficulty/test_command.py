"""``fabricsim difficulty`` as its users meet it."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from fabricsim.cli import main
from fabricsim.cli.commands.difficulty.words import VERDICTS
from tests.support.little import RINGS, assert_refused, little


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "check.toml"
    path.write_text(little(("..bb..", "..bb..", "......", "b....b", "..bb..", "..bb..", "..bb.."), title="Check"))
    return path


def said(capsys: pytest.CaptureFixture[str], *given: object) -> str:
    assert main(["difficulty", *map(str, given)]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def test_for_people(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, path)
    assert out.startswith(f"Check\n{VERDICTS['easy']}\n")
    lines = [" ".join(line.split()) for line in out.splitlines()]
    assert "rounds with one line of changes 3 3 7 easy" in lines
    assert "rounds of a band without a float 14 % 10 % 30 % some practice" in lines
    assert "- Rows without a float stay wide" in out
    assert "one place row after row" not in out
    assert "our own estimate" in out


def test_where_the_stack_is(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path.write_text(little(("..bb..",) * 5))
    assert "(rounds 1 to 5, between stitch 4 of the chart and the next)" in said(capsys, path)
    path.write_text(little(("b.....", "b....b", "b.....", ".....b")))
    # the edge of the repeat, between stitch 6 and stitch 1 of the next, but for round 3
    assert "stitch 6 of the chart" not in said(capsys, path)
    path.write_text(little(("b.....",) * 4))
    out = json.loads(said(capsys, path, "--json"))
    assert out["longest_stack"] == {"rows": 4, "from_row": 1, "left_of_chart_stitch": 5}


def test_for_programs_and_spreadsheets(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = json.loads(said(capsys, path, "--json"))
    assert (told["schema_version"], told["command"], told["verdict"]) == (1, "difficulty", "easy")
    assert (told["patterned_rows"], told["rows_in_bands"], told["rows_in_bands_without_float"]) == (6, 7, 1)
    lines = list(csv.DictReader(io.StringIO(said(capsys, path, "--csv"))))
    assert [line["measure"] for line in lines] == ["stack", "three", "mean_gap", "longest_gap", "bulging", "changes"]
    assert [line["level"] for line in lines] == list(told["levels"].values())


def test_one_colour(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path.write_text(little(("....",), title="Plain"))
    assert said(capsys, path) == "Plain\nOne colour in every row: nothing here is stranded.\n"
    assert json.loads(said(capsys, path, "--json"))["longest_stack"] is None


def test_a_file_that_is_not_there(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path.write_text(little(RINGS))
    assert_refused(["difficulty", path, "--json", "--csv"], "--csv: given together with --json", path, capsys)
    assert_refused(["difficulty", path.parent / "no.toml"], f"{path.parent / 'no.toml'}: given", path, capsys)
