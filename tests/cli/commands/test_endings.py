"""What the commands that write files say when they are done, the heavy parts left out."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from fabricsim.cli import main
from fabricsim.cli.commands.report import gathering
from fabricsim.cli.commands.sheet import pictures as sheet
from fabricsim.cli.shell.options import Load
from fabricsim.render.handouts import report
from tests.support.little import little


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "hat.toml").write_text(little(), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def said(capsys: pytest.CaptureFixture[str], words: str) -> str:
    assert main(words.split()) == 0
    return capsys.readouterr().out


def test_a_report_and_its_numbers(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    asked: list[Any] = []

    def gathered(*given: Any, draft: bool) -> tuple[str, dict[str, int]]:
        (load,) = (one for one in given if isinstance(one, Load))
        asked.append((load.case, draft))
        return "page", {"answer": 3}

    monkeypatch.setattr(gathering, "gathered", gathered)
    monkeypatch.setattr(report, "report_page", lambda page: page + " " * 1_250_000)
    assert said(capsys, "report hat.toml --draft --case swatch") == (
        "The report is in report/hat.html (1.3 MB), its numbers in report/hat.json.\n"
        "It opens in any browser, without a network, and prints on A4.\n"
    )
    assert asked == [("swatch", True)]
    assert (here / "report" / "hat.json").read_text(encoding="utf-8") == '{\n  "answer": 3\n}\n'
    assert (here / "report" / "hat.html").read_text(encoding="utf-8").startswith("page")
    assert json.loads(said(capsys, "report --json")) == {"answer": 3}
    assert asked[-1][1] is False
    assert (here / "report" / "demo.html").exists()


def test_a_handout(here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    asked: list[Any] = []

    def handout(scene: Any, options: Any, suffix: str, watch: Any) -> bytes:
        asked.append((options.slacks, options.draft, suffix))
        return b"%PDF-"

    monkeypatch.setattr(sheet, "handout", handout)
    ends = ": one page of A4, to be printed at 100 %.\n"
    assert said(capsys, "sheet hat.toml --tight -0.1 --right 0.05 --loose 0.2") == (
        f"The handout is in sheets/hat.pdf{ends}"
    )
    assert said(capsys, "sheet --draft --out a.png") == f"The handout is in a.png{ends}"
    assert asked[0] == ((-0.1, 0.05, 0.2), False, ".pdf")
    assert asked[1][1:] == (True, ".png")
    assert (here / "sheets" / "hat.pdf").read_bytes() == b"%PDF-"


def test_a_picture_of_colours(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for suffix, head in ((".png", b"\x89PNG"), (".svg", b"<?xml"), (".pdf", b"%PDF")):
        assert said(capsys, f"colours hat.toml --out eyes{suffix}").endswith(f"The picture is in eyes{suffix}.\n")
        assert (here / f"eyes{suffix}").read_bytes().startswith(head)
    assert "milk and ink" in said(capsys, "colours hat.toml")
    assert said(capsys, "colours hat.toml --out eyes.json") == "Written to eyes.json.\n"


def test_a_form_to_fill_in(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, "calibrate hat.toml --form mine.toml") == (
        "Written to mine.toml. Fill in what you measured, then: fabricsim calibrate SCENE --measured mine.toml\n"
    )
    assert "colourwork" in (here / "mine.toml").read_text(encoding="utf-8")


def test_an_answer_in_a_file(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, "floats hat.toml --out floats.csv") == "Written to floats.csv.\n"
    assert (here / "floats.csv").read_text(encoding="utf-8").startswith("yarn,row,stitch")
    assert said(capsys, "rounds hat.toml --large-print --out rounds.html") == (
        "Written to rounds.html, in letters of 24 points.\n"
    )
    assert said(capsys, "schema --out schema.json") == "Written to schema.json.\n"
