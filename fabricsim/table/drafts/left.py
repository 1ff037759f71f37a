"""Pieces that were left on the table: by a server that was ended or killed before they were written into a file."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fabricsim.errors import InputError
from fabricsim.table.drafts.journal import forget, lines_of
from fabricsim.table.drafts.text import SceneText

LOOKED_AT = 12
"""Journals that are looked at, the newest (chosen: nobody looks for older ones, and all of them take half a second)."""
MOST_KEPT = 60
"""Journals that are kept at the most (chosen: months of work)."""


@dataclass(frozen=True)
class Left:
    """A piece that was left: its ``journal``, ``title``, how many ``states`` it had, when the last was made (seconds
    since 1970), the ``file`` that it was read from, and ``host`` and port at which it was ``served`` last."""

    journal: Path
    title: str
    states: int
    when: float
    file: str | None
    served: tuple[str, int] | None

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
    """Return what a journal tells; None if it is none, was let go, or all that it holds is in its file.

    It is only read: another server may be writing it.
    """
    texts: list[tuple[int, int]] = []
    head: Mapping[str, Any] = {}
    now, kept, served, gone = 0, None, None, False
    try:
        for line in lines_of(path):
            record = line.record
            if "form" in record:
                head = record
            elif "state" in record:
                texts.append((line.start, line.size))
                now, gone = len(texts) - 1, False
            elif "undo" in record or "redo" in record:
                now = int(record["undo"] if "undo" in record else record["redo"])
            elif "kept" in record:
                kept = record["kept"]
            elif "served" in record:
                served, gone = served_at(record), False
            elif "let go" in record:
                gone = True
        if gone or not texts or now == kept:
            return None
        text = json.loads(_part(path, *texts[now]))["text"]
        title = SceneText(text, Path(head["path"])).scene.title
        return Left(path, title, len(texts), path.stat().st_mtime, head["file"], served)
    except (OSError, ValueError, KeyError, TypeError, IndexError, InputError):
        return None  # damaged, or a file that it names is gone: nothing that can be laid on the table


def served_at(record: Mapping[str, Any]) -> tuple[str, int]:
    """Return host and port of a record that says where a piece was served."""
    host, port = record["served"]
    return str(host), int(port)


def _part(path: Path, start: int, size: int) -> bytes:
    with path.open("rb") as file:
        file.seek(start)
        return file.read(size)


def let_go(pieces: Iterable[Left]) -> None:
    """Have pieces offered no more; their journals stay until they are among the oldest."""
    for one in pieces:
        with suppress(OSError), one.journal.open("ab") as file:
            file.write(b'{"let go":true}\n')


def sweep(folder: Path) -> None:
    """Take away the oldest journals where there are very many."""
    for path in journals(folder)[MOST_KEPT:]:
        forget(path)
