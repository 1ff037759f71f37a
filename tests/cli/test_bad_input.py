"""Whatever is wrong with what the user wrote: one line saying where, what, what is allowed, what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabricsim.cli import main
from tests.design.scene.test_complaint import GOOD


def test_a_bad_scene_is_told_in_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene = tmp_path / "scene.toml"
    scene.write_text(GOOD.replace("stitches = 19", "stitches = 0"), encoding="utf-8")
    assert failed(["floats", str(scene)], capsys) == (
        f"{scene}: gauge.stitches: given 0; allowed: at least 1, at most 200; change the value"
    )
    assert [path.name for path in tmp_path.iterdir()] == ["scene.toml"]


def test_a_good_one_is_not(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "scene.toml").write_text(GOOD, encoding="utf-8")
    assert main(["floats", str(tmp_path / "scene.toml")]) == 0
    assert capsys.readouterr().err == ""


def failed(words: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """Run ``fabricsim``, expect it to refuse, and return the one line it says."""
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("fabricsim: ")
    assert err.endswith("\n")
    assert err.count("\n") == 1
    return err.removeprefix("fabricsim: ").rstrip("\n")


def test_no_such_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "away.toml"
    assert failed(["floats", str(path)], capsys) == (
        f"{path}: given '{path}', which isn't there; allowed: a file that exists; check the name"
    )


def test_a_folder_for_a_scene(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert failed(["floats", str(tmp_path)], capsys) == (
        f"{tmp_path}: given '{tmp_path}', which is a folder; allowed: an ordinary file; name the file itself"
    )


def test_not_toml(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "scene.toml"
    path.write_text("title = \n", encoding="utf-8")
    assert failed(["floats", str(path)], capsys) == (
        f"{path}: given a file that isn't TOML (Invalid value (at line 1, column 9)); allowed: a scene in "
        f"TOML; "
        "mend that line"
    )


def test_not_text(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "scene.toml"
    path.write_bytes(b"\xff\xfe\x00")
    assert failed(["floats", str(path)], capsys) == (
        f"{path}: given '{path}', not text; allowed: text in UTF-8; save it as plain text (UTF-8)"
    )


def test_a_line_cannot_upset_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "scene.toml"
    path.write_text(GOOD.replace("slack =", '"\\u001b[31m\\nred" ='), encoding="utf-8")
    assert "the unknown key '\\x1b[31m red'" in failed(["floats", str(path)], capsys)


@pytest.mark.parametrize(
    ("words", "names", "see"),
    [
        (["flots"], "'flots'", "fabricsim --help"),
        (["floats", "--al"], "--al", "fabricsim floats --help"),
        (["schema", "extra"], "extra", "fabricsim schema --help"),
        (["schema", "--out"], "--out", "fabricsim schema --help"),
    ],
)
def test_words_that_are_no_command(words: list[str], names: str, see: str, capsys: pytest.CaptureFixture[str]) -> None:
    told = failed(words, capsys)
    assert names in told  # the sentence itself is typer's
    assert told.endswith(f" see '{see}'")


def test_a_file_stands_where_the_folder_should_be(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # a stand-in for a folder without permission, which stops everyone but root
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    out = tmp_path / "taken" / "schema.json"
    assert failed(["schema", "--out", str(out)], capsys) == (
        f"--out: given '{out.parent}' (File exists); allowed: a folder that can be written to; name another folder"
    )
    assert [path.name for path in tmp_path.iterdir()] == ["taken"]
    assert (tmp_path / "taken").read_text(encoding="utf-8") == "mine"
