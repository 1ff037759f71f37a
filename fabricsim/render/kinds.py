"""What can be drawn, and how well: the words that every part of the drawing shares."""

from __future__ import annotations

from typing import Literal, get_args

from fabricsim.errors import InputError

Side = Literal["face", "back"]
Quality = Literal["full", "draft"]


def check_side(side: str) -> None:
    """Raise InputError unless ``side`` is one of ``Side``."""
    _check("side", side, get_args(Side))


def check_quality(quality: str) -> None:
    """Raise InputError unless ``quality`` is one of ``Quality``."""
    _check("quality", quality, get_args(Quality))


def _check(where: str, given: str, allowed: tuple[str, ...]) -> None:
    if given not in allowed:
        raise InputError(where, repr(given), ", ".join(allowed), "name one of them")
