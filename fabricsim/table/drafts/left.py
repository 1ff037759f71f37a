"""Pieces that were left on the table: by a server that was ended or killed before they were written into a file."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from fabricsim.errors import InputError
from fabricsim.table.drafts.history import History
from fabricsim.table.drafts.journal import lines_of

LOOKED_AT = 12
"""Journals that are looked at, the newest (chosen: nobody looks for older ones, and all of them take half a second)."""
MOST_KEPT = 60
"""Journals that are kept at the most (chosen: months of work)."""


@dataclass(frozen=True)
class Left:
    """A piece that was left: its ``journal``, ``title``, how many ``states`` it had, when the last was made (seconds
    since 1970), the ``file`` that it was read from, and the ``port`` at which it was served last."""

    journal: Path
    title: str
    states: int
    when: float
    file: str | None
    port: int | None

    @property
    def name(self) -> str:
        return self.journal.stem


def journals(folder: Path) -> list[Path]:
    """Return all journals, the newest first."""
    with suppress(OSError):
        return sorted(folder.glob("*.jsonl"), key=lambda path: (path.stat().st_mtime, path.name), reverse=True)
    return []


def left_behind(folder: Path, is_open: Callable[[Left], bool], but: str = "") -> Iterator[Left]:
    """Yield the pieces whose last state is in no file, the newest first; not the one called ``but``, nor what
    ``is_open`` at another table."""
    for path in journals(folder)[:LOOKED_AT]:
        if path.stem == but:
            continue
        found = look_into(path)
        if found is not None and found.states > 1 and not is_open(found):
            yield found


def look_into(path: Path) -> Left | None:
    """Return what a journal tells; None if it is none, was let go, or all that it holds is in its file."""
    head, states, now, kept, port, gone = None, 0, 0, None, None, False
    try:
        for line in lines_of(path):
            record = line.record
            if "form" in record:
                head = record
            elif "state" in record:
                states, now, gone = states + 1, int(record["state"]), False
            elif "undo" in record or "redo" in record:
                now = int(record.get("undo", record.get("redo", now)))
            elif "kept" in record:
                kept = record["kept"]
            elif "served" in record:
                port, gone = int(record["served"]), False
            elif "let go" in record:
                gone = True
        if head is None or gone or not states or now == kept:
            return None
        history = History.resumed(path)
        try:
            title = history.draft.scene.title
        finally:
            history.journal.close()
        return Left(path, title, states, path.stat().st_mtime, head["file"], port)
    except (OSError, ValueError, KeyError, TypeError, IndexError, InputError):
        return None  # damaged, or its file's companions are gone: nothing that can be laid on the table


def let_go(pieces: Iterable[Left]) -> None:
    """Have pieces offered no more; their journals stay until they are among the oldest."""
    for one in pieces:
        with suppress(OSError), one.journal.open("ab") as file:
            file.write(b'{"let go":true}\n')


def sweep(folder: Path) -> None:
    """Take away the oldest journals where there are very many."""
    for path in journals(folder)[MOST_KEPT:]:
        with suppress(OSError):
            path.unlink()
