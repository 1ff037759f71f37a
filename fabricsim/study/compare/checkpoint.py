"""The rows of a comparison and the shapes that its chains have come to, in memory or so that nothing stops them.

A shape is on the disk before the row that it belongs to, and the shape before it goes only after that row: so
whatever stops the study, the last row of every chain that came to rest has its shape.
"""

from __future__ import annotations

import io
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np

from fabricsim.errors import InputError
from fabricsim.mechanics.assemble import State
from fabricsim.study.compare.store import Store

Row = dict[str, Any]


class Kept:
    """Rows by the number of their setting; ``path``: the file of the rows, None to keep them in memory alone.

    ``hold``: whether to hold every shape in memory too, for pictures. Raises InputError as ``Store`` does.
    """

    def __init__(self, path: Path | None, identity: Mapping[str, Any], *, hold: bool = False) -> None:
        self._store = Store(path, identity) if path is not None else None
        self._folder = path.with_name(path.name + ".shapes") if path is not None else None
        self._hold = hold
        self.rows: dict[int, Row] = {}
        self.held: dict[int, State] = {}
        if self._store is not None:
            self.rows = {int(key): row for key, row in self._store.rows.items()}
        self.found = len(self.rows)

    def add(self, number: int, row: Row, state: State | None, chain: Sequence[int]) -> None:
        """Keep the row of setting ``number`` of a ``chain`` and the shape that it rests in, if it does."""
        before = self._last(chain) if self._folder is not None else None
        going_on = number != chain[-1]
        if self._store is not None and self._folder is not None:
            if state is not None and going_on:
                _write(self._folder, self._file(number), state)
            self._store.add(str(number), row)
            if before is not None and (state is not None or not going_on):
                self._file(before).unlink(missing_ok=True)
        self.rows[number] = row
        if self._hold and state is not None:
            self.held[number] = state

    def left(self, chain: Sequence[int]) -> tuple[Sequence[int], State | None]:
        """Return the settings of a ``chain`` that are not yet solved, and the shape to go on from, if there is one."""
        todo = [number for number in chain if number not in self.rows]
        last = self._last(chain)
        if last is None or not todo:
            return todo, None
        if last in self.held:
            return todo, self.held[last]
        return todo, _read(self._file(last))

    def _last(self, chain: Sequence[int]) -> int | None:
        rested = [number for number in chain if number in self.rows and self.rows[number]["at_rest"]]
        return rested[-1] if rested else None

    def _file(self, number: int) -> Path:
        assert self._folder is not None
        return self._folder / f"{number + 1}.npz"

    def finish(self) -> None:
        """Take away the shapes, once there is nothing to go on from."""
        if self._folder is not None and self._folder.is_dir():
            for one in self._folder.glob("*.npz*"):
                one.unlink(missing_ok=True)
            self._folder.rmdir()

    def __enter__(self) -> Kept:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._store is not None:
            self._store.__exit__(kind, error, trace)
            # what the file holds counts: Ctrl-C may have come just after a row was written
            if self._store.path.read_bytes().count(b"\n") <= 1:
                self._store.path.unlink()


def _write(folder: Path, path: Path, state: State) -> None:
    """Write a shape, whole or not at all, and onto the disk."""
    data = io.BytesIO()
    period_a = np.zeros(0) if state.period_a is None else state.period_a
    np.savez(data, x_nc=state.x_nc, period_a=period_a)
    draft = path.with_name(path.name + ".part")
    try:
        folder.mkdir(exist_ok=True)
        with draft.open("wb") as file:
            file.write(data.getvalue())
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
    except OSError as problem:
        raise InputError(
            str(folder),
            f"'{problem.strerror or problem}'",
            "a folder that can be written",
            "make room, or name another",
        ) from None


def _read(path: Path) -> State:
    try:
        with np.load(path) as data:
            return State(data["x_nc"], data["period_a"] if len(data["period_a"]) else None)
    except (OSError, ValueError, KeyError):
        raise InputError(
            str(path), "no shape to go on from", "the shape that was left there", "take the rows away to begin anew"
        ) from None
