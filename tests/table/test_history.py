"""Every state of a piece: undo and redo without end, all of it in a file that outlives the process."""

from __future__ import annotations

import errno
import tempfile
from pathlib import Path

import hypothesis.strategies as st
import pytest
from hypothesis import settings
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, precondition, rule

from fabricsim.table.drafts.changes import changed
from fabricsim.table.drafts.history import History, RestOutcome
from fabricsim.table.drafts.journal import Journal, lines_of
from fabricsim.table.drafts.keeping import changed_meanwhile, keep
from fabricsim.table.drafts.left import left_behind, let_go, look_into
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.messages.asked import ASKED
from fabricsim.table.serving.others import same_file
from tests.table.test_drafts import SMALL


def begun(folder: Path, text: str = SMALL, file: str | None = None) -> History:
    return History.begun(folder, "piece", SceneText(text, folder / "small.toml"), file)


def painted(history: History, row: int, column: int, yarn: int, stroke: int = 0) -> None:
    asked = ASKED.validate_python({"kind": "paint", "squares": [(row, column, yarn)]})
    draft = changed(history.draft, asked)  # type: ignore[arg-type]
    history.add(draft, "paint", stroke)


class Walks(RuleBasedStateMachine):
    """Changes, undo, redo, and a process that dies at any moment, against plain lists of texts."""

    numbers = Bundle("numbers")

    @initialize()
    def begin(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.history = begun(Path(self.folder.name))
        self.done, self.undone = [SMALL], list[str]()

    def teardown(self) -> None:
        self.history.journal.close()
        self.folder.cleanup()

    @rule(row=st.integers(0, 1), column=st.integers(0, 2), yarn=st.integers(0, 1))
    def paint(self, row: int, column: int, yarn: int) -> None:
        painted(self.history, row, column, yarn)
        self.done.append(self.history.draft.text)
        self.undone.clear()

    @rule(stroke=st.integers(1, 3), row=st.integers(0, 1), column=st.integers(0, 2), yarn=st.integers(0, 1))
    def paint_in_strokes(self, stroke: int, row: int, column: int, yarn: int) -> None:
        stroke += 10 * len(self.history)  # one that no state before had
        for over in range(3):
            painted(self.history, row, (column + over) % 3, yarn, stroke)
        self.done.append(self.history.draft.text)
        self.undone.clear()

    @rule()
    def undo(self) -> None:
        assert self.history.undo() == (len(self.done) > 1)
        if len(self.done) > 1:
            self.undone.append(self.done.pop())

    @rule()
    def redo(self) -> None:
        assert self.history.redo() == bool(self.undone)
        if self.undone:
            self.done.append(self.undone.pop())

    @rule(torn=st.binary(max_size=40).filter(lambda data: b"\n" not in data))
    def die_and_come_back(self, torn: bytes) -> None:
        path = self.history.journal.path
        self.history.journal.close()
        with path.open("ab") as file:
            file.write(torn)  # what was being written
        self.history = History.resumed(path)

    @precondition(lambda self: len(self.done) > 3)
    @rule()
    def undo_all(self) -> None:
        while self.history.undo():
            self.undone.append(self.done.pop())
        assert self.history.draft.text.encode() == SMALL.encode()

    @invariant()
    def all_is_where_it_should_be(self) -> None:
        if not hasattr(self, "history"):
            return
        assert self.history.draft.text == self.done[-1]
        assert self.history.undo_steps == len(self.done) - 1
        assert self.history.redo_steps == len(self.undone)


TestWalks = Walks.TestCase
TestWalks.settings = settings(max_examples=25, stateful_step_count=30, deadline=None)


def test_states_that_were_left_by_another_way_are_still_there(tmp_path: Path) -> None:
    history = begun(tmp_path)
    painted(history, 0, 2, 1)
    other = history.draft.text
    history.undo()
    painted(history, 1, 0, 1)
    assert not history.redo()
    assert history.state(1).text == other
    assert (history.before(1), history.before(2)) == (0, 0)
    history.close()


def test_what_came_of_states_and_what_lay_beside_is_kept(tmp_path: Path) -> None:
    history = begun(tmp_path)
    painted(history, 0, 2, 1)
    loose, tight = RestOutcome(2.5, 1.25, 0), RestOutcome(7.5, 4.0, 3)
    history.came_of(0, tight)
    history.came_of(1, loose)
    size = history.journal.path.stat().st_size
    history.came_of(1, loose)
    assert history.journal.path.stat().st_size == size  # nothing new is nothing to write
    history.came_of(0, loose)
    history.lay_beside(0)
    history.close()
    back = History.resumed(history.journal.path)
    assert list(back.outcomes.items()) == [(1, loose), (0, loose)]  # the last one last
    assert (back.now, back.beside) == (1, 0)
    back.lay_beside(None)
    back.close()
    again = History.resumed(history.journal.path)
    assert again.beside is None
    again.close()
    left = look_into(history.journal.path)
    assert left is not None
    assert left.states == 2


def test_a_stroke_that_was_undone_is_not_gone_on_with(tmp_path: Path) -> None:
    history = begun(tmp_path)
    painted(history, 0, 2, 1, stroke=5)
    first = history.draft.text
    painted(history, 1, 0, 1, stroke=6)
    history.undo()
    painted(history, 1, 1, 1, stroke=5)
    assert history.undo()
    assert history.draft.text == first
    history.close()


def test_what_is_in_its_file_is_not_offered(tmp_path: Path) -> None:
    path = tmp_path / "small.toml"
    history = begun(tmp_path / "state", SMALL, str(path))
    painted(history, 0, 2, 1)
    keep(history)
    history.close()
    assert look_into(history.journal.path) is None


def test_a_line_without_its_end_does_not_count(tmp_path: Path) -> None:
    history = begun(tmp_path)
    painted(history, 0, 2, 1)
    history.close()
    with history.journal.path.open("ab") as file:
        file.write(b'{"undo":0}')  # whole by luck, but what is written next would follow in the same line
    back = History.resumed(history.journal.path)
    assert back.now == 1
    back.close()


def test_nothing_is_kept_of_a_piece_that_nobody_changed(tmp_path: Path) -> None:
    begun(tmp_path).close()
    assert list(tmp_path.iterdir()) == []


def test_a_piece_that_was_left_is_offered_until_it_is_kept_or_let_go(tmp_path: Path) -> None:
    history = begun(tmp_path)
    painted(history, 0, 2, 1)
    history.note({"served": ("127.0.0.1", 4810)})
    history.close()
    (left,) = left_behind(tmp_path, lambda one: False)
    assert (left.title, left.states, left.served) == ("Small", 2, ("127.0.0.1", 4810))
    assert list(left_behind(tmp_path, lambda one: one.served == ("127.0.0.1", 4810))) == []
    assert list(left_behind(tmp_path, lambda one: False, "piece")) == []
    let_go([left])
    assert look_into(left.journal) is None
    back = History.resumed(left.journal)
    painted(back, 0, 2, 0)
    back.close()
    assert look_into(left.journal) is not None


@pytest.mark.parametrize(
    "damage", [b"", b"{", b"[]\n", b'{"form":1}\n', b"\xff\n", b'{"form":1,"file":null}\n{"state":0}\n']
)
def test_a_damaged_journal_is_no_offer_and_no_error(tmp_path: Path, damage: bytes) -> None:
    (tmp_path / "piece.jsonl").write_bytes(damage)
    assert list(left_behind(tmp_path, lambda one: False)) == []


def test_a_journal_that_is_looked_into_is_left_as_it_is(tmp_path: Path) -> None:
    history = begun(tmp_path)
    painted(history, 0, 2, 1)
    history.close()
    with history.journal.path.open("ab") as file:
        file.write(b'{"state":2,')  # of another server, which is just writing it
    before = history.journal.path.read_bytes()
    assert look_into(history.journal.path) is not None
    assert history.journal.path.read_bytes() == before


def test_what_follows_damage_is_cut_off(tmp_path: Path) -> None:
    journal = Journal.begun(tmp_path / "piece.jsonl", {})
    journal.write({"a": 1})
    journal.close()
    whole = journal.path.read_bytes()
    journal.path.write_bytes(whole + b'{"b":2}\ntorn{\n{"c":3}\n')
    assert [line.record for line in lines_of(journal.path)][1:] == [{"a": 1}, {"b": 2}]
    again = Journal.resumed(journal.path)
    again.write({"d": 4})
    again.close()
    assert [line.record for line in lines_of(journal.path)][1:] == [{"a": 1}, {"b": 2}, {"d": 4}]


def test_a_file_is_written_whole_and_not_over_what_somebody_else_wrote(tmp_path: Path) -> None:
    path = tmp_path / "small.toml"
    path.write_bytes(SMALL.replace("\n", "\r\n").encode())
    history = begun(tmp_path / "state", path.read_bytes().decode(), str(path))
    assert history.is_kept
    painted(history, 0, 2, 1)
    assert not history.is_kept
    assert not changed_meanwhile(history)
    keep(history)
    assert path.read_bytes() == SMALL.replace('"xx."', '"xxx"').replace("\n", "\r\n").encode()
    assert history.is_kept
    history.undo()
    assert not history.is_kept
    path.write_text(SMALL + "# of somebody else\n", encoding="utf-8")
    assert changed_meanwhile(history)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["small.toml", "state"]
    history.close()


def test_what_the_disk_refuses_does_not_come_about(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    history = begun(tmp_path)
    painted(history, 0, 2, 1)
    before = history.journal.path.read_bytes()

    def full(number: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("fabricsim.table.drafts.journal.os.fsync", full)
        for change in (lambda: painted(history, 1, 0, 1), history.undo, history.keep):
            with pytest.raises(OSError, match="No space"):
                change()
    assert history.journal.path.read_bytes() == before
    assert (history.now, history.undo_steps, len(history), history.kept) == (1, 1, 2, None)
    painted(history, 1, 0, 1)
    text = history.draft.text
    history.close()
    back = History.resumed(history.journal.path)
    assert back.draft.text == text
    back.close()


def test_a_journal_that_says_wrongly_where_it_was_served_is_no_table(tmp_path: Path) -> None:
    other = begun(tmp_path, file="small.toml")
    other.note({"served": 4810})
    painted(other, 0, 2, 1)
    mine = History.begun(tmp_path, "mine", SceneText(SMALL, tmp_path / "small.toml"), "small.toml")
    assert list(same_file(tmp_path, mine)) == []
    assert look_into(other.journal.path) is None
    other.close()
    mine.close()
