"""``fabricsim agree`` as its users meet it: what it writes is the piece that it told of."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image

from fabricsim.cli import main
from fabricsim.design.scene.read import read_scene
from fabricsim.study.change.banding import ChartBand, band_widths
from fabricsim.study.forecast.forecast import forecast
from tests.support.little import assert_refused, little

ROWS = ("b.....", "bb...b", "......", "......", "b.b.b.", ".b.b.b", "b.b.b.", ".b.b.b")


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "check.toml"
    path.write_text(little(ROWS, across=6, floats="slack = -0.05 # mine"))
    return path


def test_a_written_way_is_what_was_told(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--within", "0.5", "--draft", "--write", "new.toml", "--picture", "two.png", "--plots", "w.png", "--json"]
    assert main(["agree", str(path), *words]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["bands"] == [{"first_row": 1, "last_row": 4}, {"first_row": 7, "last_row": 8}]
    assert not said["agrees"]
    way = next(one for one in said["ways"] if one["found"] and one["agrees"])
    new = read_scene("new.toml")
    assert "# mine" in Path("new.toml").read_text()
    found = forecast(new, "round", even=True, band=False, branch=False).measures
    lost_k = band_widths(new, [ChartBand(0, 3), ChartBand(6, 7)], found).lost_k
    assert [100.0 * one for one in lost_k] == pytest.approx(way["draw_in_percent"], abs=1e-6)
    for drawn in ("two.png", "w.png"):
        with Image.open(drawn) as picture:
            assert min(picture.size) > 300


def test_bands_that_agree_need_nothing(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["agree", str(path), "--within", "20", "--draft", "--write", "new.toml"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "The bands agree" in said
    assert "new.toml was not written" in said
    assert not Path("new.toml").exists()


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["--within", "0"], "--within: given 0; allowed: 0.1 to 20 per cent of the width"),
        (["--case", "repeat"], "--case: given 'repeat'; allowed: with the case 'round' or 'swatch'"),
        (["--bands", "1-4"], "--bands: given one band alone; allowed: two bands or more"),
        (["--bands", "1-4,9"], "--bands: given '9'; allowed: rows of the chart, 1 to 8"),
        (["--bands", "1-4,4-8"], "--bands: given '4-8'; allowed: every row in one band"),
        (["--bands", "1-4,5-6"], "--bands: given '5-6', plain rows; allowed: rows of which one has two yarns"),
        (["--bands", "low,high"], "--bands: given 'low'; allowed: rows of the chart, 1 to 8"),
        (["--pick", "2"], "--pick: given without --write; allowed: with --write NEW.toml"),
        (["--plots", "a.gif"], "--plots: given 'a.gif'; allowed: a file that ends in .png"),
    ],
)
def test_what_can_not_be_is_refused(
    path: Path, capsys: pytest.CaptureFixture[str], words: list[str], line: str
) -> None:
    assert_refused(["agree", path, *words], line, path, capsys)
