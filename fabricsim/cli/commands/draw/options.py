"""What can be asked of a drawing, checked before anything heavy is loaded."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal, get_args

from fabricsim.cli.shell.options import Load, one_of
from fabricsim.design.scene.worn_on import On
from fabricsim.design.scene.yarn import COLOUR, rgb_of
from fabricsim.errors import InputError
from fabricsim.render.basics.options import Angle, Ground, Side
from fabricsim.render.basics.palette import PAPER
from fabricsim.units import CM, INCH

View = Literal["face", "back", "three-quarter", "above", "close-up", "section"]
SIDED = ("face", "back")
"""Views that are a side by themselves."""
Show = Literal["yarn", "pull", "pucker"]
DPI = 300.0
"""Dots per inch in print (common practice for photographs)."""
MOST_DPI = 2400.0
"""More than any printer puts on paper (chosen)."""
LEAST_CM, MOST_CM = 0.1, 1000.0
"""Widths in print (chosen: a speck, and a banner)."""
USUAL_PX = 1600
"""Width of a drawing, pixels (chosen: sharp on a screen, half a page in print)."""
GROUNDS: dict[str, Ground] = {"paper": PAPER, "white": (255, 255, 255), "transparent": None}
"""Grounds that have names."""


@dataclass(frozen=True)
class PictureSize:
    """How large: ``width_px`` pixels wide, or ``metres_per_px`` of fabric; ``dpi`` if a size in print was asked for."""

    width_px: int | None = None
    metres_per_px: float | None = None
    dpi: float | None = None

    @property
    def life_size(self) -> bool:
        """Whether the fabric comes out as large as it is."""
        return self.metres_per_px is not None

    @classmethod
    def of(cls, width_px: int | None, width_cm: float | None, true_size: bool, dpi: float | None) -> PictureSize:
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
            if not LEAST_CM <= width_cm <= MOST_CM:
                ends = f"from {LEAST_CM:g} to {MOST_CM:g} cm"
                raise InputError("--width-cm", f"{width_cm:g}", ends, "say how wide it is to be in print")
            width_px = max(1, round(width_cm * CM / INCH * (dpi or DPI)))
            _check_px("--width-cm", f"{width_cm:g} at {dpi or DPI:g} dots per inch, {width_px} pixels", width_px)
            return cls(width_px=width_px, dpi=dpi or DPI)
        _check_px("--width", f"{width_px}", width_px or USUAL_PX)
        return cls(width_px=width_px or USUAL_PX, dpi=dpi)


def _check_px(option: str, given: str, width_px: int) -> None:
    from fabricsim.render.basics.memory import MOST_SIDE

    if width_px > MOST_SIDE:
        raise InputError(option, given, f"at most {MOST_SIDE} pixels", "ask for less")


@dataclass(frozen=True)
class DrawOptions:
    """One drawing of a fabric in its ``load`` case.

    ``view`` as asked for, and the ``side`` that it is seen from; ``show``: what the colours of the yarn say; of a
    close-up the ``at`` (row, stitch), as charts count them, or None, and how many stitches ``across``; of a section the
    ``row``, likewise; ``on`` what it is put on, if anything, and on which body.
    """

    load: Load
    view: View
    side: Side
    size: PictureSize
    ground: Ground
    bare: bool
    draft: bool
    show: Show = "yarn"
    at: tuple[int, int] | None = None
    across: int = 9
    row: int | None = None
    on: On | None = None
    on_size: str | None = None

    @property
    def whole(self) -> bool:
        """Whether all of the piece is drawn."""
        return self.load.whole

    @property
    def angle(self) -> Angle:
        """The angle of a picture of the fabric."""
        return self.view if self.view in ("three-quarter", "above", "close-up") else "straight"

    @property
    def lying(self) -> bool:
        """Whether a flat piece is seen as it lies, its edges curled: aslant, and in the colours of its yarn. From
        straight above they would hide rows of the chart, and what is measured is measured pinned flat."""
        return self.view == "three-quarter" and self.show == "yarn"

    @property
    def name(self) -> str:
        """A name for its file."""
        seen = self.view if self.view in (*SIDED, "above", "section") else f"{self.view}-{self.side}"
        seen = f"whole-{seen}" if self.whole else seen
        seen = seen if self.on is None else f"{seen}-on-{self.on}"
        return seen if self.show == "yarn" else f"{seen}-{self.show}"


def options_in_words(
    *,
    load: Load,
    view: str,
    side: str,
    show: str,
    at: str | None,
    across: int,
    row: int | None,
    on: On | None = None,
    on_size: str | None = None,
    size: PictureSize,
    ground: str,
    bare: bool,
    draft: bool,
) -> DrawOptions:
    """Return what was asked for in words; raises ``InputError``."""
    chosen, from_side = one_of("--view", view, get_args(View)), one_of("--side", side, get_args(Side))
    shown, behind = one_of("--show", show, get_args(Show)), _ground(ground)
    if chosen == "above" and not load.whole:
        raise InputError("--view", "'above'", "with --whole only", "add --whole")
    if from_side == "back" and chosen in ("face", "above", "section"):
        other = "say --view back" if chosen == "face" else "leave it out"
        raise InputError("--side", f"'back' with --view {chosen}", "a side with three-quarter or close-up", other)
    if at is not None and chosen != "close-up":
        raise InputError("--at", f"with --view {chosen}", "with --view close-up only", "add --view close-up")
    if row is not None and chosen != "section":
        raise InputError("--row", f"with --view {chosen}", "with --view section only", "add --view section")
    if chosen == "section":
        for option, given in (("--show", shown != "yarn"), ("--ground", behind != PAPER), ("--bare", bare)):
            if given:
                raise InputError(option, "with --view section", "with views of the fabric only", "leave it out")
    return DrawOptions(
        load=load,
        view=chosen,
        side="back" if "back" in (chosen, from_side) else "face",
        size=size,
        ground=behind,
        bare=bare or behind is None,
        draft=draft,
        show=shown,
        at=None if at is None else _place(at),
        across=across,
        row=row,
        on=on,
        on_size=on_size,
    )


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
