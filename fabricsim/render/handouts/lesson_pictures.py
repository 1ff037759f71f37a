"""The pictures of a lesson: the same fabric at one slack after the other, all at one scale on canvases of one size."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image, ImageDraw

from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form.shapes import Form
from fabricsim.fabric.measures import taut
from fabricsim.render.basics.options import Side
from fabricsim.render.basics.palette import GREY, PAPER
from fabricsim.render.basics.scale import ColourScale, round_end
from fabricsim.render.section.bare import cut_through, section_pictures
from fabricsim.render.section.geometry import telling_row
from fabricsim.render.trace.camera import Scale
from fabricsim.render.trace.float_colours import tension_paint
from fabricsim.render.trace.model import LevelOfDetail, YarnModel, build_yarns
from fabricsim.render.trace.views import camera_for, draw_side

WIDTH_PX = 600
"""Width of a face or a back with its paper, pixels (chosen: one and a half to a point of the page on a wide screen)."""
SAMPLES = 3
"""Rays a pixel (chosen by eye: pictures are shown smaller than they are)."""
SAME = 1e-9
"""Metres that stitches may lie apart in two fabrics whose faces count as the same (chosen: nothing to be seen)."""
DASH, BARE = 5, 6
"""Lengths of the dashes of the lines at the plain fabric's edges, and of what is left bare between them, pixels
(chosen)."""
BESIDE = 14
"""Paper kept beside the widest fabric, pixels (chosen)."""


@dataclass(frozen=True)
class Views:
    """The pictures of one step: ``face``, ``back`` and the back with its floats in the colours of their
    ``pull``, of one size in all steps, and the ``section``, as wide."""

    face: Image.Image
    back: Image.Image
    pull: Image.Image
    section: Image.Image


@dataclass(frozen=True)
class Album:
    """All ``steps``, their common scale, the ``row`` (0-based) that is cut through and what the colours of its floats
    mean."""

    steps: tuple[Views, ...]
    metres_per_px: float
    row: int
    colours: ColourScale


def album(
    rests: Sequence[Equilibrium], width_px: int = WIDTH_PX, announce: Callable[[int], None] = lambda number: None
) -> Album:
    """Return the pictures of every equilibrium of ``rests``, the loosest first; ``announce`` hears of each.

    The first sets the scale: it fills ``width_px``. Two fine broken lines behind every fabric show how wide it is
    without floats.
    """
    metres_per_px, plain_px, row = 0.0, 0.0, telling_row(rests[-1])
    greatest = round_end(max(hardest(rest) for rest in rests))
    bare: list[tuple[Image.Image, Image.Image, Image.Image]] = []
    sections = []
    for number, rest in enumerate(rests):
        announce(number)
        model = _lighter(build_yarns(rest, "draft"))
        if not bare:
            metres_per_px = _scale(model, width_px - 2 * BESIDE)
        plain_px = max(plain_px, plain_width(model) / metres_per_px)
        same = next((k for k in range(number) if _lies_as(rests[k], rest)), None)
        face = _drawn(model, "face", metres_per_px) if same is None else bare[same][0]
        paint, colours = tension_paint(model, greatest=greatest)
        back, pulls = (_drawn(one, "back", metres_per_px) for one in (model, model.painted(paint)))
        bare.append((face, back, pulls))
        sections.append(cut_through(rest, row))
    wide = max(round(plain_px), *(image.width for views in bare for image in views)) + 2 * BESIDE
    tall = max(image.height for views in bare for image in views)
    cuts = section_pictures(sections, metres_per_px, wide, plain_px, greatest)

    def mounted(image: Image.Image) -> Image.Image:
        return _mounted(image, (wide, tall), plain_px)

    steps = tuple(
        Views(mounted(face), mounted(back), mounted(pulls), cut)
        for (face, back, pulls), cut in zip(bare, cuts, strict=True)
    )
    return Album(steps, metres_per_px, row, colours)


def pictures_worn(worn: Sequence[tuple[Equilibrium, Form]], width_px: int = WIDTH_PX) -> list[Image.Image]:
    """Return pictures of fabrics on forms, all at the scale of the first, which fills ``width_px``, on sheets of one
    size."""
    metres_per_px, bare = 0.0, []
    for rest, form in worn:
        model = _lighter(build_yarns(rest, "draft")).worn_on(form)
        metres_per_px = metres_per_px or _scale(model, width_px - 2 * BESIDE)
        bare.append(_drawn(model, "face", metres_per_px))
    wide, tall = (max((image.size[axis] for image in bare), default=0) for axis in (0, 1))
    sheets = []
    for image in bare:
        sheet = Image.new("RGBA", (wide + 2 * BESIDE, tall), (*PAPER, 255))
        sheet.alpha_composite(image, ((sheet.width - image.width) // 2, tall - image.height))
        sheets.append(sheet.convert("RGB"))
    return sheets


def plain_width(model: YarnModel) -> float:
    """Return how wide the fabric of a ``model`` would be in its picture without floats, m.

    Flat fabric and tubes: as wide as their stitches, and as far beyond as yarn reaches in the model itself.
    """
    rest, tiling = model.equilibrium, model.tiling
    if tiling.window_a is not None and rest.period_a is not None and rest.mesh.period_a is not None:
        return float((tiling.window_a[1] - tiling.window_a[0]) * rest.mesh.period_a[0] / rest.period_a[0])
    beyond = np.ptp(model.strands.x_pc[:, 0]) - np.ptp(rest.x_nc[:, 0])
    return float(np.ptp(rest.mesh.rest_nc[:, 0]) + beyond + model.strands.thickness)


def hardest(rest: Equilibrium) -> float:
    """Return the hardest pull of any float, N."""
    return float(np.where(taut(rest), rest.tension_f, 0.0).max(initial=0.0))


def _lighter(model: YarnModel) -> YarnModel:
    level: LevelOfDetail = replace(model.level, samples=SAMPLES)
    return replace(model, level=level)


def _scale(model: YarnModel, width_px: int) -> float:
    return camera_for(model, "face", Scale(width_px)).metres_per_px


def _lies_as(one: Equilibrium, other: Equilibrium) -> bool:
    return bool(np.abs(one.x_nc - other.x_nc).max() <= SAME)


def _drawn(model: YarnModel, side: Side, metres_per_px: float) -> Image.Image:
    return draw_side(model, side, metres_per_px=metres_per_px, ground=None).image


def _mounted(image: Image.Image, size: tuple[int, int], plain_px: float) -> Image.Image:
    """Return the picture in the middle of a sheet of paper, over the lines of the plain fabric's edges."""
    sheet = Image.new("RGBA", size, (*PAPER, 255))
    ink = ImageDraw.Draw(sheet)
    for x in (0.5 * (size[0] - plain_px), 0.5 * (size[0] + plain_px) - 1):
        for top in range(0, size[1], DASH + BARE):
            ink.line([(round(x), top), (round(x), min(size[1], top + DASH) - 1)], fill=GREY, width=1)
    sheet.alpha_composite(image, ((size[0] - image.width) // 2, (size[1] - image.height) // 2))
    return sheet.convert("RGB")
