"""All states of a piece: a tree that only grows, and where in it one is."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from fabricsim.table.drafts.journal import Journal, JournalLine, forget, lines_of
from fabricsim.table.drafts.text import SceneText

AT_HAND = 16
"""Scenes that are kept in memory, read and checked (chosen: whoever undoes and redoes waits for none)."""


@dataclass(frozen=True)
class StateEntry:
    """A state: which came ``before`` (None: the first), by what ``change`` it came about, in which ``stroke``; how many
    ``steps`` of undo lead back to the first; where its text stands in the journal."""

    before: int | None
    change: str
    stroke: int
    steps: int
    start: int
    size: int


@dataclass(frozen=True)
class RestOutcome:
    """What came of a state: width lost, pucker, floats over a limit."""

    loss_percent: float
    pucker_mm: float
    over: int


class History:
    """States by number, from 0; ``now`` is on the table.

    Undo goes to the state before, redo forward again along the way that was undone. A new state forgets that way, but
    not its states: they can be gone to by number. ``outcomes``: what came of those that were brought to rest, the last
    one last; ``beside``: the state that lies beside the one on the table.
    """

    def __init__(self, journal: Journal, path: Path, file: str | None) -> None:
        self.journal, self.path, self.file = journal, path, file
        self.now = 0
        self.kept: int | None = None
        self.outcomes: dict[int, RestOutcome] = {}
        self.beside: int | None = None
        self._entries: list[StateEntry] = []
        self._undone: list[int] = []
        self._at_hand: OrderedDict[int, SceneText] = OrderedDict()

    @classmethod
    def begun(cls, folder: Path, name: str, first: SceneText, file: str | None = None) -> History:
        """Return the history of a piece that begins with ``first``; its journal goes into ``folder``. ``file``: the one
        that it was read from, which then holds it as it is."""
        head = {"path": str(first.path), "file": file}
        history = cls(Journal.begun(folder / f"{name}.jsonl", head), first.path, file)
        history._add(first, "begun", 0, None)
        if file is not None:
            history.keep()
        return history

    @classmethod
    def resumed(cls, journal_path: Path) -> History:
        """Return the history in a journal, to go on with, just where it was left."""
        lines = list(lines_of(journal_path))
        head = lines[0].record
        history = cls(Journal.resumed(journal_path), Path(head["path"]), head["file"])
        for line in lines[1:]:
            history._replay(line)
        return history

    @property
    def draft(self) -> SceneText:
        """The state on the table."""
        return self.state(self.now)

    def __len__(self) -> int:
        return len(self._entries)

    @property
    def undo_steps(self) -> int:
        """How many times one may go back."""
        return self._entries[self.now].steps

    @property
    def redo_steps(self) -> int:
        """How many times one may go forward again."""
        return len(self._undone)

    def before(self, number: int) -> int | None:
        """Return the state before a state."""
        return self._entries[number].before

    def change(self, number: int) -> str:
        """Return by what a state came about."""
        return self._entries[number].change

    def state(self, number: int) -> SceneText:
        """Return a state by its number."""
        if number not in self._at_hand:
            entry = self._entries[number]
            text = self.journal.read(entry.start, entry.size)["text"]
            self._at_hand[number] = SceneText(text, self.path)
        self._at_hand.move_to_end(number)
        while len(self._at_hand) > AT_HAND:
            self._at_hand.popitem(last=False)
        return self._at_hand[number]

    def add(self, draft: SceneText, change: str, stroke: int = 0) -> int:
        """Lay another state on the table; of the same ``stroke``, if that isn't 0, it stands in for the last one."""
        last = self._entries[self.now]
        same = stroke != 0 and stroke == last.stroke and last.before is not None and not self._undone
        self._add(draft, change, stroke, last.before if same else self.now)
        return self.now

    def undo(self) -> bool:
        """Go back; return whether there was anything to go back to."""
        before = self._entries[self.now].before
        if before is None:
            return False
        self.journal.write({"undo": before})
        self._undone.append(self.now)
        self.now = before
        return True

    def redo(self) -> bool:
        """Go forward again; return whether there was anything that had been undone."""
        if not self._undone:
            return False
        self.journal.write({"redo": self._undone[-1]})
        self.now = self._undone.pop()
        return True

    def keep(self) -> None:
        """Note that the file of the piece holds what is on the table."""
        self.journal.write({"kept": self.now})
        self.kept = self.now

    @property
    def is_kept(self) -> bool:
        """Whether the file holds the very text that is on the table."""
        return self.kept is not None and (self.kept == self.now or self.state(self.kept).text == self.draft.text)

    def came_of(self, number: int, outcome: RestOutcome) -> None:
        """Note what came of a state, once it is at rest. It is known even where it can't be kept: then OSError."""
        if self.outcomes.get(number) != outcome:
            self._came_of(number, outcome)
            self.journal.write({"rest": number, **asdict(outcome)})

    def lay_beside(self, number: int | None) -> None:
        """Note which state lies beside the one on the table."""
        self.journal.write({"beside": number})
        self.beside = number

    def note(self, record: Mapping[str, Any]) -> None:
        """Write something into the journal that is no state."""
        self.journal.write(record)

    def close(self) -> None:
        """Write no more; of a piece that nobody changed nothing is kept."""
        self.journal.close()
        if len(self) == 1:
            forget(self.journal.path)

    def _add(self, draft: SceneText, change: str, stroke: int, before: int | None) -> None:
        record = {"state": len(self._entries), "before": before, "change": change, "stroke": stroke, "text": draft.text}
        self._noted(self.journal.write(record))
        self._at_hand[self.now] = draft

    def _noted(self, line: JournalLine) -> None:
        record: Any = line.record
        before = record["before"]
        steps = 0 if before is None else self._entries[before].steps + 1
        self._entries.append(StateEntry(before, record["change"], record["stroke"], steps, line.start, line.size))
        self.now = len(self._entries) - 1
        self._undone.clear()

    def _came_of(self, number: int, outcome: RestOutcome) -> None:
        self.outcomes.pop(number, None)
        self.outcomes[number] = outcome

    def _replay(self, line: JournalLine) -> None:
        record = line.record
        if "state" in record:
            self._noted(line)
        elif "undo" in record:
            self._undone.append(self.now)
            self.now = record["undo"]
        elif "redo" in record:
            self.now = self._undone.pop()
        elif "kept" in record:
            self.kept = record["kept"]
        elif "rest" in record:
            self._came_of(record["rest"], RestOutcome(record["loss_percent"], record["pucker_mm"], record["over"]))
        elif "beside" in record:
            self.beside = record["beside"]
