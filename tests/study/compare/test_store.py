"""Rows that outlive whatever stops their study."""

from __future__ import annotations

import errno
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.errors import InputError
from fabricsim.study.compare.store import FORMAT, Store

STUDY = {"command": "compare", "scenes": ["abc"], "grid": {"slack": [0.0, 0.1]}}
ROW = {"draw_in_percent": 2.5, "status": "at rest", "pucker_mm": None}


def test_rows_come_back(tmp_path: Path) -> None:
    path = tmp_path / "rows"
    with Store(path, STUDY) as store:
        store.add("one", ROW)
    with Store(path, STUDY) as store:
        assert store.rows == {"one": ROW}
        store.add("two", {**ROW, "status": "naïve 🧶"})
    with Store(path, STUDY) as store:
        assert list(store.rows) == ["one", "two"]
        with pytest.raises(ValueError, match="there already"):
            store.add("one", ROW)


@given(cut=st.integers(min_value=1, max_value=200))
def test_a_row_cut_off_anywhere_is_dropped_and_nothing_else(tmp_path_factory: pytest.TempPathFactory, cut: int) -> None:
    path = tmp_path_factory.mktemp("cut") / "rows"
    with Store(path, STUDY) as store:
        for key in ("one", "two", "three"):
            store.add(key, ROW)
    data = path.read_bytes()
    begun = len(data.split(b"\n")[0]) + 1
    path.write_bytes(data[: max(begun, len(data) - cut)])
    whole = path.read_bytes().count(b"null}")  # the end of a line may be missing, not that of its row
    with Store(path, STUDY) as store:
        assert list(store.rows) == ["one", "two", "three"][:whole]
        store.add("again", ROW)
    with Store(path, STUDY) as store:
        assert list(store.rows) == [*["one", "two", "three"][:whole], "again"]


def test_rows_are_on_the_disk_when_the_process_is_killed(tmp_path: Path) -> None:
    path = tmp_path / "rows"
    program = (
        "import sys, os, signal; from pathlib import Path; from fabricsim.study.compare.store import Store\n"
        f"store = Store(Path(sys.argv[1]), {STUDY!r}); store.add('one', {ROW!r}); os.kill(os.getpid(), signal.SIGKILL)"
    )
    ended = subprocess.run([sys.executable, "-c", program, str(path)], check=False)
    assert ended.returncode == -signal.SIGKILL
    with Store(path, STUDY) as store:
        assert store.rows == {"one": ROW}


@pytest.mark.parametrize(
    ("content", "given"),
    [
        (
            json.dumps({"format": FORMAT, **STUDY, "scenes": ["xyz"]}) + "\n",
            "the rows of another study (not the same: scenes)",
        ),
        (json.dumps({"format": 0, **STUDY}) + "\n", "the rows of another study (not the same: format)"),
        (
            json.dumps({"format": FORMAT, **STUDY, "more": 1}) + "\n",
            "the rows of another study (not the same: settings)",
        ),
        ("a shopping list\n", "a file that begins otherwise"),
        ("a shopping list", "a file that begins otherwise"),
        ("[1, 2]\n", "a file that begins otherwise"),
        ("\na shopping list\n", "a file that begins otherwise"),
        ("{\na shopping list\n", "a file that begins otherwise"),
        ("\0" * 400, "a file that begins otherwise"),
    ],
)
def test_a_file_of_anything_else_is_refused_and_kept(tmp_path: Path, content: str, given: str) -> None:
    path = tmp_path / "rows"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(InputError) as problem:
        Store(path, STUDY)
    assert given in str(problem.value)
    assert path.read_text(encoding="utf-8") == content


def test_a_folder_or_a_place_that_is_not_there_is_refused(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "no" / "rows"):
        with pytest.raises(InputError, match="a file that can be written"):
            Store(path, STUDY)
    assert os.listdir(tmp_path) == []


def test_two_commands_do_not_write_the_same_rows(tmp_path: Path) -> None:
    path = tmp_path / "rows"
    with Store(path, STUDY) as store:
        with pytest.raises(InputError, match="rows that another command is adding to"):
            Store(path, STUDY)
        store.add("one", ROW)
    with Store(path, STUDY) as store:
        assert store.rows == {"one": ROW}


KEYS = ["one", "two", "three", "four"]


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """Rows of a study that was closed in good order."""
    path = tmp_path / "rows"
    with Store(path, STUDY) as store:
        for key in KEYS:
            store.add(key, {**ROW, "remark": f'{{"seal": "{key}'})  # no row, whatever it looks like
    return path


def row_2(change: Callable[[bytes], bytes]) -> Callable[[list[bytes]], list[bytes]]:
    return lambda lines: [*lines[:2], change(lines[2]), *lines[3:]]


OTHERS = ["one", "three", "four"]
DAMAGE: dict[str, tuple[Callable[[list[bytes]], list[bytes]], list[str], int]] = {
    "cut": (row_2(lambda line: line[:40]), OTHERS, 1),
    "a digit changed": (row_2(lambda line: line.replace(b"2.5", b"2.6")), OTHERS, 1),
    "bytes that are no text": (row_2(lambda line: b"\xff\xfe" + line[2:]), OTHERS, 1),
    "nothing but zeros": (row_2(lambda line: bytes(len(line))), OTHERS, 1),
    "JSON of something else": (row_2(lambda line: b'{"key": "two"}'), OTHERS, 1),
    "JSON that is no row": (row_2(lambda line: b"[1, 2]"), OTHERS, 1),
    "a key twice": (row_2(lambda line: line[:-1] + b', "key": "five"}'), OTHERS, 1),
    "a row of another study": (row_2(lambda line: line.replace(line[10:26], b"0" * 16)), OTHERS, 1),
    "a piece of a row before a row": (row_2(lambda line: line[60:] + line), KEYS, 1),
    "a piece of a row after a row": (row_2(lambda line: line + b"\n" + line[:60]), KEYS, 1),
    "rubbish at the end of a row": (row_2(lambda line: line + line[60:]), OTHERS, 1),
    "the last without its end": (lambda lines: [*lines[:4], lines[4][:50]], KEYS[:3], 1),
    "all but the first": (lambda lines: [lines[0], *(b"?" for _ in lines[1:])], [], 5),
    "the first line": (lambda lines: [b'{"format": 2, "com', *lines[1:]], KEYS, 1),
    "the first line gone": (lambda lines: lines[1:], KEYS, 1),
    "the first line of another study": (lambda lines: [lines[0].replace(b"abc", b"abd"), *lines[1:]], KEYS, 1),
}


@pytest.mark.parametrize("damage", DAMAGE)
def test_what_is_whole_is_kept_and_the_file_as_it_was_stays_beside_it(kept: Path, damage: str) -> None:
    change, left, lines = DAMAGE[damage]
    damaged = b"\n".join(change(kept.read_bytes().split(b"\n")))
    kept.write_bytes(damaged)
    with Store(kept, STUDY) as store:
        assert list(store.rows) == left
        assert store.damaged == lines
        assert store.original == kept.with_name("rows.damaged")
        assert store.original.read_bytes() == damaged
        store.add("five", ROW)
        whole = dict(store.rows)
    with Store(kept, STUDY) as store:
        assert store.rows == whole
        assert (store.damaged, store.original) == (0, None)
    assert sorted(one.name for one in kept.parent.iterdir()) == ["rows", "rows.damaged"]


def test_rows_that_ran_together_are_whole_and_nothing_is_said(kept: Path) -> None:
    before = kept.read_bytes()
    first, *rows = before.split(b"\n")
    for data in (
        first + b"".join(rows),
        first + b"\n" + b"".join(rows),
        before.rstrip(),
        before + b"\n\n",
        before + rows[1] + b"\n",
    ):
        kept.write_bytes(data)
        with Store(kept, STUDY) as store:
            assert list(store.rows) == KEYS
            assert (store.damaged, store.original) == (0, None)
        assert kept.read_bytes() == before


def test_every_damaged_file_stays(kept: Path) -> None:
    for line in (b"first\n", b"second\n"):
        with kept.open("ab") as file:
            file.write(line)
        with Store(kept, STUDY) as store:
            assert store.original is not None
            assert store.original.read_bytes().endswith(line)
    assert sorted(one.name for one in kept.parent.iterdir()) == ["rows", "rows.damaged", "rows.damaged-2"]


@pytest.mark.parametrize("begun", [b"", b'{"form', b"\n"])
def test_a_file_stopped_as_it_began_is_begun_anew_and_one_without_rows_is_taken_away(
    tmp_path: Path, begun: bytes
) -> None:
    path = tmp_path / "rows"
    path.write_bytes(begun)
    with Store(path, STUDY) as store:
        assert (store.damaged, store.rows) == (0, {})
    assert not path.exists()


@pytest.mark.parametrize("call", ["write", "fsync"])
def test_a_full_disk_is_one_line_and_takes_nothing(kept: Path, monkeypatch: pytest.MonkeyPatch, call: str) -> None:
    before, write = kept.read_bytes(), os.write

    def full(file: int, data: bytes = b"") -> int:
        if len(data) > 20:
            return write(file, data[:20])  # what still fits
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with Store(kept, STUDY) as store:
        with monkeypatch.context() as disk:
            disk.setattr(os, call, full)
            with pytest.raises(InputError, match=r"No space left on device.*the same command goes on") as problem:
                store.add("five", ROW)
        assert problem.value.where == str(kept)
        assert kept.read_bytes() == before
        assert list(store.rows) == KEYS
        store.add("five", ROW)
    with Store(kept, STUDY) as store:
        assert (list(store.rows), store.damaged) == ([*KEYS, "five"], 0)


def test_a_damaged_file_is_not_touched_where_its_copy_finds_no_room(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    damaged = kept.read_bytes() + b"garbage\n"
    kept.write_bytes(damaged)

    def full(file: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputError, match=r"rows\.damaged: given 'No space left on device'"):
        Store(kept, STUDY)
    assert kept.read_bytes() == damaged
    assert [one.name for one in kept.parent.iterdir()] == ["rows"]


def test_a_disk_without_locks_is_worked_on_all_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def unable(file: object, how: int) -> None:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr("fabricsim.study.compare.store.fcntl.flock", unable)
    with Store(tmp_path / "rows", STUDY) as one, Store(tmp_path / "rows", STUDY) as other:
        one.add("one", ROW)
        other.add("one", ROW)
        other.add("two", ROW)
    with Store(tmp_path / "rows", STUDY) as store:
        assert (list(store.rows), store.damaged) == (["one", "two"], 0)


def test_what_is_no_file_is_one_line(tmp_path: Path) -> None:
    path = tmp_path / "rows"
    os.mkfifo(path)
    with pytest.raises(InputError, match=r"rows: given '.*'; allowed: a file that can be read and written"):
        Store(path, STUDY)
