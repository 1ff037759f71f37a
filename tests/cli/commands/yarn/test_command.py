"""``fabricsim yarn`` as its users meet it."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from fabricsim.cli import main
from tests.support.little import assert_refused, little


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "check.toml"
    path.write_text(little(title="Little check", floats="slack = 0.1"))
    return path


def said(capsys: pytest.CaptureFixture[str], *given: object) -> str:
    assert main(["yarn", *map(str, given)]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def told(capsys: pytest.CaptureFixture[str], *given: object) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(said(capsys, *given, "--json"))
    return found


def test_for_people(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, path)
    assert out.startswith("Little check\n12 stitches x 5 rounds\n\nTo buy, 15 % to spare included")
    lines = [line.split() for line in out.splitlines()]
    # in an endless chart 0.27 x 4.2 + 0.73 x 1.1 of 5.3 stitch widths, 36 %; here the last floats end early
    assert next(line for line in lines if line[:1] == ["ink"])[1:7] == ["27", "%", "35", "%", "1.1", "1"]
    assert "Ends to darn in: 2 of milk, 2 of ink, 20 cm each. The finished knitting weighs about" in out
    assert "Weigh your swatch to check." in " ".join(out.split())


def test_parts_make_the_whole(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = told(capsys, path)
    assert (found["schema_version"], found["command"], found["pieces"], found["margin_percent"]) == (2, "yarn", 1, 15)
    for one in found["yarns"]:
        parts = ("loops_m", "floats_m", "catches_m", "carried_up_m", "edges_m", "seam_m", "lining_m", "ends_m")
        assert sum(one[part] for part in parts) == pytest.approx(one["used_m"])
        assert one["wanted_m"] == pytest.approx(1.15 * one["used_m"])
        assert one["used_g"] == pytest.approx(one["used_m"] * 0.5)  # 500 tex
        assert one["balls"] * one["ball_m"] >= one["wanted_m"]
    for share in ("stitch_share_percent", "yarn_share_percent"):
        assert sum(one[share] for one in found["yarns"]) == pytest.approx(100)


def test_other_sizes_pairs_and_ways(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    usual = told(capsys, path)
    wider = told(capsys, path, "--across", 6)
    assert (wider["stitches"], wider["repeats_across"]) == (36, 6)
    loops = [one["loops_m"] for one in usual["yarns"]]
    assert [one["loops_m"] for one in wider["yarns"]] == pytest.approx([3 * each for each in loops])
    assert [one["loops_m"] for one in told(capsys, path, "--pieces", 2)["yarns"]] == pytest.approx(
        [2 * x for x in loops]
    )
    loose = told(capsys, path, "--slack", 0.21)
    assert [one["floats_m"] for one in loose["yarns"]] == pytest.approx(
        [one["floats_m"] * 1.21 / 1.1 for one in usual["yarns"]]
    )
    assert {one["edges_m"] for one in told(capsys, path, "--no-edges")["yarns"]} == {0.0}
    bare = told(capsys, path, "--margin", 0)["yarns"]
    assert [one["wanted_m"] for one in bare] == [one["used_m"] for one in bare]


def test_for_a_spreadsheet(path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "yarn.csv"
    assert said(capsys, path, "--out", out) == f"Written to {out}.\n"
    lines = list(csv.DictReader(io.StringIO(out.read_text())))
    assert [line["name"] for line in lines] == ["milk", "ink"]
    assert [list(line) for line in lines] == [list(one) for one in told(capsys, path)["yarns"]]


def test_one_colour(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path.write_text(little(("....",)))
    out = said(capsys, path)
    assert "ink" not in out
    assert "patterned" not in out
    assert told(capsys, path)["patterned_rows_over_plain_percent"] is None


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (("--pieces", 0), "--pieces: given '0'; allowed: a whole number, at least 1"),
        (("--margin", -1), "--margin: given '-1'; allowed: a "),
        (("--across", -1), "--across: given '-1'; allowed: a whole number, at least 1, at most 1,000,000"),
        (("--slack", 15), "--slack: given 15; allowed: a fraction above -1, at most 1; write 0.15 if you mean 15 %"),
        (("--json", "--csv"), "--csv: given together with --json"),
    ],
)
def test_what_cannot_be_done_is_refused(
    options: tuple[object, ...], line: str, path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert_refused(["yarn", path, *options], line, path, capsys)


@pytest.mark.parametrize(("grams", "given"), [("0", "0"), ("'50'", "'50'"), ("nan", "nan")])
def test_a_ball_must_weigh_something(grams: str, given: str, path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path.write_text(path.read_text().replace("tex = 500", f"tex = 500\nball_grams = {grams}", 1))
    assert_refused(["yarn", path], f"{path}: yarns (no. 1).ball_grams: given {given}; allowed: ", path, capsys)
