"""Every TOML file is read by one reader: whatever is wrong with one of them is refused in one line."""

from __future__ import annotations

import os
import socket
from collections.abc import Callable
from pathlib import Path

import pytest

from fabricsim.design.scene.bodies import read_bodies
from fabricsim.design.scene.knitter import read_knitter
from fabricsim.design.scene.limits import LARGEST_FILE
from fabricsim.design.scene.read import read_scene
from fabricsim.design.swatch.measured import read_measured
from fabricsim.errors import InputError, one_line
from fabricsim.study.compare.grid import read_grid

READERS: dict[str, Callable[[Path], object]] = {
    "scene": read_scene,
    "bodies": lambda path: read_bodies(path, "sizes.file"),
    "knitter": lambda path: read_knitter(path, "knitter"),
    "measured": read_measured,
    "study": read_grid,
}
NOT_TOML = {
    "deep lists": b"x = " + b"[" * 100_000,
    "deep tables": b"x = " + b"{a=" * 100_000,
    "a deep key": b"x." * 2_000 + b"x = 1",
    "a deep key in quotes": b'"x" . ' * 2_000 + b"x = 1",
    "digits": b"x = " + b"9" * 5000,
    "digits of a fraction": b"x = " + b"9" * 5000 + b".5e",
    "half a line": b"title = ",
    "nothing but a nought": b"\x00",
    "a key twice": b'x = "a"\nx = "b"',
    "a bare control character": b'x = "\x1b[2J"',
    "half a surrogate": b'x = "\\ud800"',
}
NOT_TEXT = {"latin": 'x = "ü"'.encode("latin-1"), "utf-16": "\ufeffx = 1".encode("utf-16"), "picture": b"\x89PNG\r\n"}


def refused(read: Callable[[Path], object], path: Path) -> str:
    with pytest.raises(InputError) as caught:
        read(path)
    assert "\n" not in str(caught.value)
    return str(caught.value)


@pytest.mark.parametrize("read", READERS.values(), ids=READERS)
@pytest.mark.parametrize("data", NOT_TOML.values(), ids=NOT_TOML)
def test_what_is_not_toml_is_refused(tmp_path: Path, read: Callable[[Path], object], data: bytes) -> None:
    path = tmp_path / "file.toml"
    path.write_bytes(data)
    assert "in TOML; " in refused(read, path)


@pytest.mark.parametrize("read", READERS.values(), ids=READERS)
@pytest.mark.parametrize("data", NOT_TEXT.values(), ids=NOT_TEXT)
def test_what_is_not_text_is_refused(tmp_path: Path, read: Callable[[Path], object], data: bytes) -> None:
    path = tmp_path / "file.toml"
    path.write_bytes(data)
    assert "allowed: text in UTF-8; save it as plain text (UTF-8)" in refused(read, path)


@pytest.mark.parametrize("read", READERS.values(), ids=READERS)
def test_every_reader_knows_its_keys_in_the_same_words(tmp_path: Path, read: Callable[[Path], object]) -> None:
    path = tmp_path / "file.toml"
    path.write_bytes(b"\xef\xbb\xbfnonsense = 1")  # a byte order mark is no part of the text
    assert f"{path}: given the unknown key 'nonsense'; allowed: " in refused(read, path)


@pytest.mark.parametrize("read", READERS.values(), ids=READERS)
def test_only_ordinary_files_of_a_bearable_size_are_read(tmp_path: Path, read: Callable[[Path], object]) -> None:
    pipe, plug, huge = tmp_path / "pipe", tmp_path / "socket", tmp_path / "huge"
    os.mkfifo(pipe)  # nobody will ever write to it
    listener = socket.socket(socket.AF_UNIX)
    listener.bind(str(plug))
    with huge.open("wb") as file:
        file.truncate(LARGEST_FILE + 1)
    for path, kind in (
        (pipe, "which is a pipe"),
        (plug, "which is a socket"),
        (tmp_path, "which is a folder"),
        (Path("/dev/zero"), "which is a device"),
        (tmp_path / "none", "which isn't there"),
        (tmp_path / "no\0name", "(not a file name)"),
        (huge, "which holds more than that; allowed: at most 16,000,000 bytes"),
    ):
        assert f"'{one_line(str(path))}'" in refused(read, path)
        assert kind in refused(read, path)
    listener.close()


def test_a_file_that_doesnt_tell_its_size_is_read_no_farther(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fabricsim.design.scene.opened.LARGEST_FILE", 10)
    with pytest.raises(
        InputError, match="which holds more than that; allowed: at most 10 bytes; check that it is the right file"
    ):
        read_scene("/proc/self/status")  # an ordinary file of 0 bytes, by what it says of itself


@pytest.mark.parametrize("key", ["file", "image"])
def test_charts_are_read_by_the_same_rule(tmp_path: Path, key: str) -> None:
    head = 'title = "t"\nworked = "round"\ngauge = { stitches = 19, rows = 25.5 }\n'
    yarns = 'yarns = [{ symbol = ".", name = "oat", colour = "#ffffff", tex = 500 }]\n'
    for chart in ("/dev/zero", ".", "pipe"):
        (tmp_path / "scene.toml").write_text(f'{head}{yarns}chart = {{ {key} = "{chart}" }}\n', encoding="utf-8")
        if chart == "pipe":
            os.mkfifo(tmp_path / "pipe")
        assert f"scene.toml: chart.{key}: given '" in refused(read_scene, tmp_path / "scene.toml")
