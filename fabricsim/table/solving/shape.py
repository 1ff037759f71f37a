"""A shape of fabric on its way to a page."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.arrays import AnyArray
from fabricsim.table.messages.frames import frame

TOPOLOGY = ("first", "yarn", "stitch", "float", "cell", "ends", "floats")
"""Arrays that are the same in every frame of one topology."""


@dataclass(frozen=True, eq=False)
class Shape:
    """A fabric ready to be sent, but for what the page that gets it has already: ``head`` and ``arrays``."""

    head: dict[str, object]
    arrays: dict[str, AnyArray]

    @property
    def topology(self) -> int:
        """The number of what stays the same."""
        return int(str(self.head["topology"]))

    def framed(self, *, whole: bool, **head: object) -> bytes:
        """Return the frame; if not ``whole``, without what is the same in every frame of its topology."""
        arrays = {name: array for name, array in self.arrays.items() if whole or name not in TOPOLOGY}
        return frame({**self.head, **head}, arrays)
