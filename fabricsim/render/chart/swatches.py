"""The chart as it is, in grey, and as it looks to colour-blind eyes, side by side."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

import numpy as np
from matplotlib.figure import Figure

from fabricsim.arrays import Floats
from fabricsim.colour import Colours
from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.model import Scene
from fabricsim.render.basics.eyes import grey, seen
from fabricsim.render.basics.letters import TEXT, TITLE, shortened
from fabricsim.render.basics.palette import GREY, HAIR, shares
from fabricsim.render.layout.paper import FINE, POINT, Paper, blank

PANELS = (
    ("in colour", "usual eyes"),
    ("in grey", "lightness alone"),
    ("red-blind", "protan eyes"),
    ("green-blind", "deutan eyes"),
    ("blue-blind", "tritan eyes"),
)
"""What is above each panel: its name, and in small letters what else it is called."""
MARGIN, BETWEEN, PANEL = 10.0, 6.0, 48.0
"""Paper at the sides, between panels, and the width of a panel, mm (chosen)."""
TALL = (36.0, 110.0)
"""Least and greatest height of a panel, mm (chosen: small charts are repeated, tall ones drawn narrower)."""
FEWEST = 24
"""Stitches that a panel shows at least, the chart repeated (chosen: what is enough to see a pattern)."""
HEAD, YARN = 25.0, 6.0
"""Height of title and labels, and of a yarn in the key under each panel, mm (chosen)."""
TITLE_PT, HEAD_PT, TEXT_PT = 15.0, 9.5, 7.5
"""Sizes of letters, points (chosen)."""


def in_other_eyes(scene: Scene) -> Figure:
    """Return the chart of a ``scene`` in colour, in grey and to three kinds of colour-blind eyes."""
    return swatches(
        scene.title,
        scene.chart_rows(),
        [yarn.rgb for yarn in scene.yarns],
        [yarn.name for yarn in scene.yarns],
        scene.gauge.row_height / scene.gauge.stitch_width,
    )


def swatches(title: str, yarn_ij: Rows, rgb_y3: Colours, names: Sequence[str], shape: float) -> Figure:
    """Return the panels: the chart ``yarn_ij`` in the colours of its yarns, in grey, and to three kinds of eyes.

    ``rgb_y3``: the colour of each yarn, 0 to 255; ``names``: what it is called; ``shape``: height of a stitch over its
    width. Yarns that the chart doesn't use are left out of the key.
    """
    across = ceil(FEWEST / len(yarn_ij[0]))
    row_tall = PANEL / (across * len(yarn_ij[0])) * shape
    up = max(1, ceil(TALL[0] / (row_tall * len(yarn_ij))))
    grid_ij = np.tile(np.array(yarn_ij), (up, across))
    tall = row_tall * len(grid_ij)
    shrunk = min(1.0, TALL[1] / tall)
    used = np.unique(grid_ij).tolist()
    size = (
        2 * MARGIN + len(PANELS) * PANEL + (len(PANELS) - 1) * BETWEEN,
        HEAD + tall * shrunk + len(used) * YARN + 16.0,
    )
    figure = blank(size)
    paper = Paper(figure, size)
    room = (size[0] - 2.0 * MARGIN) * FINE
    paper.write(
        MARGIN, 12.0, shortened(" ".join(title.split()), TITLE_PT * POINT * FINE, TITLE, room), TITLE_PT, title=True
    )
    for number, ((name, also), shown_y3) in enumerate(zip(PANELS, _ways(rgb_y3), strict=True)):
        left = MARGIN + number * (PANEL + BETWEEN)
        paper.write(left, HEAD - 6.0, name, HEAD_PT)
        paper.write(left, HEAD - 2.2, also, TEXT_PT, GREY)
        wide = PANEL * shrunk
        axes = figure.add_axes(
            (left / size[0], 1.0 - (HEAD + tall * shrunk) / size[1], wide / size[0], tall * shrunk / size[1])
        )
        axes.imshow(shown_y3[grid_ij] / 255.0, origin="lower", interpolation="nearest", aspect="auto")
        axes.set(xticks=[], yticks=[])
        for edge in axes.spines.values():
            edge.set_color(HAIR)
        top = HEAD + tall * shrunk + 3.0
        for yarn in used:
            paper.fill(left, top, 10.0, YARN - 1.5, shares(np.rint(shown_y3[yarn]).tolist()), GREY)
            called = shortened(" ".join(names[yarn].split()), TEXT_PT * POINT * FINE, TEXT, (PANEL - 12.0) * FINE)
            paper.write(left + 12.0, top + 3.4, called, TEXT_PT)
            top += YARN
    said = (
        "Simulated after Machado, Oliveira and Fernandes 2009, for eyes that lack one kind of cone (blue-blind: only "
        "nearly). Screens and printers differ."
    )
    paper.write(MARGIN, size[1] - 6.0, said, TEXT_PT, GREY)
    return figure


def _ways(rgb_y3: Colours) -> tuple[Floats, ...]:
    """Return the colours of the yarns in each panel."""
    plain = np.asarray(rgb_y3, dtype=np.float64)
    return plain, grey(plain), seen(plain, "protan"), seen(plain, "deutan"), seen(plain, "tritan")
