"""The swatch to knit first: how large it is, and what yarn it takes on top of the piece."""

from __future__ import annotations

from math import ceil

from fabricsim.design.counted.yarn_amounts import Amounts, yarn_amounts
from fabricsim.design.scene.model import Scene
from fabricsim.units import CM

SWATCH = 14.0 * CM
"""Least width and height of a swatch to count 10 cm on, m (common practice: 10 cm and a good edge all round)."""
EXACT = 1e-9
"""Share of a repeat that rounding may feign: 14 cm at 25 stitches to 10 cm are 35 of them, not one more."""
PLAIN_ROWS = 4
"""Plain rows below and above its chart (chosen)."""


def swatch_of(scene: Scene) -> Scene:
    """Return the scene of a swatch: whole repeats of the chart, as few as are large enough."""
    gauge, rows = scene.gauge, len(scene.chart_rows())
    across = ceil(SWATCH / (scene.stitches_per_repeat * gauge.stitch_width) - EXACT)
    up = max(1, ceil((SWATCH / gauge.row_height - 2 * PLAIN_ROWS) / rows - EXACT))
    size = {"across": across, "up": up, "plain_below": PLAIN_ROWS, "plain_above": PLAIN_ROWS}
    return scene.model_copy(update={"chart": scene.chart.model_copy(update=size), "shaping": None})


def swatch_amounts(scene: Scene, margin_percent: float, slack: float | None = None) -> tuple[Scene, Amounts]:
    """Return the swatch of a scene and the yarn that it takes."""
    swatch = swatch_of(scene)
    return swatch, yarn_amounts(swatch, slack=slack, margin_percent=margin_percent)
