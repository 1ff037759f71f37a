"""Rows of a study, kept as they come: whoever stops it loses nothing, and whoever goes on repeats nothing.

One line of JSON a row, in UTF-8; the first line says what study it is. Every row is on the disk before ``add`` returns,
so that neither Ctrl-C nor a power cut takes it back; a line that was cut off as it was written is dropped on opening.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from typing import Any, BinaryIO

from fabricsim.errors import InputError

try:
    import fcntl
except ImportError:  # there are systems without
    fcntl = None  # type: ignore[assignment]

FORMAT = 1
"""Of the file; raised whenever a line changes its meaning."""


class Store:
    """The rows of one study in the file ``path``, by their keys; ``identity``: what makes it this study and no other.

    Raises ``InputError`` for a file of another study, or of another format, or that can't be written; it is not touched
    then.
    """

    def __init__(self, path: Path, identity: Mapping[str, Any]) -> None:
        self.path = path
        self.rows: dict[str, dict[str, Any]] = {}
        head = {"format": FORMAT, **json.loads(json.dumps(identity))}
        try:
            self._file: BinaryIO = path.open("a+b")
        except OSError as problem:
            raise InputError(
                str(path), f"'{problem.strerror or problem}'", "a file that can be written", "name another file"
            ) from None
        try:
            self._lock()
            self._take_up(head)
        except BaseException:
            self._file.close()
            raise

    def _lock(self) -> None:
        """Keep the file to this process, until it ends however it ends; where the system has no such locks, hope."""
        if fcntl is None:
            return
        try:
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise InputError(
                str(self.path), "rows that another command is adding to", "one at a time", "wait for it, or stop it"
            ) from None

    def _take_up(self, head: dict[str, Any]) -> None:
        """Read what is there, and begin the file if nothing is."""
        self._file.seek(0)
        data = self._file.read()
        whole = data[: data.rfind(b"\n") + 1]
        lines = whole.split(b"\n")[:-1]
        if lines:
            self._check(lines[0], head)
            for line in lines[1:]:
                row = json.loads(line)
                self.rows[row.pop("key")] = row
            if len(whole) < len(data):
                os.truncate(self.path, len(whole))
        elif data:
            raise self._other("a file that begins otherwise")
        else:
            self._write(head)

    def _check(self, line: bytes, head: dict[str, Any]) -> None:
        try:
            found = json.loads(line)
        except ValueError:
            found = None
        if not isinstance(found, dict) or "format" not in found:
            raise self._other("a file that begins otherwise")
        differing = [key for key in head if found.get(key) != head[key]]
        if differing or set(found) != set(head):
            raise self._other(f"the rows of another study (not the same: {', '.join(differing) or 'settings'})")

    def _other(self, given: str) -> InputError:
        return InputError(
            str(self.path),
            given,
            "rows of this very study, or no file yet",
            "name another file, or take this one away to begin anew",
        )

    def add(self, key: str, row: Mapping[str, Any]) -> None:
        """Keep a row for good, under a ``key`` of its own."""
        if key in self.rows:
            raise ValueError(f"row '{key}' is there already")
        self._write({"key": key, **row})
        self.rows[key] = dict(row)

    def _write(self, line: Mapping[str, Any]) -> None:
        self._file.write(json.dumps(line, allow_nan=False).encode() + b"\n")
        self._file.flush()
        os.fsync(self._file.fileno())

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()
