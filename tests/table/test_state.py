"""Where the table keeps what lies on it on every system, the secret of a server, and how scenes are laid on it."""

from __future__ import annotations

import base64
import re
import stat
import sys
from pathlib import Path

import pytest

from fabricsim.design.scene.read import demo_scene
from fabricsim.errors import InputError
from fabricsim.table.drafts.folder import state_folder
from fabricsim.table.drafts.history import History
from fabricsim.table.drafts.opening import new_name, opened_demo, opened_file, opened_files
from fabricsim.table.drafts.secret import LENGTH, forget_secret, secret_at
from fabricsim.table.messages.asked import FileGiven
from tests.table.test_drafts import SMALL


def given(name: str, data: bytes | str) -> FileGiven:
    data = data.encode() if isinstance(data, str) else data
    return FileGiven(name=name, data=base64.b64encode(data).decode())


def closed(history: History) -> History:
    """Return a history that was not yet asked for anything, its journal closed."""
    _ = history.draft
    history.close()
    return history


@pytest.mark.parametrize(
    ("system", "set_to", "folder"),
    [
        ("linux", {}, "home/.local/state/fabricsim/table"),
        ("linux", {"XDG_STATE_HOME": "state"}, "state/fabricsim/table"),
        ("darwin", {"XDG_STATE_HOME": "state"}, "home/Library/Application Support/fabricsim/table"),
        ("win32", {}, "home/AppData/Local/fabricsim/table"),
        ("win32", {"LOCALAPPDATA": "local"}, "local/fabricsim/table"),
        ("win32", {"LOCALAPPDATA": "local", "FABRICSIM_STATE": "mine"}, "mine"),
    ],
)
def test_each_system_has_a_folder_for_the_state_of_programs(
    system: str, set_to: dict[str, str], folder: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("FABRICSIM_STATE", "XDG_STATE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    for name, value in set_to.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "platform", system)
    monkeypatch.setattr(Path, "home", lambda: Path("home"))
    assert state_folder() == Path(folder)


def test_a_secret_outlives_a_server_that_was_killed_and_is_nobody_elses(tmp_path: Path) -> None:
    folder = tmp_path / "made for it"
    first = secret_at(folder, 8001)
    (file,) = folder.iterdir()
    assert len(first) == LENGTH == 32
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert secret_at(folder, 8001) == first != secret_at(folder, 8002)
    forget_secret(folder, 8001)
    forget_secret(folder, 8001)  # which is no error
    assert secret_at(folder, 8001) != first
    file.write_text("short")
    anew = secret_at(folder, 8001)
    assert len(anew) == LENGTH
    assert file.read_text() == anew


def test_without_a_place_to_note_it_there_is_a_secret_all_the_same(tmp_path: Path) -> None:
    (tmp_path / "a file").write_text("")
    assert len(secret_at(tmp_path / "a file", 8001)) == LENGTH


def test_names_of_journals_tell_when_and_are_never_the_same() -> None:
    one, other = new_name(), new_name()
    assert re.fullmatch(r"\d{8}-\d{6}-[0-9a-f]{8}", one)
    assert one != other


def test_the_hat_and_a_plain_piece_lie_there_unchanged(tmp_path: Path) -> None:
    hat, plain = (closed(one) for one in (opened_demo(tmp_path), opened_files([], tmp_path)))
    assert hat.draft.scene.title == demo_scene().title
    assert (hat.file, plain.file, hat.undo_steps) == (None, None, 0)
    assert set(map(len, plain.draft.scene.chart_rows())) == {len(plain.draft.scene.chart_rows()[0])}
    assert plain.path == Path("plain.toml")


def test_a_file_that_was_named_is_kept_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "small.toml"
    path.write_text(SMALL, encoding="utf-8")
    opened = closed(opened_file(path, tmp_path / "state"))
    assert (opened.draft.text, opened.file, opened.is_kept) == (SMALL, str(path), True)
    path.write_text("title = 1", encoding="utf-8")
    with pytest.raises(InputError):
        opened_file(path, tmp_path / "state")


def test_a_scene_comes_with_the_files_that_it_names(tmp_path: Path) -> None:
    rows = 'rows = [            # as printed\n    "..x",          # the top\n    "xx.",  # the bottom\n]'
    text = SMALL.replace(rows, 'file = "motif.txt"')
    files = [given("motif.txt", "x..\n.x.\n"), given("Small.TOML", "\ufeff" + text)]
    opened = opened_files(files, tmp_path)
    assert opened.draft.scene.chart_rows() == ((0, 1, 0), (1, 0, 0))
    assert (opened.path.parent / "motif.txt").read_bytes() == b"x..\n.x.\n"
    opened.close()
    assert not opened.path.parent.exists()  # nobody changed it
    with pytest.raises(
        InputError, match=r"^Small.TOML: given a scene that names 'motif.txt'; allowed: that file too; "
    ):
        opened_files(files[1:], tmp_path)
    for name in ("../motif.txt", "/etc/passwd", "", "..", "a\\\\b"):
        away = given("s.toml", text.replace("motif.txt", name))
        with pytest.raises(
            InputError, match=r"^s.toml: chart.file: given '.*'; allowed: the plain name of a file; lay"
        ):
            opened_files([files[0], away], tmp_path)


@pytest.mark.parametrize(
    ("data", "line"),
    [
        (b"\xff\xfe\x00", "x.toml: given no text; allowed: a scene in TOML, as text in UTF-8; choose another file"),
        (SMALL.replace("tex = 500", "tex = 0").encode(), "x.toml"),
    ],
)
def test_what_is_no_scene_is_refused_under_its_own_name(data: bytes, line: str, tmp_path: Path) -> None:
    with pytest.raises(InputError) as refused:
        opened_files([given("x.toml", data)], tmp_path)
    assert str(refused.value).startswith(line)
    assert str(tmp_path) not in str(refused.value)
