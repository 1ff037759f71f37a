"""A preview of a piece that is put on, from the words of the command line to its files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from fabricsim.cli import main
from fabricsim.cli.commands.draw import pictures as draw_pictures
from fabricsim.cli.commands.preview import pictures as preview_pictures
from fabricsim.study.worn.putting_on import PutOn, put_on
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


@pytest.fixture
def no_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave out what a preview draws, where only what it says is looked at."""
    monkeypatch.setattr(preview_pictures, "pictures", lambda *_: ({}, {}))


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


def test_what_is_washed_is_put_on_so_by_preview_and_draw_alike(
    scene: Path, no_pictures: None, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The plain swatch came out wider, so it presses less; what preview measures is what is drawn."""
    drawn: list[PutOn] = []

    def watched(*given: Any, **named: Any) -> PutOn:
        drawn.append(put_on(*given, **named))
        return drawn[-1]

    monkeypatch.setattr(draw_pictures, "put_on", watched)
    assert _preview(scene, "--on", "head") == 0
    dry = json.loads(Path("out/summary.json").read_text())["worn"]
    scene.write_text(scene.read_text().replace("rows = 25.5", "rows = 25.5\nwashed = { stitches = 18.5, rows = 25.5 }"))
    capsys.readouterr()
    assert _preview(scene, "--on", "head") == 0
    assert "widest; put on washed\n" in capsys.readouterr().out
    told = json.loads(Path("out/summary.json").read_text())["worn"]
    assert (dry["washed"], told["washed"]) == (False, True)
    assert 0.0 < told["mean_pressure_Pa"] < dry["mean_pressure_Pa"]
    # floats keep their yarn, so what they let it open to stays; that is told from 19 stitches, not 18.5 (derived)
    opens = [[one["opens_to_cm"] for one in worn["rounds_from_the_bottom"]] for worn in (dry, told)]
    assert min(opens[0]) == pytest.approx(min(opens[1]), rel=0.01)
    size = ["--on", "head", "--draft", "--even", "--width", "300", "--out", "worn.png"]
    assert main(["draw", str(scene), *size]) == 0
    fit = drawn[0].fit
    assert fit is not None
    assert fit.pressure == pytest.approx(told["mean_pressure_Pa"], rel=1e-9)


def test_a_scene_may_say_it_itself_and_another_case_is_not_put_on(scene: Path, no_pictures: None) -> None:
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
