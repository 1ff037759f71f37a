"""``fabricsim place`` as its users meet it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fabricsim.cli import main
from tests.support.little import assert_refused, little


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "check.toml"
    path.write_text(little(("b...b..", ".bb...b", "b..bb.."), across=4, floats="slack = -0.04"))
    return path


def test_it_says_where_to_begin_and_how_it_meets_a_count(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["place", str(path), "--stitches", "30", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert sorted(one["stitch"] for one in said["rounds_begin"]) == list(range(1, 8))
    assert {one["stitches"] for one in said["met"]} == {28, 30, 35}


def test_a_count_below_one_repeat_is_refused(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = "--stitches: given 6; allowed: at least 7, one repeat of the chart; give more"
    assert_refused(["place", path, "--stitches", "6"], line, path, capsys)


def test_a_count_beyond_all_bounds_is_refused(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert_refused(["place", path, "--stitches", "9000000"], "--stitches: given a piece of", path, capsys)
