"""What is likely of hands and fabric before anything is measured."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.study.hands.prior import SHORT, UNEVENNESS
from fabricsim.units import MM


@dataclass(frozen=True)
class Prior:
    """What is likely before anything is measured: mean and standard deviation of the slack, of ``unevenness`` (known to
    a factor) and of what floats fall ``short`` (m); deviations of the rest.

    ``yarns``: of one yarn's slack from the mean; ``stiffness``: a factor, of stretch and of bending; ``weight`` and
    ``gauge``: shares.
    """

    slack: float = 0.0
    """Of hands that nobody has measured: "neither loose nor taut" (common practice, as taught)."""
    slack_doubt: float = 0.10
    """Chosen: beginners are up to 20 % tighter (memory), baggy floats as much looser."""
    yarns: float = 0.05
    """Chosen: two hands differ by less than two knitters."""
    stiffness: float = 2.0
    """Chosen: the uncertainty of the defaults."""
    weight: float = 0.15
    """Chosen: labels, and yarn in a loop."""
    gauge: float = 0.05
    """Chosen: the gauge of a scene is that of another swatch, of the same hands."""
    unevenness: float = UNEVENNESS
    unevenness_doubt: float = 2.0
    """Chosen: nobody has measured what is usual."""
    short: float = SHORT
    short_doubt: float = 0.3 * MM
    """Chosen: hardly more than a millimetre."""
