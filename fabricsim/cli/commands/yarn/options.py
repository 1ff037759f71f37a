"""What may be asked of ``yarn``."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.design.counted.yarn_amounts import MARGIN_PERCENT
from fabricsim.errors import InputError


@dataclass(frozen=True)
class YarnOptions:
    """For which size, or for all ``sizes``, whether by a ``forecast``; how many ``pieces``, how much to spare
    (``margin``, per cent), at which ``slack`` (None: the scene's), and whether with cast-on and bind-off (``edges``).

    Raises ``InputError`` if all sizes and one are asked for.
    """

    across: int | None = None
    size: str | None = None
    sizes: bool = False
    forecast: bool = True
    pieces: int = 1
    margin: float = MARGIN_PERCENT
    slack: float | None = None
    edges: bool = True

    def __post_init__(self) -> None:
        if self.sizes and (self.size is not None or self.across is not None):
            given = "together with " + ("--size" if self.size is not None else "--across")
            raise InputError("--sizes", given, "one of the two", "leave one out")
