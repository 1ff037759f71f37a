"""How lengths and gauges are said: the only place that turns metres into words, in centimetres or in inches.

Which of the two is the scene's choice (``units``), and holds for the whole run: ``speak`` is told once, when the scene
is read, and all words, tables and pictures follow. Data for programs are not words: they stay in cm and mm, as their
keys say.
"""

from __future__ import annotations

from contextvars import ContextVar
from typing import Literal

from fabricsim.units import CM, INCH, MM, PER_4_INCHES, PER_10_CM, YARD

Units = Literal["cm", "inch"]
"""What lengths are said in."""
LONG_INCHES = 10.0
"""Inches from which a length has no second decimal (chosen: a tenth of an inch is a quarter of a centimetre)."""

_spoken: ContextVar[Units] = ContextVar("units spoken", default="cm")


def speak(units: Units) -> None:
    """Say lengths in these ``units`` from now on, in this context."""
    _spoken.set(units)


def in_inches() -> bool:
    """Return whether lengths are said in inches."""
    return _spoken.get() == "inch"


def long_unit() -> str:
    """Return the unit of widths and floats: ``cm`` or ``in``."""
    return "in" if in_inches() else "cm"


def long_per_unit() -> float:
    """Return one such unit, m."""
    return INCH if in_inches() else CM


def long_number(metres: float, digits: int = 1, *, signed: bool = False) -> str:
    """Return a width in its unit, without it; ``digits`` of a centimetre, in inches one more below ``LONG_INCHES``."""
    value = metres / long_per_unit()
    if in_inches() and abs(value) < LONG_INCHES:
        digits = min(2, digits + 1)
    return f"{round(value, digits) + 0.0:{'+' if signed else ''}.{digits}f}"  # never -0.0


def long(metres: float, digits: int = 1) -> str:
    """Return a width in words: ``49.5 cm``, ``19.5 in``."""
    return f"{long_number(metres, digits)} {long_unit()}"


def long_plain(metres: float) -> str:
    """Return a length that somebody wrote, without needless digits: ``2.5 cm``, ``1 in``."""
    return f"{metres / long_per_unit():.3g} {long_unit()}" if in_inches() else f"{metres / CM:g} cm"


def fine_unit() -> str:
    """Return the unit of heights and gaps: ``mm`` or ``in``."""
    return "in" if in_inches() else "mm"


def fine_per_unit() -> float:
    """Return one such unit, m."""
    return INCH if in_inches() else MM


def fine_number(metres: float, digits: int = 1) -> str:
    """Return a height in its unit, without it; ``digits`` of a millimetre, in inches always two."""
    return f"{metres / fine_per_unit():.{2 if in_inches() else digits}f}"


def fine(metres: float, digits: int = 1) -> str:
    """Return a height in words: ``0.4 mm``, ``0.02 in``."""
    return f"{fine_number(metres, digits)} {fine_unit()}"


def fine_plain(metres: float) -> str:
    """Return a threshold without needless digits: ``3 mm``, ``0.12 in``."""
    return f"{round(metres / INCH, 2):g} in" if in_inches() else f"{metres / MM:g} mm"


def far_unit() -> str:
    """Return the unit of yarn from a ball: ``m`` or ``yd``."""
    return "yd" if in_inches() else "m"


def far_unit_word() -> str:
    """Return it in full: ``metres``, ``yards``."""
    return "yards" if in_inches() else "metres"


def far_per_unit() -> float:
    """Return one such unit, m."""
    return YARD if in_inches() else 1.0


def gauge_over() -> str:
    """Return over what a gauge is counted: ``10 cm``, ``4 inches``."""
    return "4 inches" if in_inches() else "10 cm"


def gauge_number(per_10_cm: float) -> str:
    """Return stitches or rows of a gauge, counted over ``gauge_over``."""
    return f"{per_10_cm * PER_4_INCHES / PER_10_CM:.4g}" if in_inches() else f"{per_10_cm:g}"


def gauge_said(stitches: float, rows: float, unit: str = "row") -> str:
    """Return a gauge, given to 10 cm, in words: ``19 stitches and 25.5 rows to 10 cm``."""
    return f"{gauge_number(stitches)} stitches and {gauge_number(rows)} {unit}s to {gauge_over()}"
