"""A page: pictures of the fabric with their title, scale and yarns beside them, never on them."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, log10

from PIL import Image, ImageDraw

from fabricsim.design.scene.model import Scene
from fabricsim.lengths import long_per_unit, long_plain
from fabricsim.render.basics.letters import TEXT, TITLE, font, shortened
from fabricsim.render.basics.memory import check_room
from fabricsim.render.basics.palette import GREY, HAIR, INK, PAPER
from fabricsim.render.basics.scale import ColourScale
from fabricsim.render.layout.legend import BAR_MIDDLE, paste_scale, scale_height
from fabricsim.render.trace.views import Picture

EDGE = 0.036
"""Paper at each side of a page, share of its width (chosen)."""
SCALE_SHARE = 0.22
"""Greatest length of the scale bar, share of the picture's width (chosen)."""
NARROWEST = 240
"""Least width of a page whose width nobody asked for, pixels (chosen: letters can be read)."""
UNIT_WIDTH = 1200.0
"""Width, in pixels, of the page on which everything below is measured; other pages are enlarged or reduced (chosen)."""
HEAD, LABEL, FOOT, LINE = 96, 34, 62, 34
"""Heights of the title's strip, of a picture's label, of the foot of the page and of a row of yarns in it (chosen)."""
SCALE_ROOM = 420
"""Width kept free of yarns for the scale bar and its length (chosen: the longest bar and its text)."""


def picture_width(width_px: int) -> int:
    """Return the width of the one picture on a page ``width_px`` wide."""
    return max(1, width_px - 2 * round(EDGE * width_px))


def page(
    pictures: Sequence[Picture],
    scene: Scene,
    *,
    title: str | None = None,
    width_px: int | None = None,
    paper: tuple[int, int, int] = PAPER,
    scale: ColourScale | None = None,
) -> Image.Image:
    """Return a page ``width_px`` wide, by default as wide as it needs, with the ``pictures`` side by side on ``paper``.

    ``scale``: what the colours mean, where they aren't those of the yarns, whose key it takes the place of.

    Raises ValueError for pictures of different scales, and for a page too narrow for them.
    """
    scales = [picture.metres_per_px for picture in pictures]
    if max(scales) > 1.001 * min(scales):
        raise ValueError("pictures of different scales can't share a page")
    widest = sum(picture.image.width for picture in pictures)
    gap = round(EDGE * widest / len(pictures))
    needed = widest + gap * (len(pictures) - 1)
    wide = width_px or max(NARROWEST, round(needed / (1.0 - 2.0 * EDGE)))
    if needed > wide:
        raise ValueError(f"pictures {needed} pixels wide don't fit on a page of {wide}")
    edge, left = round(EDGE * wide), (wide - needed) // 2
    unit = wide / len(pictures) ** 0.5 / UNIT_WIDTH
    head, label, tall = round(HEAD * unit), round(LABEL * unit), max(picture.image.height for picture in pictures)
    rows = _key_rows(scene, unit, wide - 2 * edge - round(SCALE_ROOM * unit))
    foot = round((FOOT + LINE * len(rows)) * unit) if scale is None else round(scale_height(scale) * unit)
    check_room(wide, head + tall + label + foot)
    sheet = Image.new("RGB", (wide, head + tall + label + foot), paper)
    ink = ImageDraw.Draw(sheet)

    _title(ink, title if title is not None else scene.title, edge, head, wide, unit)
    for picture in pictures:
        sheet.paste(picture.image, (left, head))
        _label(ink, picture, left, head + tall, unit)
        left += picture.image.width + gap
    top = head + tall + label
    ink.line([(edge, top + 8 * unit), (wide - edge, top + 8 * unit)], fill=HAIR, width=max(1, round(unit)))
    if scale is None:
        _scale(ink, pictures[0], edge, top + 44 * unit, unit)
        _key(sheet, rows, wide - edge, top + 44 * unit, unit, paper)
    else:
        _scale(ink, pictures[0], edge, top + BAR_MIDDLE * unit, unit)
        paste_scale(sheet, scale, wide - edge, top, unit)
    return sheet


def _title(ink: ImageDraw.ImageDraw, title: str, left: int, head: int, wide: int, unit: float) -> None:
    size = 40 * unit
    text = shortened(title, size, TITLE, wide - 2 * left)
    ink.text((left, head - 34 * unit), text, fill=INK, font=font(text, size, TITLE), anchor="ls")


def _label(ink: ImageDraw.ImageDraw, picture: Picture, left: int, top: int, unit: float) -> None:
    text = picture.name
    ink.text((left, top + 27 * unit), text, fill=GREY, font=font(text, 19 * unit, TEXT), anchor="ls")


def scale_length(metres: float) -> float:
    """Return the longest of 1, 2 and 5 times a power of ten, of the unit spoken, that isn't longer than ``metres``."""
    most = metres / long_per_unit()
    power = 10.0 ** floor(log10(most) + 1e-12)
    return long_per_unit() * max(step * power for step in (1.0, 2.0, 5.0) if step * power <= most * (1.0 + 1e-9))


def _scale(ink: ImageDraw.ImageDraw, picture: Picture, left: float, middle: float, unit: float) -> None:
    length = scale_length(SCALE_SHARE * picture.metres_per_px * picture.image.width)
    right = left + length / picture.metres_per_px
    thick, tick = max(1, round(2.2 * unit)), 8 * unit
    ink.line([(left, middle), (right, middle)], fill=INK, width=thick)
    for x in (left, right):
        ink.line([(x, middle - tick), (x, middle + tick)], fill=INK, width=thick)
    text = f"{long_plain(length)}"
    ink.text((right + 14 * unit, middle), text, fill=INK, font=font(text, 20 * unit), anchor="lm")


def _key_rows(scene: Scene, unit: float, room: float) -> list[list[tuple[str, tuple[int, int, int], float]]]:
    """Return the yarns (name, colour, width in px) in rows that fit into ``room`` px, used ones only."""
    used = set(scene.chart_grid().ravel().tolist()) | set(scene.piece_grid().ravel().tolist())
    rows: list[list[tuple[str, tuple[int, int, int], float]]] = [[]]
    taken = 0.0
    for number, yarn in enumerate(scene.yarns):
        if number not in used:
            continue
        name = shortened(yarn.name, 20 * unit, TEXT, room - 90 * unit)
        wide = font(name, 20 * unit).getlength(name) + 90 * unit
        if rows[-1] and taken + wide > room:
            rows.append([])
            taken = 0.0
        rows[-1].append((name, yarn.rgb, wide))
        taken += wide
    return rows


def _key(
    sheet: Image.Image,
    rows: list[list[tuple[str, tuple[int, int, int], float]]],
    right: float,
    middle: float,
    unit: float,
    paper: tuple[int, int, int],
) -> None:
    """Write the yarns, flush right: a short end of each, and its name."""
    ink, fine = ImageDraw.Draw(sheet), 4  # ends of yarn are drawn larger and reduced, to be smooth
    size = (max(1, round(46 * unit)), max(1, round(18 * unit)))
    for row in rows:
        left = right - sum(wide for _, _, wide in row) + 30 * unit
        for name, colour, wide in row:
            end = Image.new("RGB", (size[0] * fine, size[1] * fine), paper)
            box = (0, 0, size[0] * fine - 1, size[1] * fine - 1)
            ImageDraw.Draw(end).rounded_rectangle(
                box, radius=size[1] * fine / 2, fill=colour, outline=HAIR, width=max(fine, round(fine * unit))
            )
            sheet.paste(end.resize(size, Image.Resampling.BOX), (round(left), round(middle - 9 * unit)))
            ink.text((left + 58 * unit, middle), name, fill=INK, font=font(name, 20 * unit), anchor="lm")
            left += wide
        middle += LINE * unit
