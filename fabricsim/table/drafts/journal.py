"""Every state of a piece, kept in a file as it comes about, so that nothing is lost when a process dies.

A line of JSON a record. What was begun when the machine stopped has no end of line: it is cut off when the file is read
again, and all before it counts. Texts stay in the file; what is in memory is where each stands.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import time
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from io import FileIO
from pathlib import Path
from typing import Any

FORM = 1
"""Of these files: raised when an older reader would misread them."""


@dataclass(frozen=True)
class JournalLine:
    """A record and where it stands in the file, bytes."""

    record: Mapping[str, Any]
    start: int
    size: int


class Journal:
    """A file of records that grows; each is on the disk when ``write`` returns, or none of it if it raises OSError."""

    def __init__(self, path: Path, file: FileIO) -> None:
        self.path, self._file = path, file

    @classmethod
    def begun(cls, path: Path, head: Mapping[str, Any]) -> Journal:
        """Return a new journal at ``path``, which must not be there."""
        path.parent.mkdir(parents=True, exist_ok=True)
        journal = cls(path, path.open("x+b", buffering=0))
        journal.write({"form": FORM, "begun": time.time(), **head})
        return journal

    @classmethod
    def resumed(cls, path: Path) -> Journal:
        """Return the journal at ``path``, to go on with; what was half written is cut off."""
        whole = sum(line.size for line in lines_of(path))
        file = path.open("r+b", buffering=0)
        file.truncate(whole)
        return cls(path, file)

    def write(self, record: Mapping[str, Any]) -> JournalLine:
        """Add a record."""
        data = json.dumps(record, separators=(",", ":")).encode() + b"\n"
        start = self._file.seek(0, os.SEEK_END)
        try:
            written = self._file.write(data)
            if written != len(data):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            os.fsync(self._file.fileno())
        except OSError:
            with suppress(OSError):  # else what is written next would be taken for its end
                self._file.truncate(start)
            raise
        return JournalLine(record, start, len(data))

    def read(self, start: int, size: int) -> Mapping[str, Any]:
        """Return the record that stands at ``start``."""
        self._file.seek(start)
        record: Mapping[str, Any] = json.loads(self._file.read(size))
        return record

    def close(self) -> None:
        """Write no more."""
        self._file.close()


def forget(path: Path) -> None:
    """Take away a journal and what was laid beside its scene."""
    with suppress(OSError):
        path.unlink()
    shutil.rmtree(files_beside(path), ignore_errors=True)


def files_beside(path: Path) -> Path:
    """Return the folder for files that the scene of a journal names."""
    return path.with_suffix(".files")


def lines_of(path: Path) -> Iterator[JournalLine]:
    """Yield every whole record of a journal, in order, up to the first that is damaged."""
    start = 0
    with path.open("rb") as file:
        for data in file:
            if not data.endswith(b"\n"):
                return
            try:
                record = json.loads(data)
            except ValueError:
                return
            if not isinstance(record, dict):
                return
            yield JournalLine(record, start, len(data))
            start += len(data)
