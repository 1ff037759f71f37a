"""What may be asked of ``chart``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class ChartOptions:
    """One repeat or the whole ``piece``, or all ``sizes`` on one chart (by a ``forecast``, or at once); in ``square``
    squares, plain ``marks`` for symbols, in ``grey``."""

    piece: bool = False
    sizes: bool = False
    forecast: bool = True
    square: bool = False
    marks: bool = False
    grey: bool = False
