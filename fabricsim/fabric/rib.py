"""Rib as a fabric of its own: narrower at rest than plain knitting, far stretchier, flat.

Its knit wales fold forward over its purl wales, so that it lies narrower than it is knitted and unfolds when it is
pulled. Every figure but the moduli of plain fabric is *memory* or *chosen*: no measured rib of hand-knit wool is known
to us.
"""

from __future__ import annotations

from dataclasses import replace

from fabricsim.fabric.stiffness import SHEAR_SHARE, Stiffness, greatest_shear

RIB_WIDTH = 0.7
"""Width of a stitch of rib at rest, over one of plain knitting (memory: rib draws in by a quarter to a third)."""
RIB_STRETCH = 0.25
"""Stretch stiffness across of rib over plain fabric: it unfolds before its loops give (chosen: rib is commonly said to
stretch to twice its width under a pull that takes plain knitting a quarter wider)."""
RIB_UP = 1.0
"""The same along the wales, which fold but don't unfold (chosen)."""
RIB_LOCK = 1.0
"""Stretch across at which rib is unfolded and its loops pulled straight (derived: 1.36 plain widths, where plain fabric
locks, over 0.7, is a stretch of 0.94; chosen near it)."""
RIB_POISSON = 0.2
"""Shortening up over lengthening across: it unfolds at its height (chosen)."""
RIB_THICK = 2.0
"""Thickness of rib over plain fabric: two layers of wales (memory)."""


def rib_of(plain: Stiffness, squareness: float) -> Stiffness:
    """Return the stiffness of rib in the yarn and gauge of ``plain`` fabric; it has no curl.

    Moduli are per metre of rib at rest; ``squareness``: (w/c)^2 of a stitch of rib. Bending up, along its
    ridges, grows with the square of its thickness, as does that of two layers that hold together (derived).
    """
    across, up = RIB_STRETCH * plain.stretch_across, RIB_UP * plain.stretch_up
    most = greatest_shear(across, up, RIB_POISSON, squareness)
    return replace(
        plain,
        areal_mass=plain.areal_mass / RIB_WIDTH,
        stretch_across=across,
        stretch_up=up,
        shear=min(RIB_STRETCH * plain.shear, SHEAR_SHARE * most),
        poisson_across=RIB_POISSON,
        lock_across=RIB_LOCK,
        bend_up=RIB_THICK**2 * plain.bend_up,
        curl_across=0.0,
        curl_up=0.0,
    )
