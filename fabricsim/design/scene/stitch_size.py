"""What can't be with stitches as large as these."""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from pathlib import Path

from fabricsim.design.scene.choices import FabricOverrides
from fabricsim.design.scene.knitter import Knitter
from fabricsim.design.scene.rules import FloatRules
from fabricsim.design.scene.yarn import Gauge
from fabricsim.errors import InputError
from fabricsim.units import MM

THICKEST = 2.0
"""Stitch widths that a fabric may be thick (chosen: four times the usual)."""
CURLIEST = 0.5 * pi
"""Strongest curl, radians from one stitch to the next (chosen: four stitches make a full roll, within which no second
layer has room; at half a turn a stitch would lie on the one before it, and no rest is to be found)."""


def check_against_stitches(
    gauge: Gauge, floats: FloatRules, fabric: FabricOverrides, where: Callable[[str], str]
) -> None:
    """Raise ``InputError`` for what can't be with stitches so large; ``where`` tells a key with its file."""
    width_mm, height_mm = gauge.stitch_width / MM, gauge.row_height / MM
    short_mm, thickness_mm = floats.short_mm, fabric.thickness_mm
    if short_mm is not None:
        check_short(gauge, short_mm, where("floats.short_mm"))
    if thickness_mm is not None and thickness_mm > THICKEST * width_mm:
        raise InputError(
            where("fabric.thickness_mm"),
            f"{thickness_mm:g} mm, with stitches {width_mm:.1f} mm wide",
            f"at most {THICKEST:g} times the width of a stitch",
            "measure how thick one layer is; stockinette is about half as thick as its stitches are wide",
        )
    for key, curl, what, size_mm in (
        ("edge_curl_across_per_m", fabric.edge_curl_across_per_m, "stitches {:.1f} mm wide", width_mm),
        ("edge_curl_up_per_m", fabric.edge_curl_up_per_m, "rows {:.1f} mm high", height_mm),
    ):
        if curl is not None and abs(curl) * size_mm * MM > CURLIEST:
            most = CURLIEST / (size_mm * MM)
            raise InputError(
                where(f"fabric.{key}"),
                f"{curl:g}, with {what.format(size_mm)}",
                f"-{most:.3g} to {most:.3g}, a quarter of a turn from one to the next",
                "measure how wide a roll the edge makes: the curl is 2 over its width in metres",
            )


def check_short(gauge: Gauge, short_mm: float, where: str) -> None:
    """Raise ``InputError`` for floats that fall short by a stitch or more."""
    width_mm = gauge.stitch_width / MM
    if short_mm >= width_mm:
        raise InputError(
            where,
            f"{short_mm:g} mm, with stitches {width_mm:.1f} mm wide",
            "less than the width of a stitch",
            "say how much shorter each float comes out, not how long it is",
        )


def check_learnt(gauge: Gauge, hands: Knitter, path: Path) -> None:
    """Raise ``InputError`` for hands of the knitter's file ``path`` that can't be with stitches so large."""
    width_mm, learnt = gauge.stitch_width / MM, hands.short_mm
    if learnt is not None and learnt.value >= width_mm:
        raise InputError(
            f"{path}: short_mm.value",
            f"{learnt.value:g} mm, with stitches {width_mm:.1f} mm wide",
            "less than the width of a stitch",
            "calibrate by a swatch of this gauge",
        )
