"""``fabricsim why`` as its users meet it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image

from fabricsim.cli import main
from tests.support.little import assert_refused, little


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "check.toml"
    path.write_text(little(("b...b..", ".bb...b", "b..bb.."), across=4, floats="slack = -0.04"))
    return path


def test_it_says_what_costs_and_draws_it(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["why", str(path), "--map", "map.png"]) == 0
    assert "of the loss" in " ".join(capsys.readouterr().out.split())
    with Image.open("map.png") as drawn:
        assert min(drawn.size) > 300


def test_programs_are_told_rows_that_add_up(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["why", str(path), "--case", "repeat", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    told = said["width_lost_told_by_floats_percent"]
    assert sum(one["width_lost_percent"] for one in said["rows"]) == pytest.approx(told, rel=1e-9)
    assert sum(one["width_lost_percent"] for one in said["floats"]) == pytest.approx(told, rel=1e-9)


def test_a_map_of_another_kind_is_refused(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = "--map: given 'map.bmp'; allowed: a file that ends in .png or .svg or .pdf; name it map.png"
    assert_refused(["why", path, "--map", "map.bmp"], line, path, capsys)
