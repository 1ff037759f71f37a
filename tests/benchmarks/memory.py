"""Peak memory of this process while a piece of work runs, as Linux counts it; None elsewhere."""

from __future__ import annotations

import ctypes
import gc
from pathlib import Path

STATUS = Path("/proc/self/status")
RESET = Path("/proc/self/clear_refs")
PEAK_TOO = "5"
"""What ``clear_refs`` is told to bring the peak down to what is resident now (proc(5))."""
KB_PER_MB = 1000.0 / 1.024
"""``status`` counts in units of 1024 bytes; a MB here is a million bytes."""


class Watch:
    """Made just before the work and asked just after it: the peak in all, and its growth over what was there before."""

    def __init__(self) -> None:
        self._before: float | None = None
        if RESET.exists():
            gc.collect()
            _give_back()
            RESET.write_text(PEAK_TOO)
            self._before = _resident("VmRSS")

    def read(self) -> dict[str, float | None]:
        """Return ``peak_mb`` and ``growth_mb``, both None where the system can't tell."""
        if self._before is None:
            return {"peak_mb": None, "growth_mb": None}
        peak = _resident("VmHWM")
        return {"peak_mb": peak, "growth_mb": peak - self._before}


def _resident(field: str) -> float:
    lines = (line.split() for line in STATUS.read_text(encoding="utf-8").splitlines())
    return next(float(words[1]) for words in lines if words[0] == field + ":") / KB_PER_MB


def _give_back() -> None:
    """Hand freed memory back to the system, so that the growth is not served from what earlier work left over."""
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        trim(0)
