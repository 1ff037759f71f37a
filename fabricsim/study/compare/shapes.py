"""The shapes that chains have come to, a file each: what the next setting of a chain starts from."""

from __future__ import annotations

import io
import os
import re
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import numpy as np

from fabricsim.mechanics.assemble import State
from fabricsim.study.compare.store import SEAL, unwritable

OURS = re.compile(r"\d+\.shape(\.part)?")
"""Names of files that are written here; whatever else lies in the folder is somebody else's and stays."""


class Shapes:
    """Shapes in the ``folder``, by the number of their setting; ``seal`` is that of ``Store``: it tells the shapes of
    this study that are whole from all others."""

    def __init__(self, folder: Path, seal: Callable[[bytes], bytes]) -> None:
        self._folder, self._seal = folder, seal

    def write(self, number: int, state: State) -> None:
        """Keep a shape: whole or not at all, and onto the disk. Raises InputError if it can't be written."""
        content = io.BytesIO()
        period_a = np.zeros(0) if state.period_a is None else state.period_a
        np.savez(content, number=number, x_nc=state.x_nc, period_a=period_a)
        path = self._file(number)
        draft = path.with_name(path.name + ".part")
        try:
            self._folder.mkdir(exist_ok=True)
            with draft.open("wb") as file:
                file.write(self._seal(content.getvalue()) + content.getvalue())
                file.flush()
                os.fsync(file.fileno())
            draft.replace(path)
        except OSError as problem:
            with suppress(OSError):
                draft.unlink()
            raise unwritable(self._folder, problem, "folder") from None

    def read(self, number: int) -> State | None:
        """Return a shape; None if it is not there, or not whole, or not of this study."""
        try:
            data = self._file(number).read_bytes()
        except OSError:
            return None
        if data[:SEAL] != self._seal(data[SEAL:]):
            return None
        with np.load(io.BytesIO(data[SEAL:])) as kept:
            if kept["number"] != number:
                return None
            return State(kept["x_nc"], kept["period_a"] if len(kept["period_a"]) else None)

    def drop(self, number: int) -> None:
        """Take a shape away; one that can't be does no harm."""
        with suppress(OSError):
            self._file(number).unlink()

    def drop_all(self) -> None:
        """Take away every shape, and the folder if nothing else is in it."""
        with suppress(OSError):
            for one in list(self._folder.iterdir()):
                if OURS.fullmatch(one.name):
                    with suppress(OSError):
                        one.unlink()
            self._folder.rmdir()

    def _file(self, number: int) -> Path:
        return self._folder / f"{number + 1}.shape"
