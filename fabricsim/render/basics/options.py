"""What can be drawn, and how well: the words that every part of the drawing shares."""

from __future__ import annotations

from typing import Literal, get_args

from fabricsim.errors import InputError
from fabricsim.render.basics.palette import Rgb

Side = Literal["face", "back"]
Angle = Literal["straight", "three-quarter", "above", "close-up"]
Quality = Literal["full", "draft"]
Ground = Rgb | None
"""What lies behind a fabric: a colour, sRGB 0 to 255, or nothing, which leaves the picture transparent there."""


def check_side(side: str) -> None:
    """Raise InputError unless ``side`` is one of ``Side``."""
    _check("side", side, get_args(Side))


def check_quality(quality: str) -> None:
    """Raise InputError unless ``quality`` is one of ``Quality``."""
    _check("quality", quality, get_args(Quality))


def _check(where: str, given: str, allowed: tuple[str, ...]) -> None:
    if given not in allowed:
        raise InputError(where, repr(given), ", ".join(allowed), "name one of them")
