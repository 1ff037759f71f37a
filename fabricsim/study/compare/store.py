"""Rows of a study, kept as they come: whoever stops it loses nothing, and whoever goes on repeats nothing.

One line of JSON a row, in UTF-8; the first line says what study it is. Every row is on the disk before ``add`` returns,
so that neither Ctrl-C nor a power cut takes it back. Every row bears a seal, made from its bytes and the first line: so
whatever became of the file is noticed, and a row of another study is none. Rows that are whole are kept; if anything
else is in the file, it is put in order, and a copy of it as it was is left beside it.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
from collections.abc import Iterator, Mapping
from contextlib import suppress
from itertools import count
from pathlib import Path
from types import TracebackType
from typing import Any, NoReturn

from fabricsim.errors import InputError

try:
    import fcntl
except ImportError:  # there are systems without
    fcntl = None  # type: ignore[assignment]

FORMAT = 2
"""Of the file; raised whenever a line changes its meaning."""
SEAL = 16
"""Bytes of a seal, hexadecimal digits of a SHA-256 (chosen: against accidents, not against forgers)."""
BEGINS_A_ROW = b'{"seal": "'
"""Never inside a row, where quotation marks are written with a backslash."""


class Store:
    """The rows of one study in the file ``path``, by their keys; ``identity``: what makes it this study and no other.

    ``damaged``: how many lines of the file were of no use; if any, ``original`` is the copy of it as it was. Raises
    ``InputError`` for a file of another study, or of another format, or that can't be written; it is not touched then.
    A file without a row is taken away at the end.
    """

    def __init__(self, path: Path, identity: Mapping[str, Any]) -> None:
        self.path = path
        self.rows: dict[str, dict[str, Any]] = {}
        self.damaged = 0
        self.original: Path | None = None
        head = {"format": FORMAT, **json.loads(json.dumps(identity))}
        self._head = json.dumps(head, allow_nan=False).encode()
        try:
            self._file = path.open("a+b", buffering=0)
        except OSError as problem:
            raise InputError(str(path), _said(problem), "a file that can be written", "name another file") from None
        try:
            self._lock()
            self._take_up(head)
        except BaseException as problem:
            self._file.close()
            if isinstance(problem, OSError):
                raise InputError(
                    str(path), _said(problem), "a file that can be read and written", "name another file"
                ) from None
            raise

    def _lock(self) -> None:
        """Keep the file to this process, until it ends however it ends.

        Where the system or the disk has no such locks, two commands at once may add the same row; the first counts.
        """
        if fcntl is None:
            return
        try:
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise InputError(
                str(self.path), "rows that another command is adding to", "one at a time", "wait for it, or stop it"
            ) from None
        except OSError:  # a disk in the network, mostly
            pass

    def _take_up(self, head: dict[str, Any]) -> None:
        """Read what is there, put it in order if need be, and begin the file if nothing is."""
        self._file.seek(0)
        data = self._file.read()
        parts = [part for line in data.split(b"\n") for part in _parts(line)]
        first = parts.pop(0) if parts and not parts[0].startswith(BEGINS_A_ROW) else b""
        whole: dict[str, bytes] = {}
        for part in parts:
            row = self._opened(part)
            if row is None:
                self.damaged += 1
            elif row["key"] not in whole:
                whole[row["key"]] = part
                self.rows[row.pop("key")] = row
        begun = not parts and self._head.startswith(first)  # or stopped as it began
        if first != self._head and not whole and not begun:
            self._refuse(first, head)
        in_order = b"".join(line + b"\n" for line in (self._head, *whole.values()))
        if data != in_order:
            self.damaged += bool(whole) and first != self._head
            if self.damaged:
                self.original = _kept_beside(self.path, data)
            pairs = enumerate(zip(data, in_order, strict=False))
            same = next((place for place, (one, other) in pairs if one != other), min(len(data), len(in_order)))
            os.ftruncate(self._file.fileno(), same)
            self._append(in_order[same:])

    def _refuse(self, line: bytes, head: dict[str, Any]) -> NoReturn:
        """Say in what the study is another, by the first line of its file."""
        try:
            found = json.loads(line)
        except ValueError:
            found = None
        given = "a file that begins otherwise"
        if isinstance(found, dict) and "format" in found:
            differing = [key for key in head if found.get(key) != head[key]]
            given = f"the rows of another study (not the same: {', '.join(differing) or 'settings'})"
        todo = "name another file, or take this one away to begin anew"
        raise InputError(str(self.path), given, "rows of this very study, or no file yet", todo)

    def add(self, key: str, row: Mapping[str, Any]) -> None:
        """Keep a row for good, under a ``key`` of its own; raises InputError if the disk takes no more."""
        if key in self.rows:
            raise ValueError(f"row '{key}' is there already")
        line = json.dumps({"key": key, **row}, allow_nan=False).encode()
        self._append(BEGINS_A_ROW + self.seal(line) + b'", ' + line[1:] + b"\n")
        self.rows[key] = dict(row)

    def seal(self, data: bytes) -> bytes:
        """Return the seal of ``data`` that belongs to this study."""
        return hashlib.sha256(self._head + b"\n" + data).hexdigest()[:SEAL].encode()

    def _opened(self, line: bytes) -> dict[str, Any] | None:
        """Return the row of a line; None for a line that isn't as ``add`` wrote it."""
        seal, _, rest = line.removeprefix(BEGINS_A_ROW).partition(b'", ')
        data = b"{" + rest
        if not line.startswith(BEGINS_A_ROW) or seal != self.seal(data):
            return None
        row: dict[str, Any] = json.loads(data)
        return row

    def _append(self, data: bytes) -> None:
        """Write at the end of the file, whole or not at all, and onto the disk."""
        file = self._file.fileno()
        before = os.fstat(file).st_size
        try:
            while data:
                data = data[os.write(file, data) :]
            os.fsync(file)
        except OSError as problem:
            with suppress(OSError):
                os.ftruncate(file, before)
            raise unwritable(self.path, problem) from None

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        # what the file holds counts: Ctrl-C may have come just after a row was written
        empty = os.fstat(self._file.fileno()).st_size <= len(self._head) + 1
        self._file.close()
        if empty:
            with suppress(OSError):
                self.path.unlink()


def unwritable(path: Path, problem: OSError, what: str = "file") -> InputError:
    """Return what is said of a file or folder that takes no more, mostly since the disk is full."""
    full = problem.errno in (errno.ENOSPC, errno.EDQUOT)
    todo = "make room" if full else "clear its way"
    todo += ": what was found so far is kept, and the same command goes on from there"
    return InputError(str(path), _said(problem), f"a {what} that can be written", todo)


def _said(problem: OSError) -> str:
    return f"'{problem.strerror or problem}'"


def _parts(line: bytes) -> Iterator[bytes]:
    """Yield what a line holds: a row, as a rule; several where the ends of their lines were lost."""
    before, *rows = line.split(BEGINS_A_ROW)
    if before:
        yield before
    yield from (BEGINS_A_ROW + row for row in rows)


def _kept_beside(path: Path, data: bytes) -> Path:
    """Write ``data`` to a new file beside ``path``, onto the disk; return its path."""
    for number in count(1):
        copy = path.with_name(f"{path.name}.damaged{f'-{number}' if number > 1 else ''}")
        try:
            with copy.open("xb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
        except FileExistsError:
            continue
        except OSError as problem:
            with suppress(OSError):
                copy.unlink()
            raise unwritable(copy, problem) from None
        return copy
    raise AssertionError("numbers end")
