"""Rows that outlive whatever stops their study."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.errors import InputError
from fabricsim.study.compare.store import Store

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
def test_a_line_cut_off_anywhere_is_dropped_and_nothing_else(
    tmp_path_factory: pytest.TempPathFactory, cut: int
) -> None:
    path = tmp_path_factory.mktemp("cut") / "rows"
    with Store(path, STUDY) as store:
        for key in ("one", "two", "three"):
            store.add(key, ROW)
    data = path.read_bytes()
    begun = len(data.split(b"\n")[0]) + 1
    path.write_bytes(data[: max(begun, len(data) - cut)])
    whole = path.read_bytes().count(b"\n") - 1
    with Store(path, STUDY) as store:
        assert list(store.rows) == ["one", "two", "three"][:whole]
        store.add("again", ROW)
    with Store(path, STUDY) as store:
        assert list(store.rows) == [*["one", "two", "three"][:whole], "again"]


def test_rows_are_on_the_disk_when_the_process_is_killed(tmp_path: Path) -> None:
    path = tmp_path / "rows"
    program = (
        "import sys, os, signal; from pathlib import Path; from fabricsim.study.store import Store\n"
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
            json.dumps({"format": 1, **STUDY, "scenes": ["xyz"]}) + "\n",
            "the rows of another study (not the same: scenes)",
        ),
        (json.dumps({"format": 0, **STUDY}) + "\n", "the rows of another study (not the same: format)"),
        (json.dumps({"format": 1, **STUDY, "more": 1}) + "\n", "the rows of another study (not the same: settings)"),
        ("a shopping list\n", "a file that begins otherwise"),
        ("a shopping list", "a file that begins otherwise"),
        ("[1, 2]\n", "a file that begins otherwise"),
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
