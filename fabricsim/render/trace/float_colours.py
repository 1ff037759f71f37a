"""Pull, slack and pucker on the fabric itself: the yarn in colours that say what it does."""

from __future__ import annotations

from dataclasses import replace

import matplotlib as mpl
import numpy as np

from fabricsim import units
from fabricsim.arrays import Floats, Ints
from fabricsim.colour import LUMINANCE
from fabricsim.errors import InputError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import pucker, pull
from fabricsim.fabric.mesh import LEFT, RIGHT
from fabricsim.lengths import fine_per_unit, fine_unit
from fabricsim.render.basics.scale import (
    MOST_SPARE,
    PUCKER_MAP,
    STEPS,
    ColourScale,
    float_scale,
    pucker_end,
    pull_colours,
    round_end,
    slack_colours,
    step_of,
)
from fabricsim.render.trace.model import YarnModel
from fabricsim.render.trace.paint import Paint

NEUTRAL = np.array([233.0, 228.0, 219.0])
"""Colour of fabric that says nothing, sRGB (chosen: pale and warm, so that every float stands out on it)."""
SHADED = 0.13
"""How much darker the darkest yarn is drawn than the palest, share (chosen: the motif can just be found)."""
SQUEEZED = np.array([196.0, 128.0, 150.0])
"""Colour of stitches squeezed by ``MOST_SQUEEZED`` or more, sRGB (chosen: no float has it, and it is darker too)."""
MOST_SQUEEZED = 0.15
"""Share of its width lost at which a stitch has the full tint (chosen: draw-in beyond it is rare)."""
PUCKER_STEPS = 129
"""Colours of pucker, one of them that of the base (chosen: no eye tells one from the next)."""


def tension_paint(model: YarnModel, *, greatest: float | None = None) -> tuple[Paint, ColourScale]:
    """Return the model's floats in the colours of their pull or slack, on pale fabric, and the scale of these colours.

    Stitches that a taut float passes or ends at are tinted by as much as they lie narrower than in plain fabric.
    ``greatest`` N: the pull at the end of the colours, by default the next round figure above the hardest; what pulls
    harder has the colour of the end. The same ``greatest`` gives the same colours in every fabric. Raises InputError
    for fabric without floats.
    """
    equilibrium, tiling, tubes = model.equilibrium, model.tiling, model.tubes
    if len(equilibrium.mesh.floats) == 0:
        raise InputError(
            str(equilibrium.scene.source or equilibrium.scene.title),
            "one yarn a row",
            "fabrics in which a yarn is carried behind stitches of another",
            "this fabric has no floats, so nothing pulls: choose another picture",
        )
    every = pull(equilibrium)
    end = round_end(float(equilibrium.tension_f[every.taut_f].max(initial=0.0))) if greatest is None else greatest
    yarns, rgb_k3 = len(equilibrium.scene.yarns), [_pale(equilibrium), pull_colours(), slack_colours()]
    float_f = yarns * STEPS + np.where(
        every.taut_f, step_of(equilibrium.tension_f, end), STEPS + step_of(every.spare_f, MOST_SPARE)
    )
    stitch_n = step_of(squeezed(equilibrium), MOST_SQUEEZED)
    which_g = tubes.yarn_g * STEPS + stitch_n[tiling.origin_n[tubes.stitch_g]]
    carried_g = tubes.float_g >= 0
    which_g[carried_g] = float_f[tiling.origin_f[tubes.float_g[carried_g]]]
    scale = float_scale(end)
    if stitch_n.any():
        red, green, blue = (round(part) for part in SQUEEZED.tolist())
        others = ((f"stitches {100 * MOST_SQUEEZED:g} % narrower than plain", (red, green, blue)),)
        scale = replace(scale, others=others)
    return Paint(np.concatenate(rgb_k3), which_g.astype(np.int32)), scale


def _pale(equilibrium: Equilibrium) -> Floats:
    """Return the colours of the fabric, (yarns x STEPS, 3): of every yarn from not squeezed to squeezed most."""
    light_y = np.array([one.rgb for one in equilibrium.scene.yarns]) @ LUMINANCE / 255.0
    base_y3 = NEUTRAL * (1.0 - SHADED * (light_y.max() - light_y))[:, None]
    share = np.linspace(0.0, 1.0, STEPS)[None, :, None]
    out: Floats = (base_y3[:, None] * (1.0 - share) + share * SQUEEZED).reshape(-1, 3)
    return out


def squeezed(equilibrium: Equilibrium) -> Floats:
    """Return by how much every stitch that a taut float passes or ends at lies narrower than in plain fabric, (n,)
    share of its width, never negative; 0 for all other stitches.

    The width is half the way from its left to its right neighbour by way of itself, at an edge the way to the one there
    is: what is lost by standing aslant, as pucker does, doesn't count.
    """
    mesh = equilibrium.mesh
    held = np.zeros(len(mesh.yarn_n), dtype=bool)
    node_f, left_f = mesh.floats.node_f2[:, 0], mesh.floats.gap_f + 1
    node_f, left_f = (value_f[pull(equilibrium).taut_f] for value_f in (node_f, left_f))
    while len(node_f):
        held[node_f] = True
        on = left_f > 0
        node_f, left_f = mesh.neighbour_n4[node_f[on], RIGHT], left_f[on] - 1
    now_n, plain_n = (
        _widths(mesh.neighbour_n4, mesh.shift_n42, x_nc, period_a)
        for x_nc, period_a in ((equilibrium.x_nc, equilibrium.period_a), (mesh.rest_nc, mesh.period_a))
    )
    return np.where(held, np.maximum(1.0 - now_n / plain_n, 0.0), 0.0)


def _widths(neighbour_n4: Ints, shift_n42: Ints, x_nc: Floats, period_a: Floats | None) -> Floats:
    """Return how wide every stitch is, m: the mean of its distances to its neighbours left and right."""
    total_n, count_n = np.zeros(len(x_nc)), np.zeros(len(x_nc))
    for side in (LEFT, RIGHT):
        there = neighbour_n4[:, side] >= 0
        way_nc = x_nc[neighbour_n4[:, side]] - x_nc
        if period_a is not None:
            way_nc[:, :2] += shift_n42[:, side] * period_a
        total_n += np.where(there, np.linalg.norm(way_nc, axis=1), 0.0)
        count_n += there
    return total_n / np.maximum(count_n, 1.0)


def pucker_paint(model: YarnModel, *, end: float | None = None) -> tuple[Paint, ColourScale]:
    """Return the model's yarn in the colours of how far its stitches lie off the smooth base, and their scale.

    The colours are those of the pucker map: white on the base, red towards the face, blue towards the back. ``end`` m:
    the height at the end of the colours, by default the map's own. Floats have the colour of the stitch they leave.
    """
    height_n = pucker(model.equilibrium).height_n
    end_mm = pucker_end(height_n / units.MM) if end is None else end / units.MM
    step_n = step_of(height_n / units.MM + end_mm, 2.0 * end_mm, PUCKER_STEPS)
    rgb_k3: Floats = 255.0 * mpl.colormaps[PUCKER_MAP](np.linspace(0.0, 1.0, PUCKER_STEPS))[:, :3]
    which_g = step_n[model.tiling.origin_n[model.tubes.stitch_g]].astype(np.int32)
    spoken = units.MM / fine_per_unit()
    marks = [
        (part, f"{part * end_mm * spoken:+.3g} {fine_unit()}".replace("-", "−") if part else "0")
        for part in (-1.0, -0.5, 0.0, 0.5, 1.0)
    ]
    ticks = tuple((0.5 + 0.5 * part, text) for part, text in marks)
    scale = ColourScale("off its smooth base", ("to the back", "to the face"), ticks, rgb_k3)
    return Paint(rgb_k3, which_g), scale
