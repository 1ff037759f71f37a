"""The report command where no browser is needed: what it leaves out, what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fabricsim.cli import main
from fabricsim.cli.commands.report.words import blocks_of
from fabricsim.cli.shell.recorded import Sentence, recorded
from fabricsim.cli.shell.tables import Table
from fabricsim.design.scene.read import demo_scene
from fabricsim.render.handouts.report import Items, TableBlock, Text
from tests.support.little import assert_refused, little

PLAIN = ("......", "......", "......")


def test_a_plain_piece_of_no_item_has_neither_slack_nor_sizes(tmp_path: Path) -> None:
    scene = tmp_path / "scene.toml"
    scene.write_text(little(PLAIN), encoding="utf-8")
    out = tmp_path / "report.html"
    assert main(["report", str(scene), "--draft", "--out", str(out)]) == 0
    parts = json.loads(out.with_suffix(".json").read_text(encoding="utf-8"))["parts"]
    assert {"preview", "yarn", "rounds"} <= set(parts)
    assert not {"slack", "sizes"} & set(parts)
    assert 'id="sizes"' not in out.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("out", "line"),
    [
        ("report.pdf", "--out: given '{}'; allowed: a file that ends in .html"),
        ("folder.html", "--out: given"),
    ],
)
def test_what_cannot_be_written_is_refused_before_anything_is_solved(
    out: str, line: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "in").mkdir()
    scene = tmp_path / "in" / "scene.toml"
    scene.write_text(little(), encoding="utf-8")
    target = tmp_path / out
    if out == "folder.html":
        (tmp_path / "folder.json").mkdir()
    assert_refused(["report", scene, "--out", target], line.format(target), scene, capsys)
    assert not target.exists()


def test_an_unreadable_folder_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene = tmp_path / "scene.toml"
    scene.write_text(little(), encoding="utf-8")
    assert main(["report", str(scene), "--out", str(scene / "report.html")]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_what_commands_say_becomes_blocks() -> None:
    scene = demo_scene()
    table = Table("A table", {"what": "left", "how many": "right"}, [["one", "1"]], bold={0})

    def tell(page: object) -> None:
        page.say(scene.title, bold=True)  # type: ignore[attr-defined]
        page.say("Do this", bold=True)  # type: ignore[attr-defined]
        page.say("  - first")  # type: ignore[attr-defined]
        page.say("- then")  # type: ignore[attr-defined]
        page.say("")  # type: ignore[attr-defined]
        page.table(table)  # type: ignore[attr-defined]

    parts = recorded(tell)  # type: ignore[arg-type]
    assert parts[0] == Sentence(scene.title, bold=True)
    assert blocks_of(scene, parts) == [
        Text("Do this", strong=True),
        Items(("first", "then")),
        TableBlock("A table", (("what", "left"), ("how many", "right")), (("one", "1"),), frozenset({0})),
    ]
