"""The rows of a comparison and the shapes that its chains have come to, in memory or so that nothing stops them.

A shape is on the disk before the row that it belongs to, and the shape before it goes only after that row: so
whatever stops the study, the last row of every chain that came to rest has its shape. Should it be lost all the same,
the chain can be gone through again from an earlier one, or from its beginning, to the very same shape.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any

from fabricsim.mechanics.assemble import State
from fabricsim.study.compare.shapes import Shapes
from fabricsim.study.compare.store import Store

Row = dict[str, Any]


class Kept:
    """Rows by the number of their setting; ``path``: the file of the rows, None to keep them in memory alone.

    ``hold``: whether to hold every shape in memory too, for pictures. ``store``: what keeps the rows on the disk.
    Raises InputError as ``Store`` does.
    """

    def __init__(self, path: Path | None, identity: Mapping[str, Any], *, hold: bool = False) -> None:
        self.store = Store(path, identity) if path is not None else None
        self._shapes: Shapes | None = None
        self._hold = hold
        self.rows: dict[int, Row] = {}
        self.held: dict[int, State] = {}
        if self.store is not None:
            self._shapes = Shapes(self.store.path.with_name(self.store.path.name + ".shapes"), self.store.seal)
            self.rows = {int(key): row for key, row in self.store.rows.items()}

    def add(self, number: int, row: Row, state: State | None, chain: Sequence[int]) -> None:
        """Keep the row of setting ``number`` of a ``chain`` and the shape that it rests in, if it does."""
        if self.store is not None and self._shapes is not None:
            place = chain.index(number)
            going_on = self._missing_first(chain[place + 1 :])
            if state is not None and going_on:
                self._shapes.write(number, state)
            self.store.add(str(number), row)
            before = [one for one in chain[:place] if one in self.rows and self.rows[one]["at_rest"]]
            if before and (state is not None or not going_on):
                self._shapes.drop(before[-1])
        self.rows[number] = row
        if self._hold and state is not None:
            self.held[number] = state

    def _missing_first(self, numbers: Sequence[int]) -> bool:
        """Return whether one that has no row comes before the next that came to rest: it starts from what is before."""
        for number in numbers:
            if number not in self.rows:
                return True
            if self.rows[number]["at_rest"]:
                return False
        return False

    def shape(self, number: int) -> State | None:
        """Return the shape that a setting came to rest in; None if it is not kept, or not whole."""
        if number in self.held or self._shapes is None:
            return self.held.get(number)
        return self._shapes.read(number)

    def finish(self) -> None:
        """Take away the shapes, once there is nothing to go on from."""
        if self._shapes is not None:
            self._shapes.drop_all()

    def __enter__(self) -> Kept:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.store is not None:
            self.store.__exit__(kind, error, trace)
