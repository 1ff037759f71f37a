"""What programs that a test starts come by: each notes the lines of the watched package that it runs in one file.

Python runs a ``sitecustomize`` that it finds on its way before anything else, so the tests need know nothing of it.
"""

from __future__ import annotations

import mmap
import os
import sys
import threading
from collections import defaultdict
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

BEGIN = "\n\nProgram({root!r}, {package!r}, {noted!r}, {turn!r}).watch()\n"
WIDE = 8
"""Bytes of the number that tells programs that what they have noted has been read."""


class Started:
    """Programs to be started from here on, which are watched; ``folder`` holds what that takes."""

    def __init__(self, folder: Path, root: Path, package: str) -> None:
        folder.mkdir(exist_ok=True)
        noted, turn = folder / "noted", folder / "turn"
        turn.write_bytes(bytes(WIDE))
        noted.write_text("")
        begin = BEGIN.format(root=str(root), package=package, noted=str(noted), turn=str(turn))
        (folder / "sitecustomize.py").write_text(Path(__file__).read_text() + begin)
        os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, (str(folder), os.environ.get("PYTHONPATH"))))
        self._noted = noted.open()
        self._turn = turn.open("r+b")
        self._number = 0

    def ran(self) -> dict[str, set[int]]:
        """Return the lines noted since this was last asked, by module; programs that go on note theirs again."""
        self._number += 1
        self._turn.seek(0)
        self._turn.write(self._number.to_bytes(WIDE))
        self._turn.flush()
        found: defaultdict[str, set[int]] = defaultdict(set)
        for line in self._noted:
            file, _, number = line.rpartition(":")
            found[file].add(int(number))
        return found

    def close(self) -> None:
        self._noted.close()
        self._turn.close()


class Program:
    """This program, which a test has started: it writes to ``noted`` what it runs of the ``package`` at ``root``."""

    def __init__(self, root: str, package: str, noted: str, turn: str) -> None:
        self.watched = os.path.join(root, package) + os.sep
        self.cut = len(root) + 1
        self.noted = os.open(noted, os.O_WRONLY | os.O_APPEND)
        with open(turn, "rb") as file:
            self.turn = mmap.mmap(file.fileno(), WIDE, access=mmap.ACCESS_READ)
        self.turned = bytes(WIDE)
        self.seen: set[tuple[str, int]] = set()
        self.lines_of: dict[int, tuple[CodeType, frozenset[tuple[str, int]]]] = {}

    def watch(self) -> None:
        threading.settrace(self._called)
        sys.settrace(self._called)

    def _called(self, frame: FrameType, _event: str, _more: Any) -> Any:
        code = frame.f_code
        file = code.co_filename
        if not file.startswith(self.watched) or code.co_name == "<module>":
            return None
        self._note(file, code.co_firstlineno)
        if id(code) not in self.lines_of:
            lines = frozenset((file, line) for *_, line in code.co_lines() if line is not None)
            self.lines_of[id(code)] = code, lines
        return None if self.lines_of[id(code)][1] <= self.seen else self._line

    def _line(self, frame: FrameType, _event: str, _more: Any) -> Any:
        self._note(frame.f_code.co_filename, frame.f_lineno)
        return self._line

    def _note(self, file: str, line: int) -> None:
        if self.turn[:] != self.turned:
            self.turned = self.turn[:]
            self.seen.clear()
        if (file, line) not in self.seen:
            self.seen.add((file, line))
            os.write(self.noted, f"{file[self.cut :]}:{line}\n".encode())
