"""Does the gauge go with the yarn? By the published standard of yarn weights."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim import units
from fabricsim.design.scene.model import Scene

FOUR_INCHES = 4.0 * units.INCH


@dataclass(frozen=True)
class YarnWeight:
    """A category of yarn: stitches of stockinette to 4 in, metres to 100 g and needles, least and greatest of each."""

    name: str
    stitches: tuple[int, int]
    metres: tuple[float, float]
    needles_mm: tuple[float, float]


# Stitches: Craft Yarn Council, Standard Yarn Weight System, categories 0 to 7 (seen in reprints). The standard does not
# speak of metres; those are common practice, and neighbours overlap as tables of them do.
# Needles: the same standard's ranges, from memory; it leaves the ends of the finest and the thickest open (chosen).
YARN_WEIGHTS = (
    YarnWeight("lace", (33, 40), (500.0, 2000.0), (1.5, 2.25)),
    YarnWeight("super fine", (27, 32), (350.0, 525.0), (2.25, 3.25)),
    YarnWeight("fine", (23, 26), (280.0, 400.0), (3.25, 3.75)),
    YarnWeight("light", (21, 24), (200.0, 300.0), (3.75, 4.5)),
    YarnWeight("medium", (16, 20), (120.0, 240.0), (4.5, 5.5)),
    YarnWeight("bulky", (12, 15), (80.0, 140.0), (5.5, 8.0)),
    YarnWeight("super bulky", (7, 11), (40.0, 100.0), (8.0, 12.75)),
    YarnWeight("jumbo", (1, 6), (1.0, 50.0), (12.75, 25.0)),
)


@dataclass(frozen=True)
class Mismatch:
    """A gauge of ``stitches`` to 4 in outside the usual ``low`` to ``high`` of yarn of so many ``metres`` to 100 g."""

    yarn: str
    metres: float
    stitches: float
    low: int
    high: int

    @property
    def looser(self) -> bool:
        return self.stitches < self.low


def mismatches(scene: Scene) -> tuple[Mismatch, ...]:
    """Return every yarn of ``scene`` whose usual range of gauges the scene's gauge lies outside.

    A yarn on the border of two categories may be knitted at the gauge of either. Yarn beyond all of them is let be.
    """
    stitches = scene.gauge.stitches * FOUR_INCHES / units.PER_10_CM
    found = []
    for yarn in scene.yarns:
        metres = units.tex_of_metres_per_100_g(yarn.tex_value)  # the same formula leads either way
        usual = [one.stitches for one in YARN_WEIGHTS if one.metres[0] <= metres <= one.metres[1]]
        if not usual:
            continue
        low, high = min(one[0] for one in usual), max(one[1] for one in usual)
        if not low <= round(stitches) <= high:
            found.append(Mismatch(yarn.name, metres, stitches, low, high))
    return tuple(found)
