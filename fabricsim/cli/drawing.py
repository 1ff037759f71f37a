"""What can be asked of a drawing, checked before anything heavy is loaded."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isfinite
from typing import Literal, get_args

from fabricsim.design.yarn import COLOUR, rgb_of
from fabricsim.errors import InputError
from fabricsim.render.kinds import PAPER, Angle, Ground, Side
from fabricsim.units import CM, INCH

View = Literal["face", "back", "three-quarter", "close-up"]
DPI = 300.0
"""Dots per inch in print (common practice for photographs)."""
MOST_DPI = 2400.0
"""More than any printer puts on paper (chosen)."""
USUAL_PX = 1600
"""Width of a drawing, pixels (chosen: sharp on a screen, half a page in print)."""
GROUNDS: dict[str, Ground] = {"paper": PAPER, "white": (255, 255, 255), "transparent": None}
"""Grounds that have names."""


@dataclass(frozen=True)
class Sized:
    """How large: ``width_px`` pixels wide, or ``metres_per_px`` of fabric; ``dpi`` if a size in print was asked for."""

    width_px: int | None = None
    metres_per_px: float | None = None
    dpi: float | None = None

    @property
    def life_size(self) -> bool:
        """Whether the fabric comes out as large as it is."""
        return self.metres_per_px is not None

    @classmethod
    def of(cls, width_px: int | None, width_cm: float | None, true_size: bool, dpi: float | None) -> Sized:
        """Return the one size that was asked for, ``USUAL_PX`` by default; raises ``InputError`` for two of them."""
        asked = [
            name
            for name, given in (("--width", width_px), ("--width-cm", width_cm), ("--true-size", true_size or None))
            if given is not None
        ]
        if len(asked) > 1:
            raise InputError(" and ".join(asked), "together", "one size", f"leave out {' or '.join(asked[1:])}")
        if dpi is not None and not 1.0 <= dpi <= MOST_DPI:
            raise InputError("--dpi", f"{dpi:g}", f"from 1 to {MOST_DPI:g}", "300 is usual")
        if true_size:
            return cls(metres_per_px=INCH / (dpi or DPI), dpi=dpi or DPI)
        if width_cm is not None:
            if not (isfinite(width_cm) and width_cm > 0.0):
                raise InputError("--width-cm", f"{width_cm:g}", "a width above 0", "say how wide it is to be in print")
            return cls(width_px=max(1, round(width_cm * CM / INCH * (dpi or DPI))), dpi=dpi or DPI)
        return cls(width_px=width_px or USUAL_PX, dpi=dpi)


@dataclass(frozen=True)
class Ask:
    """One drawing: ``side`` and ``angle`` it is seen from; for a close-up the ``at`` (row, stitch), as charts count
    them, or None, and how many stitches ``across``."""

    side: Side
    angle: Angle
    size: Sized
    ground: Ground
    bare: bool
    draft: bool
    at: tuple[int, int] | None = None
    across: int = 9

    @property
    def name(self) -> str:
        """A name for its file."""
        return self.side if self.angle == "straight" else f"{self.angle}-{self.side}"


def ask_for(
    *, view: str, side: str, at: str | None, across: int, size: Sized, ground: str, bare: bool, draft: bool
) -> Ask:
    """Return what was asked for in words; raises ``InputError``."""
    _check("--view", view, get_args(View))
    _check("--side", side, get_args(Side))
    seen: Side = "back" if view == "back" or (side == "back" and view != "face") else "face"
    if side == "back" and view == "face":
        raise InputError(
            "--side", "'back' with --view face", "a side with three-quarter or close-up", "say --view back"
        )
    angle: Angle = "straight" if view in get_args(Side) else view  # type: ignore[assignment]
    if at is not None and angle != "close-up":
        raise InputError("--at", f"with --view {view}", "with --view close-up only", "add --view close-up")
    behind = _ground(ground)
    return Ask(seen, angle, size, behind, bare or behind is None, draft, None if at is None else _place(at), across)


def _place(given: str) -> tuple[int, int]:
    found = re.fullmatch(r"\s*(\d{1,6})\s*[,x ]\s*(\d{1,6})\s*", given)
    if found is None:
        raise InputError("--at", f"'{given}'", "a row and a stitch, such as 12,30", "count from the bottom right")
    return int(found[1]), int(found[2])


def _ground(given: str) -> Ground:
    if given in GROUNDS:
        return GROUNDS[given]
    if re.fullmatch(COLOUR, given) is None:
        raise InputError(
            "--ground", f"'{given}'", f"{', '.join(GROUNDS)} or a colour such as '#e8e4da'", "name one of them"
        )
    return rgb_of(given)


def _check(where: str, given: str, allowed: tuple[str, ...]) -> None:
    if given not in allowed:
        raise InputError(where, f"'{given}'", ", ".join(allowed), "name one of them")
