"""What a history writes down, keeps at hand and comes back with; how it is looked into, kept in its file and let go."""

from __future__ import annotations

import errno
import json
import os
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from fabricsim.errors import InputError
from fabricsim.table.drafts import history as history_module
from fabricsim.table.drafts import journal as journal_module
from fabricsim.table.drafts import left as left_module
from fabricsim.table.drafts.history import History, RestOutcome
from fabricsim.table.drafts.journal import FORM, Journal, files_beside, forget, lines_of
from fabricsim.table.drafts.keeping import changed_meanwhile, keep
from fabricsim.table.drafts.left import Left, journals, left_behind, let_go, look_into, sweep
from fabricsim.table.drafts.text import SceneText
from tests.table.test_drafts import SMALL

TEXTS = [SMALL, *(SMALL.replace("Small", title) for title in ("One", "Two", "Three", "Four"))]
PATH = Path("small.toml")


@pytest.fixture
def history(tmp_path: Path) -> Iterator[History]:
    one = History.begun(tmp_path / "state", "piece", SceneText(SMALL, PATH), str(tmp_path / "small.toml"))
    yield one
    one.journal.close()


def add(history: History, number: int, stroke: int = 0) -> int:
    return history.add(SceneText(TEXTS[number], PATH), f"change {number}", stroke)


def walked(history: History) -> None:
    """Go about in a history so that all that it writes down is there."""
    assert [add(history, 1), add(history, 2, 5), add(history, 3, 5)] == [1, 2, 3]
    history.undo()
    history.redo()
    history.keep()
    history.came_of(3, RestOutcome(1.5, 2.5, 3))
    history.lay_beside(1)
    history.note({"served": ["here", 1]})
    history.undo()


def test_all_of_it_is_written_down_as_it_comes_about(history: History, tmp_path: Path) -> None:
    walked(history)
    head, *records = [line.record for line in lines_of(history.journal.path)]
    assert {**head, "begun": 0} == {
        "form": FORM, "begun": 0, "path": "small.toml", "file": str(tmp_path / "small.toml"),
    }  # fmt: skip
    assert FORM == 1  # journals of older tables are read

    def state(number: int, before: int | None, change: str, stroke: int) -> dict[str, object]:
        return {"state": number, "before": before, "change": change, "stroke": stroke, "text": TEXTS[number]}

    assert records == [
        state(0, None, "begun", 0), {"kept": 0}, state(1, 0, "change 1", 0), state(2, 1, "change 2", 5),
        state(3, 1, "change 3", 5), {"undo": 1}, {"redo": 3}, {"kept": 3},
        {"rest": 3, "loss_percent": 1.5, "pucker_mm": 2.5, "over": 3}, {"beside": 1}, {"served": ["here", 1]},
        {"undo": 1},
    ]  # fmt: skip
    for line in lines_of(history.journal.path):
        data = history.journal.path.read_bytes()[line.start : line.start + line.size]
        assert data == json.dumps(line.record, separators=(",", ":")).encode() + b"\n"


def standing(history: History) -> dict[str, Any]:
    return {
        "now": history.now, "undo": history.undo_steps, "redo": history.redo_steps, "kept": history.kept,
        "states": [history.state(number).text for number in range(len(history))], "beside": history.beside,
        "outcomes": history.outcomes, "path": history.path, "file": history.file, "is_kept": history.is_kept,
        "came": [(history.before(number), history.change(number)) for number in range(len(history))],
    }  # fmt: skip


def test_it_comes_back_just_as_it_was_left(history: History, tmp_path: Path) -> None:
    walked(history)
    before = standing(history)
    assert before == {
        "now": 1, "undo": 1, "redo": 1, "kept": 3, "states": TEXTS[:4], "beside": 1, "path": PATH,
        "outcomes": {3: RestOutcome(1.5, 2.5, 3)}, "file": str(tmp_path / "small.toml"), "is_kept": False,
        "came": [(None, "begun"), (0, "change 1"), (1, "change 2"), (1, "change 3")],
    }  # fmt: skip
    history.journal.close()
    back = History.resumed(history.journal.path)
    assert standing(back) == before
    assert (back.redo(), back.is_kept, back.redo(), back.now) == (True, True, False, 3)
    back.journal.close()


def test_a_stroke_is_gone_on_with_only_where_it_is(history: History) -> None:
    add(history, 1, 5)
    add(history, 2, 5)
    assert (history.before(2), history.undo_steps) == (0, 1)
    add(history, 3, 6)
    assert (history.before(3), history.undo_steps) == (2, 2)
    add(history, 4)
    add(history, 1)
    assert [history.before(number) for number in (4, 5)] == [3, 4]
    history.undo()
    add(history, 2)
    assert (history.before(6), history.redo_steps) == (4, 0)


def test_a_stroke_at_the_very_beginning_does_not_replace_it(tmp_path: Path) -> None:
    journal = Journal.begun(tmp_path / "piece.jsonl", {"path": "small.toml", "file": None})
    journal.write({"state": 0, "before": None, "change": "begun", "stroke": 5, "text": SMALL})
    journal.close()
    back = History.resumed(journal.path)
    add(back, 1, 5)
    assert (back.before(1), back.undo()) == (0, True)
    back.journal.close()


def test_scenes_that_were_asked_for_last_are_at_hand(history: History, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(history_module, "AT_HAND", 2)
    for number in (1, 2, 3):
        add(history, number)
    last, one = history.state(3), history.state(1)
    assert history.state(3) is last
    two = history.state(2)  # now of these the last two are there: 3 and 2
    assert (history.state(3) is last, history.state(2) is two) == (True, True)
    assert history.state(1) is not one
    assert history.state(1).text == one.text == TEXTS[1]
    assert history.state(2) is two
    assert len(history._at_hand) == 2


def test_what_came_of_a_state_is_known_even_where_it_cannot_be_written(
    history: History, monkeypatch: pytest.MonkeyPatch
) -> None:
    outcome = RestOutcome(1.0, 2.0, 3)
    monkeypatch.setattr(history.journal, "write", full)
    with pytest.raises(OSError, match="full"):
        history.came_of(0, outcome)
    assert history.outcomes == {0: outcome}


def full(*what: object) -> Any:
    raise OSError(errno.ENOSPC, "the disk is full")


def test_a_piece_that_was_changed_stays_when_it_is_closed(history: History) -> None:
    add(history, 1)
    history.close()
    assert history.journal.path.exists()
    with pytest.raises(ValueError, match="closed"):
        history.note({})


class ShortFile:
    """A file on a disk where only a few bytes fit."""

    def __init__(self, file: Any) -> None:
        self.file = file

    def __getattr__(self, name: str) -> Any:
        return getattr(self.file, name)

    def write(self, data: bytes) -> int:
        return int(self.file.write(data[:3]))


def test_half_a_record_is_none(tmp_path: Path) -> None:
    journal = Journal.begun(tmp_path / "new" / "piece.jsonl", {"a": 1})
    before = journal.path.read_bytes()
    with pytest.raises(FileExistsError):
        Journal.begun(journal.path, {})
    file: Any = journal._file
    journal._file = ShortFile(file)  # type: ignore[assignment]
    with pytest.raises(OSError, match=os.strerror(errno.ENOSPC)) as caught:
        journal.write({"b": 2})
    assert (caught.value.errno, journal.path.read_bytes()) == (errno.ENOSPC, before)
    journal._file = file
    line = journal.write({"b": 2})
    assert (line.record, line.start, line.size) == ({"b": 2}, len(before), 8)
    assert journal.read(line.start, line.size) == {"b": 2}
    assert journal.write({"c": 3}).start == len(before) + 8  # wherever was read last
    journal.close()


def test_every_record_is_on_the_disk_before_it_counts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[int] = []
    monkeypatch.setattr(journal_module.os, "fsync", synced.append)
    journal = Journal.begun(tmp_path / "piece.jsonl", {})
    journal.write({})
    assert synced == [journal._file.fileno()] * 2
    journal.close()


def test_a_piece_is_forgotten_with_what_lies_beside_its_scene(tmp_path: Path) -> None:
    path = tmp_path / "piece.jsonl"
    beside = files_beside(path)
    assert beside == tmp_path / "piece.files"
    path.write_bytes(b"")
    beside.mkdir()
    (beside / "motif.txt").write_bytes(b"")
    forget(path)
    forget(path)  # which is no error
    assert list(tmp_path.iterdir()) == []


def test_what_is_in_its_file_or_let_go_is_not_offered(history: History, tmp_path: Path) -> None:
    path = history.journal.path
    add(history, 1)
    add(history, 2)
    history.note({"served": ("127.0.0.1", 4810)})
    history.note({"served": ("::1", "4811")})
    title, file, when = "Two", str(tmp_path / "small.toml"), path.stat().st_mtime
    left = Left(path, title, 3, when, file, ("::1", 4811))
    assert (look_into(path), left.name) == (left, "piece")
    history.undo()
    assert look_into(path).title == "One"  # type: ignore[union-attr]
    history.redo()
    assert look_into(path).title == "Two"  # type: ignore[union-attr]
    history.keep()
    assert look_into(path) is None
    history.undo()
    assert look_into(path) is not None
    let_go([left])
    assert look_into(path) is None
    history.note({"served": ("127.0.0.1", 4810)})  # it was gone on with
    assert look_into(path) is not None
    let_go([left])
    add(history, 3)
    assert look_into(path) is not None
    assert [line.record for line in lines_of(path)].count({"let go": True}) == 2


def test_the_newest_are_looked_at_and_the_oldest_swept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for number in range(4):
        one = History.begun(tmp_path, f"piece {number}", SceneText(SMALL, PATH))
        add(one, number or 1)
        one.journal.close()
        os.utime(one.journal.path, (number // 2, number // 2))
    (tmp_path / "secret-4810").write_bytes(b"")
    assert [path.stem for path in journals(tmp_path)] == [f"piece {number}" for number in (3, 2, 1, 0)]
    assert journals(tmp_path / "nowhere") == []

    def offered(*is_open: str, but: str = "") -> list[str]:
        return [one.name for one in left_behind(tmp_path, lambda one: one.name in is_open, but)]

    assert offered() == ["piece 3", "piece 2", "piece 1", "piece 0"]
    assert offered("piece 2", but="piece 3") == ["piece 1", "piece 0"]
    monkeypatch.setattr(left_module, "LOOKED_AT", 2)
    assert offered() == ["piece 3", "piece 2"]
    monkeypatch.setattr(left_module, "MOST_KEPT", 3)
    sweep(tmp_path)
    assert sorted(path.stem for path in journals(tmp_path)) == ["piece 1", "piece 2", "piece 3"]
    untouched = History.begun(tmp_path, "untouched", SceneText(SMALL, PATH))
    assert [one.name for one in left_behind(tmp_path, lambda one: False)] == ["piece 3"]  # nobody changed it
    untouched.close()


def test_a_file_keeps_its_rights_and_nothing_is_left_beside_it(history: History, tmp_path: Path) -> None:
    path = tmp_path / "small.toml"
    add(history, 1)
    keep(history)
    assert (path.read_bytes(), history.kept, stat.S_IMODE(path.stat().st_mode)) == (TEXTS[1].encode(), 1, 0o600)
    path.chmod(0o640)
    add(history, 2)
    keep(history)
    assert (path.read_bytes(), stat.S_IMODE(path.stat().st_mode)) == (TEXTS[2].encode(), 0o640)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["small.toml", "state"]


def test_a_file_that_cannot_be_written_is_said_and_stays(
    history: History, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "small.toml"
    path.write_bytes(b"before")
    add(history, 1)
    monkeypatch.setattr("fabricsim.table.drafts.keeping.os.replace", full)
    with pytest.raises(InputError) as refused:
        keep(history)
    why = "given the disk is full; allowed: a file that can be written; see to that"
    assert (str(refused.value), path.read_bytes()) == (f"{path}: {why}", b"before")
    assert history.kept == 0
    assert sorted(one.name for one in tmp_path.iterdir()) == ["small.toml", "state"]


def test_whether_a_file_was_changed_meanwhile_is_seen_by_what_it_holds(history: History, tmp_path: Path) -> None:
    path = tmp_path / "small.toml"
    assert changed_meanwhile(history)  # it is gone
    path.write_bytes(SMALL.encode())
    assert not changed_meanwhile(history)
    add(history, 1)
    assert not changed_meanwhile(history)
    path.write_bytes(TEXTS[1].encode())
    assert changed_meanwhile(history)
    history.kept = None
    assert not changed_meanwhile(history)
    history.kept, history.file = 0, None
    assert not changed_meanwhile(history)
