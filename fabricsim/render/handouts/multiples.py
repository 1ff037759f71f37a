"""Many fabrics on one page: face and back of each, all at one scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image, ImageDraw

from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.lengths import long_plain
from fabricsim.render import build_yarns, draw_side
from fabricsim.render.basics.letters import TEXT, TITLE, font, printable, shortened, wrapped
from fabricsim.render.basics.memory import check_room
from fabricsim.render.basics.options import Quality, Side
from fabricsim.render.basics.palette import GREY, INK, PAPER
from fabricsim.render.layout.sheet import scale_length
from fabricsim.render.trace.camera import Scale
from fabricsim.render.trace.views import camera_for

WIDE, EDGE, GAP = 2400, 60, 48
"""Width of a page, the paper at its sides, and between fabrics, pixels (chosen: floats can be seen on a screen)."""
HEAD, FOOT, LINE, LABEL = 130, 110, 32, 36
"""Heights of title and foot, of a line over a fabric, and of the word under a picture, pixels (chosen)."""
TITLE_PX, TEXT_PX, SMALL_PX = 56, 24, 20
"""Sizes of letters, pixels (chosen)."""
MOST_COLUMNS, LEAST_WIDE = 4, 320
"""Fabrics side by side where nobody says how many, and least width of one, pixels (chosen)."""
SIDES: tuple[Side, ...] = ("face", "back")


@dataclass(frozen=True)
class Shown:
    """A fabric at ``rest``, None where it found none, with its ``setting`` and what came of it, ``result``."""

    rest: Equilibrium | None
    setting: str
    result: str


def multiples_page(
    shown: Sequence[Shown], title: str, quality: Quality = "full", columns: int | None = None
) -> Image.Image:
    """Return the page; fabrics in the order given, row by row, each with its face above its back.

    ``columns``: how many lie side by side; the page is as much wider as they need.
    """
    models = [None if one.rest is None else build_yarns(one.rest, quality) for one in shown]
    columns = columns or min(MOST_COLUMNS, len(shown))
    gaps = 2 * EDGE + (columns - 1) * GAP
    wide = max(LEAST_WIDE, (WIDE - gaps) // columns)
    page_wide = max(WIDE, gaps + columns * wide)
    cameras = [
        camera_for(model, side, Scale(metres_per_px=1e-4)) for model in models if model is not None for side in SIDES
    ]
    scale = max((c.frame_a[1] - c.frame_a[0] for c in cameras), default=1.0) / (wide - 2)
    pictures = [
        None if model is None else [draw_side(model, side, metres_per_px=scale).image for side in SIDES]
        for model in models
    ]
    words = [[*wrapped(printable(one.setting), TEXT_PX, wide), *wrapped(one.result, TEXT_PX, wide)] for one in shown]
    rows = [range(first, min(first + columns, len(shown))) for first in range(0, len(shown), columns)]
    label = [LINE * max(len(words[number]) for number in row) + LINE // 2 for row in rows]
    drawn = [[one for number in row if (one := pictures[number]) is not None] for row in rows]
    tall = [[max((images[side].height for images in row), default=LINE) for side in (0, 1)] for row in drawn]
    height = HEAD + FOOT + sum(above + sum(both) + 2 * LABEL + GAP for above, both in zip(label, tall, strict=True))
    check_room(page_wide, height)
    sheet = Image.new("RGB", (page_wide, height), PAPER)
    ink = ImageDraw.Draw(sheet)
    text = shortened(printable(title, (*TITLE, *TEXT)), TITLE_PX, TITLE, page_wide - 2 * EDGE)
    ink.text((EDGE, HEAD - 50), text, fill=INK, font=font(text, TITLE_PX, TITLE), anchor="ls")
    top = HEAD
    for row, above, both in zip(rows, label, tall, strict=True):
        for place, number in enumerate(row):
            left = EDGE + place * (wide + GAP)
            for line, said in enumerate(words[number]):
                mine = GREY if line >= len(wrapped(printable(shown[number].setting), TEXT_PX, wide)) else INK
                ink.text((left, top + LINE * (line + 1) - 8), said, fill=mine, font=font(said, TEXT_PX), anchor="ls")
            images = pictures[number]
            if images is None:
                continue
            under = top + above
            for side, image, room in zip(SIDES, images, both, strict=True):
                sheet.paste(image, (left, under))
                ink.text((left, under + room + 24), side, fill=GREY, font=font(side, SMALL_PX), anchor="ls")
                under += room + LABEL
        top += above + sum(both) + 2 * LABEL + GAP
    _scale_bar(ink, EDGE, height - 56, scale)
    return sheet


def _scale_bar(ink: ImageDraw.ImageDraw, left: int, middle: int, metres_per_px: float) -> None:
    length = scale_length(0.2 * WIDE * metres_per_px)
    right = left + length / metres_per_px
    ink.line([(left, middle), (right, middle)], fill=INK, width=4)
    for x in (left, right):
        ink.line([(x, middle - 12), (x, middle + 12)], fill=INK, width=4)
    text = f"{long_plain(length)}; all pictures are at this scale"
    ink.text((right + 24, middle), text, fill=INK, font=font(text, TEXT_PX), anchor="lm")
