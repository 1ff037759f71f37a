"""A scale of colours at the foot of a page."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw

from fabricsim.render.basics.letters import TEXT, font
from fabricsim.render.basics.palette import GREY, INK
from fabricsim.render.basics.scale import ColourScale

BAR_WIDE, BAR_HIGH, BAR_MIDDLE = 560.0, 24.0, 64.0
"""Size of the bar of colours, and how far its middle lies below the top of the foot, on a page 1200 px wide, px
(chosen)."""
OVERHANG = 34.0
"""Room to the right of the bar for the half of its last tick's text, likewise (chosen)."""
TICKS_BELOW, OTHERS_BELOW = 54.0, 34.0
"""Room under the middle of the bar for its ticks, and for a line of other colours, likewise (chosen)."""
LETTERS = 20.0
"""Size of letters, likewise (chosen: as that of the yarns' key)."""


def scale_height(scale: ColourScale) -> float:
    """Return the height of a foot with this ``scale`` on a page 1200 px wide, px."""
    return BAR_MIDDLE + TICKS_BELOW + (OTHERS_BELOW if scale.others else 0.0)


def paste_scale(sheet: Image.Image, scale: ColourScale, right: float, top: float, unit: float) -> None:
    """Draw a ``scale`` on a page, flush ``right``, px, below ``top``; ``unit`` px to one of a page 1200 px wide."""
    ink = ImageDraw.Draw(sheet)
    size = max(1, round(BAR_WIDE * unit)), max(1, round(BAR_HIGH * unit))
    left, middle = round(right - OVERHANG * unit) - size[0], top + BAR_MIDDLE * unit
    colours = np.rint(scale.colours_k3).astype(np.uint8)
    shown = colours[np.minimum(np.arange(size[0]) * len(colours) // size[0], len(colours) - 1)]
    above = round(middle - 0.5 * size[1])
    sheet.paste(Image.fromarray(np.repeat(shown[None], size[1], axis=0)), (left, above))
    words = ((0.0, "ls", scale.ends[0]), (0.5, "ms", scale.label), (1.0, "rs", scale.ends[1]))
    for place, anchor, text in words:
        x, letters = left + place * size[0], font(text, LETTERS * unit, TEXT)
        ink.text((x, above - 8 * unit), text, fill=INK, font=letters, anchor=anchor)
    for place, text in scale.ticks:
        x, below = left + place * (size[0] - 1), above + size[1]
        ink.line([(x, below), (x, below + 5 * unit)], fill=GREY, width=max(1, round(1.4 * unit)))
        ink.text((x, below + 25 * unit), text, fill=GREY, font=font(text, LETTERS * unit, TEXT), anchor="ms")
    x = right
    for text, rgb in reversed(scale.others):
        y, letters = middle + (TICKS_BELOW + 8.0) * unit, font(text, LETTERS * unit, TEXT)
        ink.text((x, y), text, fill=INK, font=letters, anchor="rm")
        x -= letters.getlength(text) + 12 * unit
        ink.rectangle([x - 32 * unit, y - 9 * unit, x, y + 9 * unit], fill=rgb)
        x -= 60 * unit
