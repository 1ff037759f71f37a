"""The JSON Schema on screen and in a file, and files written whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fabricsim.cli import main
from fabricsim.cli.shell.outputs import prepare_folder, write_bytes_atomically, write_text_atomically
from fabricsim.design.scene.read import scene_schema
from fabricsim.errors import InputError


def test_the_schema_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == 0
    assert json.loads(capsys.readouterr().out) == scene_schema()


def test_the_schema_is_written_over_what_was_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "scene.schema.json"
    path.write_text('{"old": 1}', encoding="utf-8")
    assert main(["schema", "--out", str(path)]) == 0
    assert capsys.readouterr().out == f"Written to {path}.\n"
    assert json.loads(path.read_text(encoding="utf-8")) == scene_schema()
    assert list(tmp_path.iterdir()) == [path]


def test_a_write_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.txt"
    write_text_atomically(path, "old")

    def full(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(InputError, match="No space left on device"):
        write_text_atomically(path, "new")
    assert path.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_files_get_the_permissions_that_any_new_file_gets(tmp_path: Path) -> None:
    write_bytes_atomically(tmp_path / "ours", b"\x00\xff")
    (tmp_path / "theirs").write_bytes(b"")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "theirs").stat().st_mode
    assert (tmp_path / "ours").read_bytes() == b"\x00\xff"


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="a folder"):
        write_text_atomically(tmp_path, "text")


def test_an_output_folder_is_made_or_refused(tmp_path: Path) -> None:
    made = prepare_folder(tmp_path / "a" / "b")
    assert made.is_dir()
    assert list(made.iterdir()) == []
    (tmp_path / "file").write_text("", encoding="utf-8")
    for path in (tmp_path / "file", tmp_path / "file" / "below"):
        with pytest.raises(InputError, match=r"--out: given '.*' \(.*\); allowed: a folder that can be written to; "):
            prepare_folder(path)
