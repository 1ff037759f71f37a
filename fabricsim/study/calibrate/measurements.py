"""The numbers that were measured on a swatch, and how sure each is."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

from fabricsim.design.scene.model import Scene
from fabricsim.design.swatch.measured import Measured, MeasuredFloat
from fabricsim.study.calibrate.scatter import residual, seen, spread_of, variance, worth_of
from fabricsim.study.hands.prior import hands_of
from fabricsim.units import MM

LUCK = 1.25
"""By how much the widths of swatches differ by how uneven floats happen to lie, times the root of how many there are,
over their unevenness (measured: 0.9 to 1.7, of 16 swatches each with 54 and with 171 floats, unevenness 3 to 8 %)."""


@dataclass(frozen=True)
class Measurement:
    """One number of the measured file: its ``key`` there, ``value`` and how ``uncertain`` it is, in its ``unit``. A
    spread of lengths has degrees of ``freedom``, and is so uncertain by them."""

    key: str
    value: float
    uncertain: float
    unit: str
    freedom: int = 0

    def residual(self, expected: float) -> float:
        """Return by how many of its uncertainties it was ``expected`` to be more."""
        if self.freedom:
            return residual(self.value, self.freedom, expected)
        return (expected - self.value) / self.uncertain


def measurements(measured: Measured, scene: Scene, doubt: float, luck: float = 0.0) -> tuple[Measurement, ...]:
    """Return every number that was measured on a swatch of ``scene``, in a fixed order; ``doubt``: how well unevenness
    is known before, as the deviation of its logarithm; ``luck``: share of the width of colourwork by which swatches of
    one hand differ."""
    lucky = {("colourwork", "width_cm"): luck * (measured.colourwork.width_cm or 0.0)}
    found = [
        Measurement(f"{name}.{key}", getattr(part, key), hypot(part.uncertain_cm, lucky.get((name, key), 0.0)), "cm")
        for name, part in (("plain", measured.plain), ("colourwork", measured.colourwork))
        for key in ("width_cm", "height_cm")
        if getattr(part, key) is not None
    ]
    colourwork, stretched, weighed = measured.colourwork, measured.stretched, measured.weighed
    if colourwork.pucker_mm is not None:
        found.append(Measurement("colourwork.pucker_mm", colourwork.pucker_mm, colourwork.pucker_uncertain_mm, "mm"))
    if stretched.width_cm is not None:
        found.append(Measurement("stretched.width_cm", stretched.width_cm, stretched.uncertain_cm, "cm"))
    if weighed.grams is not None:
        found.append(Measurement("weighed.grams", weighed.grams, weighed.uncertain_grams, "g"))
    for number, one in enumerate(measured.floats, 1):
        if one.yarn_mm is None:
            found.append(Measurement(f"floats (no. {number}).yarn_cm", one.mean_cm, one.uncertain_cm, "cm"))
        else:
            found += _several(number, one, scene, doubt)
    return tuple(found)


def _several(number: int, one: MeasuredFloat, scene: Scene, doubt: float) -> list[Measurement]:
    """Return the mean of several floats and how they differ, mm."""
    count, spread = one.freedom + 1, seen(one.spread_mm, one.uncertain_mm)
    span = (one.gap + 1) * scene.gauge.stitch_width / MM
    before = spread_of(hands_of(scene).floats, span, one.uncertain_mm)
    off = sqrt(variance(spread, one.freedom, before, worth_of(doubt)) / count)
    return [
        Measurement(f"floats (no. {number}).yarn_mm", 10.0 * one.mean_cm, off, "mm"),
        Measurement(f"floats (no. {number}).spread_mm", spread, spread / sqrt(2.0 * one.freedom), "mm", one.freedom),
    ]
