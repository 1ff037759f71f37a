"""What may be asked of ``floats``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class FloatsOptions:
    """``every`` float, or the longest of each row and yarn; of one ``repeat`` of the chart, or of the whole piece."""

    every: bool = False
    repeat: bool = False
