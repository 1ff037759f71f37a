"""A row of the fabric seen edge on: the picture that explains why a tight float draws in."""

from __future__ import annotations

from math import ceil

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from fabricsim.arrays import Floats
from fabricsim.lengths import long
from fabricsim.render.basics.palette import DPI, GREY, HAIR, INK, PAPER, Colour
from fabricsim.render.basics.scale import float_scale, round_end
from fabricsim.render.layout.canvas import FOOT, Canvas, canvas
from fabricsim.render.layout.sheet import EDGE, UNIT_WIDTH
from fabricsim.render.section.geometry import CrossSection, SectionFloat
from fabricsim.render.section.layers import float_colour, layers
from fabricsim.units import CENTINEWTON

EDGE_PALE = 0.45
"""How much paper there is in the colour of the loops' outlines (chosen: quieter than those of floats)."""
OUTLINE, DARK = 0.10, np.array([0.22, 0.20, 0.19])
"""Thickness of a yarn's outline, yarn thicknesses, and its colour, sRGB 0 to 1 (chosen)."""
HEAD, UNTITLED, UNDER, LINE = 138.0, 82.0, 40.0, 44.0
"""Heights of the strip of the title, and without one, of the paper under the yarn and of a line below it, on a figure
1200 px wide, px (chosen)."""
SIDE = 0.055
"""Least paper at each side of the yarn, share of the width (chosen)."""
NARROWEST = 600
"""Least width of a figure whose width nobody asked for, px (chosen: letters can be read)."""
RING, ROUND_ROOM = 290.0, 36.0
"""Size of the picture of a whole round on a figure 1200 px wide, and the room below it, px (chosen: small, yet its
chords show)."""
MIDDLE_LINE = 2.6
"""Thickness of the fabric's middle line, likewise (chosen)."""
TEXT_ROOM = 320.0
"""Width that the longest line beside a float takes, likewise (derived from its letters)."""
LEAST_SPARE = 5e-3
"""Spare yarn below which a slack float is just long enough, share of its way (chosen: 1 % is what is written)."""
WIDE_FLOAT = 360.0
"""Width of a float whose dimensions have room for their words, likewise (chosen: a line is left at both sides)."""
NO_LOSS = 5e-4
"""Share of the width below which fabric is as wide as plain (chosen: what is written has a tenth of a per cent)."""
BEHIND, FAR, OVER, NEAR, TOP = 1.0, 2.0, 3.0, 4.0, 5.0
"""Order of drawing: guides, the far parts of loops, floats, the near parts of loops, the middle line (derived)."""


def section_figure(
    section: CrossSection,
    *,
    metres_per_px: float | None = None,
    width_px: int | None = None,
    dpi: float = DPI,
    title: str = "",
    greatest: float | None = None,
    name: str | None = None,
) -> Figure:
    """Return the ``section`` drawn exactly to scale, its floats in the colours of their pull or slack.

    ``metres_per_px`` says how large, or ``width_px`` how wide the figure is (1200 if nothing is said); ``greatest`` N:
    the pull at the end of the colours, by default the next round figure above the hardest in this fabric; ``name``:
    what its row is called, by default by its number from below. Under the float that pulls hardest stands how far apart
    its ends are now and in plain fabric, and between the two its yarn, pulled straight; below that the same of all that
    is shown, or, of a tube, the whole round.
    """
    left, right = section.extent
    tube = section.case == "round"
    hardest = None if section.hardest is None else section.floats[section.hardest]
    widest = max(right - left, 0.0 if tube else section.plain)
    if hardest is not None:  # its yarn, pulled straight, may reach beyond the fabric
        off = abs(float(hardest.line_kc[[0, -1], 0].mean()) - 0.5 * (left + right))
        widest = max(widest, 2.0 * off + max(hardest.yarn_length, hardest.span))
    if metres_per_px is None:
        wide = width_px or round(UNIT_WIDTH)
        metres_per_px = widest / (wide * (1.0 - 2.0 * SIDE))
    else:
        wide = max(NARROWEST, ceil(widest / metres_per_px / (1.0 - 2.0 * SIDE)))
    unit, (low, high) = wide / UNIT_WIDTH, section.height
    below = UNDER + LINE * (4 if hardest else 0)
    below = max(below + 2.0 * LINE, RING + ROUND_ROOM if tube else 0.0)
    middle_y = (below + FOOT) * unit - low / metres_per_px
    tall = ceil(middle_y + high / metres_per_px + (HEAD if title else UNTITLED) * unit)
    page = canvas(wide, tall, dpi, metres_per_px)
    origin = np.array([0.5 * wide - 0.5 * (left + right) / metres_per_px, middle_y])
    end = round_end(section.greatest) if greatest is None else greatest
    _yarn(page, section, origin, end)
    y = middle_y + low / metres_per_px - UNDER * unit
    if hardest is not None:
        y = _of_float(page, section, hardest, origin, tuple(float_colour(hardest, end)))
    if tube:
        _whole_round(page, section, (FOOT + ROUND_ROOM) * unit, end)
    else:
        _of_row(page, section, origin, y)
    what, where = ("Round", "outside up, floats inside") if tube else ("Row", "face up, floats at the back")
    page.title(title, f"{name or f'{what} {section.row + 1}'} seen edge on, from below: {where}")
    page.foot(float_scale(end))
    return page.figure


def _yarn(page: Canvas, section: CrossSection, origin: Floats, greatest: float) -> None:
    """Draw the far parts of the loops, the floats over them, the loops' near parts and the fabric's middle line."""
    clip = None
    if section.cut:
        left, right = (x / page.per_px + origin[0] for x in section.extent)
        clip = Rectangle((left, 0.0), right - left, page.tall, transform=page.figure.axes[0].transData)
    edge = DARK * (1.0 - EDGE_PALE) + EDGE_PALE * np.array(PAPER) / 255.0
    thick = section.thickness / page.per_px
    for layer, order in zip(layers(section, greatest), (FAR, OVER, NEAR), strict=True):
        outline = DARK if layer.floating else edge
        lines = LineCollection(
            [path_kc / page.per_px + origin for path_kc, _ in layer.strands for _ in range(2)],
            colors=[colour for _, own in layer.strands for colour in (outline, own)],
            linewidths=[page.points(width) for _ in layer.strands for width in (thick, thick * (1.0 - 2.0 * OUTLINE))],
            capstyle="butt",
            joinstyle="round",
            zorder=order,
        )
        page.figure.axes[0].add_collection(lines, autolim=False)
        if clip is not None:
            lines.set_clip_path(clip)
    for part_kc in _shown_parts(section):
        page.line(part_kc / page.per_px + origin, MIDDLE_LINE, order=TOP, ends="round")


def _shown_parts(section: CrossSection) -> list[Floats]:
    """Return the parts of the fabric's middle line that are shown."""
    (left, right), (x, y) = section.extent, section.line_kc.T
    shown = np.flatnonzero((x >= left) & (x <= right) & ((y > 0.0) | (section.case != "round")))
    return [section.line_kc[part] for part in np.split(shown, np.flatnonzero(np.diff(shown) > 1) + 1) if len(part) > 1]


def _of_float(page: Canvas, section: CrossSection, one: SectionFloat, origin: Floats, colour: Colour) -> float:
    """Draw under a float how it pulls, how far apart its ends are now and in plain fabric, and between the two its
    yarn, pulled straight; return where there is room below."""
    ends_2c = one.line_kc[[0, -1], :2] / page.per_px + origin
    middle, step, edge = float(ends_2c[:, 0].mean()), LINE * page.unit, EDGE * page.wide
    lengths = (one.width, one.yarn_length, one.span)
    far = 0.5 * max(lengths) / page.per_px + 18.0 * page.unit
    x, align = middle, "center"
    if min(lengths) / page.per_px >= WIDE_FLOAT * page.unit:
        pass  # its words have room within
    elif middle + far + TEXT_ROOM * page.unit <= page.wide - edge:
        x, align = middle + far, "left"
    elif middle - far - TEXT_ROOM * page.unit >= edge:
        x, align = middle - far, "right"
    room = {"left": (far, far + TEXT_ROOM * page.unit), "right": (far + TEXT_ROOM * page.unit, far)}
    before, after = room.get(align, (far, far))
    y = _lowest(page, section, origin, middle - before, middle + after) - UNDER * page.unit

    def say(text: str, ink: str = INK, weight: str = "normal") -> None:
        if align == "center":
            page.beside(x, y, text, ink, weight)
        else:
            page.text(x, y, text, colour=ink, ha=align, va="center_baseline", fontweight=weight)

    for end_c in ends_2c.tolist():
        page.line([end_c, [end_c[0], y - step]], 1.2, GREY, order=BEHIND)
    spare = f"at rest {100 * one.spare:.0f} % to spare" if one.spare > LEAST_SPARE else "just long enough"
    say(f"pulls {one.tension / CENTINEWTON:.2g} cN" if one.taut else spare, weight="bold")
    now, yarn, plain = ((middle - 0.5 * long / page.per_px, middle + 0.5 * long / page.per_px) for long in lengths)
    y -= step
    page.bracket(*now, y)
    say(f"{long(one.width, 2)} now")
    y -= step
    for width, ink in ((11.0, INK), (8.0, colour)):
        page.line([[yarn[0], y], [yarn[1], y]], width, ink)
    say(f"{long(one.yarn_length, 2)} of yarn")
    y -= step
    page.bracket(*plain, y, GREY, dashed=True)
    say(f"{long(one.span, 2)} in plain fabric", GREY)
    return y - step


def _lowest(page: Canvas, section: CrossSection, origin: Floats, left: float, right: float) -> float:
    """Return the lowest yarn between two places, px."""
    paths = [*(one.path_kc for one in section.floats), *(piece.path_kc for piece in section.loops)]
    path_kc = np.concatenate(paths)
    if section.cut:
        path_kc = path_kc[(path_kc[:, 0] >= section.extent[0]) & (path_kc[:, 0] <= section.extent[1])]
    x, y = (path_kc / page.per_px + origin).T
    return float(y[(x >= left) & (x <= right)].min() - 0.5 * section.thickness / page.per_px)


def _of_row(page: Canvas, section: CrossSection, origin: Floats, y: float) -> None:
    """Draw how wide all that is shown is now and in plain fabric."""
    middle = 0.5 * (section.extent[0] + section.extent[1]) / page.per_px + origin[0]
    now, plain = 0.5 * section.now / page.per_px, 0.5 * section.plain / page.per_px
    page.bracket(middle - now, middle + now, y)
    page.beside(middle, y, f"{long(section.now)} now, {_less(section)}", INK)
    y -= LINE * page.unit
    page.bracket(middle - plain, middle + plain, y, GREY, dashed=True)
    page.beside(middle, y, f"{long(section.plain)} in plain fabric", GREY)


def _whole_round(page: Canvas, section: CrossSection, bottom: float, greatest: float) -> None:
    """Draw the whole round small, at the left above ``bottom``: its floats are chords inside."""
    radius = float(np.linalg.norm(section.line_kc, axis=1).max())
    small = 0.5 * RING * page.unit / radius  # px to the metre
    middle = np.array([EDGE * page.wide + radius * small, bottom + radius * small])
    for part_kc in _shown_parts(section):  # which part is shown large
        page.line(part_kc * small + middle, 9.0, HAIR)
    page.line(np.concatenate([section.line_kc, section.line_kc[:1]]) * small + middle, 2.0)
    for one in (*section.beyond, *section.floats):
        path_kc = one.line_kc[:, :2] if one.taut else one.path_kc
        page.line(path_kc * small + middle, 3.6, tuple(float_colour(one, greatest)), ends="round")
    whole = f"whole round: {long(section.now)} now, {_less(section)}"
    beside = EDGE * page.wide + (RING + 0.5 * LINE) * page.unit
    page.text(beside, bottom + 0.9 * LINE * page.unit, whole)
    page.text(beside, bottom, f"{long(section.plain)} in plain fabric", colour=GREY)


def _less(section: CrossSection) -> str:
    """Return in words how much narrower than plain fabric all that is shown is."""
    lost = 1.0 - section.now / section.plain
    if abs(lost) < NO_LOSS:
        return "no narrower"
    return f"{100.0 * abs(lost):.1f} % {'narrower' if lost > 0.0 else 'wider'}"
