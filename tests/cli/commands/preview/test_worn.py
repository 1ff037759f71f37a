"""A preview of a piece that is put on, from the words of the command line to its files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fabricsim.cli import main
from tests.support.little import little

CHART = ("..b...", ".b.b..", "b...b.")
BODIES = 'bodies = [{ part = "head", name = "doll", cm = 19.5 }, { part = "head", name = "giant", cm = 60 }]\n'


@pytest.fixture
def scene(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.toml").write_text(BODIES)
    path = tmp_path / "check.toml"
    text = little(CHART, across=6, case="round", floats="slack = 0.08")
    path.write_text(text + '\n[sizes]\nfile = "mine.toml"\n')
    return path


def _preview(scene: Path, *words: str) -> int:
    return main(["preview", str(scene), "--draft", "--even", "--width", "300", "--out", "out", *words])


def test_it_is_put_on_whom_it_fits_and_drawn_there(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _preview(scene, "--on", "head") == 0
    said = capsys.readouterr().out
    assert "On         a head (doll), 19.5 cm round" in said
    assert "Goes on    yes, the lowest round first" in said
    assert "worn.png" in said
    told = json.loads(Path("out/summary.json").read_text())
    assert told["asked"]["on"] == "head"
    assert told["worn"]["body"] == "doll"
    assert len(told["worn"]["rounds_from_the_bottom"]) == told["rows"]
    assert Path("out/worn.png").stat().st_size > 1000


def test_what_does_not_go_on_has_no_picture_and_leaves_none_of_before(
    scene: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _preview(scene, "--on", "head") == 0
    capsys.readouterr()
    assert _preview(scene, "--on", "head", "--size", "giant") == 0
    said = capsys.readouterr().out
    assert "Goes on    no: round" in said
    assert "worn.png" not in said
    assert not Path("out/worn.png").exists()


def test_a_scene_may_say_it_itself_and_another_case_is_not_put_on(scene: Path) -> None:
    scene.write_text('on = "head"\n' + scene.read_text())
    assert _preview(scene) == 0
    assert "worn" in json.loads(Path("out/summary.json").read_text())
    assert _preview(scene, "--case", "repeat") == 0
    assert "worn" not in json.loads(Path("out/summary.json").read_text())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--on", "cat"), "head, hand, arm, leg, board"),
        (("--on", "head", "--case", "repeat"), "the case 'round'"),
        (("--on", "head", "--size", "dol"), "did you mean 'doll'?"),
        (("--size", "doll"), "say what it is put on"),
    ],
)
def test_what_can_not_be_put_on_is_refused_in_one_line(
    words: tuple[str, ...], said: str, scene: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _preview(scene, *words) == 2
    error = capsys.readouterr().err.strip()
    assert said in error.splitlines()[-1]
    assert not Path("out").exists()
