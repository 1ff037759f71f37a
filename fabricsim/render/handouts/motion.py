"""A moving picture: fabrics drawn at one scale, each in the middle of one canvas, there and back without end."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from PIL import Image, ImageDraw

from fabricsim.arrays import Floats, Singles
from fabricsim.errors import InputError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.basics.letters import TEXT, TITLE, font, shortened
from fabricsim.render.basics.memory import check_room
from fabricsim.render.basics.options import Side
from fabricsim.render.basics.palette import GREY, HAIR, INK, PAPER, rgb
from fabricsim.render.layout.sheet import EDGE
from fabricsim.render.trace.camera import MARGIN, Camera, Scale, framed
from fabricsim.render.trace.ground import composited
from fabricsim.render.trace.model import YarnModel
from fabricsim.render.trace.trace import trace
from fabricsim.render.trace.views import SHADOW_ROOM, camera_for

FilmKind = Literal["gif", "webp"]
Frame = Image.Image
"""A page of a moving picture."""

TALLEST = 1.25
"""Greatest height of the fabric's part of a frame over its width (chosen: fits a screen)."""
HEAD, FOOT, UNIT_WIDTH = 52, 108, 600.0
"""Heights of the title's strip and of the foot on a frame 600 pixels wide; others are enlarged or reduced (chosen)."""
HOLD = 0.12
"""Share of the whole time for which each end is held (chosen)."""
SHORTEST_MS, STEP_MS = 20, 10
"""Shortest frame that viewers show as long as asked, and the unit of a GIF, ms (GIF89a; the first from memory)."""
SAMPLED = 9
"""Frames from which a GIF's colours are chosen (chosen: from one end to the other)."""
FROM_PICTURE, UNCHANGED = 200, 255
"""Colours of a GIF taken from its pictures, the others being greys for text; and the one for what hasn't changed, the
same as the one before it (chosen)."""
_KEPT = [*range(UNCHANGED), UNCHANGED - 1]
QUALITY = 82
"""Quality of a WebP, of 100 (chosen: yarn stays crisp, 25 frames 600 pixels wide take 2 to 3 MB)."""


@dataclass(frozen=True)
class FilmCanvas:
    """The fabric's part, ``width_px`` x ``height_px`` at ``metres_per_px``, of pages ``page_px`` wide."""

    page_px: int
    width_px: int
    height_px: int
    metres_per_px: float


@dataclass(frozen=True)
class Caption:
    """What stands under a fabric: up to three ``words``, and its width as drawn, ``now`` and as ``plain`` fabric, m."""

    words: tuple[str, ...]
    plain: float
    now: float


def canvas_for(first: YarnModel, side: Side, others: Sequence[Equilibrium], width_px: int) -> FilmCanvas:
    """Return the canvas of pages ``width_px`` wide that shows all of the ``first`` fabric and of the ``others``.

    It is made for the first and enlarged by as much as the stitches of any other reach farther.
    """
    if first.tiling.window_a is None:
        size = np.ptp(first.strands.x_pc @ camera_for(first, side, Scale(width_px)).axes_ac[:2].T, axis=0)
    else:
        size = first.tiling.window_a[1::2] - first.tiling.window_a[::2]
    grown_c = np.max([_reach(one) for one in others], axis=0) / _reach(first.equilibrium)
    size = size * [grown_c[0], grown_c[1:].max()]
    size = size + 2.0 * (SHADOW_ROOM * first.tiling.width + MARGIN * size.max())
    wide = width_px - 2 * round(EDGE * width_px)
    metres_per_px = max(float(size[0]) / wide, float(size[1]) / (TALLEST * wide))
    canvas = FilmCanvas(width_px, wide, round(float(size[1]) / metres_per_px), metres_per_px)
    check_room(canvas.width_px, canvas.height_px)
    return canvas


def _reach(equilibrium: Equilibrium) -> Floats:
    """Return how far the stitches reach across, up and deep, (3,) m: of a repeat, the cell; flat, no depth."""
    if equilibrium.period_a is not None:
        return np.append(equilibrium.period_a, 1e-9)
    reach_c: Floats = np.ptp(equilibrium.x_nc, axis=0)
    return reach_c if equilibrium.mesh.case == "round" else reach_c * [1.0, 1.0, 0.0] + [0.0, 0.0, 1e-9]


def still(model: YarnModel, side: Side, canvas: FilmCanvas) -> Image.Image:
    """Return one ``side`` of a fabric in the middle of the canvas, on paper, exactly where it is to a part of a pixel.

    A repeat is cut off at whole repeats.
    """
    near = camera_for(model, side, Scale(metres_per_px=canvas.metres_per_px))
    if model.tiling.window_a is not None:
        middle = 0.5 * (near.frame_a[0::2] + near.frame_a[1::2])
    else:
        # of the stitches, which come to rest: floats that hang out at an edge would make it hop
        seen_na = model.equilibrium.x_nc @ near.axes_ac[:2].T
        middle = 0.5 * (seen_na.min(axis=0) + seen_na.max(axis=0))
    size = canvas.metres_per_px * np.array([canvas.width_px, canvas.height_px])
    camera = framed(near.axes_ac, middle, size, Scale(metres_per_px=canvas.metres_per_px), near.cut_c)
    light = trace(model.stage, camera, model.level.samples)
    if model.tiling.window_a is not None:
        light = light * _window(camera, model.tiling.window_a)[..., None]
    return composited(PAPER, light, model.tiling.width / canvas.metres_per_px)


def _window(camera: Camera, window_a: Floats) -> Singles:
    """Return how much of every pixel (h, w) lies inside the window of a repeat."""
    flip = float(np.sign(camera.axes_ac[0, 0]))
    across = np.sort(flip * window_a[:2])
    left, right, bottom, top = camera.frame_a
    columns = _covered(np.linspace(left, right, camera.width_px + 1), across)
    rows = _covered(np.linspace(bottom, top, camera.height_px + 1), window_a[2:])[::-1]
    return (rows[:, None] * columns[None]).astype(np.float32)


def _covered(edge_e: Floats, span: Floats) -> Floats:
    inside_e = np.clip(edge_e, span[0], span[1])
    return np.asarray(np.diff(inside_e) / np.diff(edge_e))


def frame(fabric: Image.Image, canvas: FilmCanvas, caption: Caption, title: str) -> Image.Image:
    """Return a page with the picture of a ``fabric``, under it the caption and a bar: the width now, in an outline of
    the plain width, both at the fabric's own scale."""
    wide = canvas.page_px
    edge, unit = (wide - canvas.width_px) // 2, wide / UNIT_WIDTH
    head = round(HEAD * unit)
    page = Image.new("RGB", (wide, head + canvas.height_px + round(FOOT * unit)), PAPER)
    page.paste(fabric, (edge, head))
    ink = ImageDraw.Draw(page)
    text = shortened(title, 25 * unit, TITLE, wide - 2 * edge)
    ink.text((edge, head - 22 * unit), text, fill=INK, font=font(text, 25 * unit, TITLE), anchor="ls")
    below, middle = head + canvas.height_px, edge + 0.5 * canvas.width_px
    _bar(page, middle, below + 16 * unit, 7 * unit, caption, canvas.metres_per_px)
    note = "bar: its width now; outline: as plain fabric"
    ink.text((middle, below + 38 * unit), note, fill=GREY, font=font(note, 12 * unit), anchor="mm")
    places = ((edge, "ls"), (middle, "ms"), (wide - edge, "rs"))
    for words, (x, anchor) in zip(caption.words, places, strict=False):
        ink.text((x, below + 82 * unit), words, fill=INK, font=font(words, 18 * unit, TEXT), anchor=anchor)
    return page


def _bar(page: Image.Image, middle: float, y: float, half: float, caption: Caption, metres_per_px: float) -> None:
    """Draw the bar, its ends to a part of a pixel so that it moves smoothly."""
    plain, now = (0.5 * length / metres_per_px for length in (caption.plain, caption.now))
    ink = ImageDraw.Draw(page)
    reach = max(plain, now)
    box = (middle - plain, y - half, middle + plain, y + half)
    fine = 8
    strip = Image.new("L", (2 * round(reach + 2) * fine, 1), 0)
    centre = 0.5 * strip.width
    ImageDraw.Draw(strip).line([(centre - now * fine, 0), (centre + now * fine - 1, 0)], fill=255)
    strip = strip.resize((strip.width // fine, max(1, round(half))), Image.Resampling.BOX)
    ink.rectangle(box, outline=HAIR, width=max(1, round(half / 7)))
    left = middle - 0.5 * strip.width
    page.paste(Image.new("RGB", strip.size, INK), (round(left), round(y - 0.5 * strip.height)), strip)


def turns(steps: int, seconds: float) -> tuple[list[int], list[int]]:
    """Return which of ``steps`` frames follow each other, there and back, and how long each is shown, ms.

    Both ends are held; all together take ``seconds``. Raises InputError where that leaves too little for a frame.
    """
    order = [*range(steps), *range(steps - 2, 0, -1)]
    total, moving = round(1000.0 * seconds), len(order) - 2
    each = int(total * (1.0 - 2.0 * HOLD) / moving) // STEP_MS * STEP_MS if moving else 0
    if moving and each < SHORTEST_MS:
        least = moving * SHORTEST_MS / (1000.0 * (1.0 - 2.0 * HOLD))
        raise InputError(
            "--seconds",
            f"{seconds:g} for {steps} frames there and back",
            f"at least {np.ceil(10.0 * least) / 10.0:g}",
            "give it more time or fewer frames",
        )
    first = (total - moving * each) // 2 // STEP_MS * STEP_MS
    shown = [each] * len(order)
    shown[0], shown[steps - 1] = first, total - moving * each - first
    return order, shown


def as_bytes(frames: Sequence[Image.Image], shown_ms: Sequence[int], kind: FilmKind) -> bytes:
    """Return the ``frames`` as a GIF or WebP that runs for ever."""
    buffer = io.BytesIO()
    durations = list(shown_ms)
    if kind == "webp":
        first, *rest = frames
        first.save(
            buffer, "WEBP", save_all=True, append_images=rest, duration=durations, loop=0, quality=QUALITY, method=4
        )
    else:
        # one table of colours and no dithering: what rests stays as it is from frame to frame, and isn't written again
        palette = shared_palette(frames)
        first, *rest = [one.quantize(palette=palette, dither=Image.Dither.NONE).point(_KEPT) for one in frames]
        first.save(
            buffer,
            "GIF",
            save_all=True,
            append_images=rest,
            duration=durations,
            loop=0,
            palette=bytes(palette.getpalette() or []),
            transparency=UNCHANGED,
            optimize=True,
            disposal=1,
        )
    return buffer.getvalue()


def shared_palette(frames: Sequence[Image.Image]) -> Image.Image:
    """Return an image with the one table of colours of all ``frames``: their own, greys from paper to ink, and one that
    stands for what hasn't changed."""
    chosen = [frames[k] for k in np.unique(np.linspace(0, len(frames) - 1, SAMPLED).round().astype(int))]
    together = Image.new("RGB", (chosen[0].width, sum(one.height for one in chosen)))
    top = 0
    for one in chosen:
        together.paste(one, (0, top))
        top += one.height
    own = together.quantize(FROM_PICTURE, method=Image.Quantize.MEDIANCUT).getpalette() or []
    own = own[: 3 * FROM_PICTURE]
    greys = np.linspace(PAPER, rgb(INK), UNCHANGED - len(own) // 3).round().astype(int).ravel().tolist()
    palette = Image.new("P", (1, 1))
    palette.putpalette([*own, *greys, *rgb(INK)])
    return palette
