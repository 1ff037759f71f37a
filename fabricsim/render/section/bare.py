"""The cross-section of a lesson: one row edge on, bare of words, at the scale of the pictures beside it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from PIL import Image, ImageDraw

from fabricsim.arrays import Floats
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.basics.palette import GREY, PAPER
from fabricsim.render.section.geometry import CrossSection, section_of
from fabricsim.render.section.layers import layers

FINE = 3
"""Drawn so many times larger and reduced, to be smooth (chosen)."""
EDGE = 0.12
"""Thickness of a yarn's darker edge, yarn thicknesses (chosen)."""
LOOP_EDGE, FLOAT_EDGE = (132, 126, 118), (64, 58, 54)
"""Colours of the edges of loops and of floats, sRGB (chosen)."""
AROUND_PX = 10
"""Paper above and below, pixels (chosen)."""
DASH, BARE = 5, 6
"""Lengths of the dashes of the line of the plain fabric, and of what is left bare between them, pixels (chosen)."""

OnPaper = Callable[[Floats], list[tuple[float, float]]]
"""From points (k, 2) of a section, m, to the pixels of the sheet that it is drawn on."""


def cut_through(rest: Equilibrium, row: int) -> CrossSection:
    """Return the ``row`` (0-based) edge on: of a tube the half that the float which pulls hardest is in."""
    if rest.mesh.case != "round":
        return section_of(rest, row)
    reach = 2.0 * float(np.abs(rest.mesh.rest_nc[:, [0, 2]]).max())
    return section_of(rest, row, window=(-reach, reach))


def section_pictures(
    sections: Sequence[CrossSection], metres_per_px: float, wide: int, plain_px: float, greatest: float
) -> list[Image.Image]:
    """Return the ``sections`` drawn to scale on paper ``wide`` px, all equally high.

    Floats are coloured by their pull, dark at ``greatest`` N, or by what they have to spare. A fine broken line shows
    where the edges of flat fabric, or the round of a tube, would be without floats: ``plain_px`` wide.
    """
    low = min(section.height[0] for section in sections)
    high = max(section.height[1] for section in sections)
    if sections[0].case == "round":
        high = max(high, 0.5 * plain_px * metres_per_px)
        low = min(low, 0.0)
    tall = round((high - low) / metres_per_px) + 2 * AROUND_PX
    return [_drawn(section, metres_per_px, (wide, tall), high, plain_px, greatest) for section in sections]


def _drawn(
    section: CrossSection, metres_per_px: float, size: tuple[int, int], high: float, plain_px: float, greatest: float
) -> Image.Image:
    sheet = Image.new("RGB", (FINE * size[0], FINE * size[1]), PAPER)
    ink = ImageDraw.Draw(sheet)
    middle = 0.0 if section.case == "round" else 0.5 * (section.extent[0] + section.extent[1])
    per_px = metres_per_px / FINE

    def on_paper(path_kc: Floats) -> list[tuple[float, float]]:
        x = 0.5 * sheet.width + (path_kc[:, 0] - middle) / per_px
        y = FINE * AROUND_PX + (high - path_kc[:, 1]) / per_px
        return list(zip(x.tolist(), y.tolist(), strict=True))

    _plain(ink, section, on_paper, sheet, FINE * plain_px)
    thick = section.thickness / per_px
    for layer in layers(section, greatest):
        for path_kc, colour in layer.strands:
            _strand(ink, on_paper(path_kc), thick, colour, FLOAT_EDGE if layer.floating else LOOP_EDGE)
    if section.cut and section.case != "round":
        ends = [on_paper(np.array([[x, high]]))[0][0] for x in section.extent]
        ink.rectangle((0, 0, ends[0], sheet.height), fill=PAPER)
        ink.rectangle((ends[1], 0, sheet.width, sheet.height), fill=PAPER)
        _plain(ink, section, on_paper, sheet, FINE * plain_px)
    return sheet.resize(size, Image.Resampling.BOX)


def _strand(
    ink: ImageDraw.ImageDraw,
    path: list[tuple[float, float]],
    thick: float,
    colour: Floats,
    edge: tuple[int, int, int],
) -> None:
    red, green, blue = (round(round(255.0 * part, 9)) for part in colour.tolist())  # so that a half is one
    fill = (red, green, blue)
    ink.line(path, fill=edge, width=max(1, round(thick)), joint="curve")
    ink.line(path, fill=fill, width=max(1, round(thick * (1.0 - 2.0 * EDGE))), joint="curve")


def _plain(
    ink: ImageDraw.ImageDraw, section: CrossSection, on_paper: OnPaper, sheet: Image.Image, plain: float
) -> None:
    """Draw where the edges, or the round, of plain fabric would be; ``plain`` px wide on the large sheet."""
    dash, step = FINE * DASH, FINE * (DASH + BARE)
    if section.case != "round":
        for x in (0.5 * (sheet.width - plain), 0.5 * (sheet.width + plain) - FINE):
            for top in range(0, sheet.height, step):
                ink.line([(x, top), (x, top + dash)], fill=GREY, width=FINE)
        return
    (x, y), radius = on_paper(np.zeros((1, 2)))[0], 0.5 * plain
    count = round(np.pi * radius / step)
    for start in np.linspace(180.0, 360.0, count, endpoint=False).tolist():
        end = start + 180.0 / count * DASH / (DASH + BARE)
        ink.arc((x - radius, y - radius, x + radius, y + radius), start, end, fill=GREY, width=FINE)
