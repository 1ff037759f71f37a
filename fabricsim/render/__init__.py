"""Pictures of the fabric as its yarn, and plots of its shape. Only home of matplotlib, trimesh and PIL.

``draw`` makes one finished page. To draw both sides of a fabric, build its yarn once::

    model = build_yarns(equilibrium)
    face, back = (draw_side(model, side) for side in ("face", "back"))
    page(model, [face, back]).save("fabric.png")

To see what its floats do, paint it before drawing (``tension_paint`` and ``pucker_paint`` of ``trace.float_colours``)
or look at a row edge on (``section``)::

    paint, scale = tension_paint(model)
    back = draw_side(model.painted(paint), "back")
    page(model, [back], scale=scale).save("pull.png")

The plots (``pucker_map`` and ``width_profile`` of ``plots.shape``) take plain arrays. Nothing heavy is imported before
it is used.

The rooms, each with a tour of its own, in the order in which they build on one another: ``basics``, what all share;
``yarn``, paths and tubes; ``browser``, those drawn by a browser; ``trace``, pictures of them; ``layout``, pages;
``section``, a row edge on; ``chart``, on paper; ``solid``, 3-D files; ``plots``, of numbers; ``handouts``, what people
are given.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fabricsim.render.basics.options import Angle, Ground, Quality, Side, check_quality, check_side
from fabricsim.render.basics.palette import PAPER

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PIL.Image import Image

    from fabricsim.fabric.equilibrium import Equilibrium
    from fabricsim.render.basics.scale import ColourScale
    from fabricsim.render.trace.camera import Scale
    from fabricsim.render.trace.model import Focus, YarnModel
    from fabricsim.render.trace.views import Picture

__all__ = ["Angle", "Quality", "Side", "build_yarns", "draw", "draw_side", "page"]


def draw(
    equilibrium: Equilibrium,
    side: Side = "face",
    *,
    width_px: int = 1200,
    quality: Quality = "full",
    title: str | None = None,
) -> Image:
    """Return a page ``width_px`` wide with one ``side`` of the fabric, its scale and its yarns.

    ``title``: that of the scene, if left out. The same equilibrium gives the same pixels. Raises InputError for an
    unknown ``side`` or ``quality``.
    """
    check_side(side)
    check_quality(quality)
    from fabricsim.render.layout.sheet import picture_width

    model = build_yarns(equilibrium, quality)
    picture = draw_side(model, side, width_px=picture_width(width_px))
    return page(model, [picture], title=title, width_px=width_px)


def build_yarns(
    equilibrium: Equilibrium, quality: Quality = "full", focus: Focus | None = None, size: Scale | None = None
) -> YarnModel:
    """Return the yarn of the fabric and its baked light, which all pictures share; ``draft`` is coarser and faster.

    With a ``focus`` only what is near it, for close-ups; of finer yarn for a ``size`` larger than usual.
    """
    check_quality(quality)
    from fabricsim.render.trace import model

    return model.build_yarns(equilibrium, quality, focus, size)


def draw_side(
    model: YarnModel,
    side: Side,
    angle: Angle = "straight",
    *,
    width_px: int | None = None,
    metres_per_px: float | None = None,
    ground: Ground = PAPER,
) -> Picture:
    """Return the bare picture of one ``side`` on its ``ground``, with its scale and the seconds it took.

    It is ``width_px`` wide, by default 1200, or has ``metres_per_px``; a ground of None is transparent.
    """
    check_side(side)
    from fabricsim.render.trace import views

    return views.draw_side(model, side, angle, width_px=width_px, metres_per_px=metres_per_px, ground=ground)


def page(
    model: YarnModel,
    pictures: Sequence[Picture],
    *,
    title: str | None = None,
    width_px: int | None = None,
    paper: tuple[int, int, int] = PAPER,
    scale: ColourScale | None = None,
) -> Image:
    """Return a page with ``pictures`` of the model side by side, their scale and the yarns below.

    ``width_px``: how wide the page is, as wide as the pictures need if left out; ``paper``: its colour, sRGB;
    ``scale``: what the colours mean, where the model was painted in others than those of its yarns.
    """
    from fabricsim.render.layout import sheet

    scene = model.equilibrium.scene
    return sheet.page(pictures, scene, title=title, width_px=width_px, paper=paper, scale=scale)
