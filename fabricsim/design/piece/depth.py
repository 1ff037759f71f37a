"""How deep a hat comes out, against what is usual for the head, and by what it could be mended."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from fabricsim import units
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.scene.bodies import Body

OF_HEAD = 0.39
"""How deep a hat is over how far round the head: 19 cm for 49, 22 cm for 57 (memory)."""
TOLERANCE = 1.5 * units.CM
"""How far off the usual depth still sits well, m (chosen: a brim turned up, or pulled down)."""
LEAST_RIB = 2.0 * units.CM
"""A lower rib no longer holds, m (chosen)."""

Part = Literal["plain", "rib", "crown", "up"]
"""What can make a hat shallower."""
WHOLE: frozenset[Part] = frozenset({"crown", "up"})
"""What does so all or nothing."""
Depth = Literal["as usual", "too deep", "too short"]


@dataclass(frozen=True)
class WaysOut:
    """What would make a hat shallower, m: ``plain`` rounds left out, a lower ``rib``, one repeat of the chart ``up``
    fewer, a ``crown`` that decreases in every round; or deeper: so many more ``rounds`` of plain knitting."""

    plain: float
    rib: float
    up: float
    crown: float
    rounds: int

    @property
    def parts(self) -> dict[Part, float]:
        """What makes it shallower, the gentlest first, m."""
        return {"plain": self.plain, "rib": self.rib, "crown": self.crown, "up": self.up}


def enough_of(ways: WaysOut, off: float) -> tuple[Part, ...] | None:
    """Return the fewest ways that together mend a hat ``off`` m too deep, of as few the gentlest; None if all don't.

    Plain rounds and rib give as much as is wanted, up to what they have; a crown and a repeat of the chart all or
    nothing, so that these must not make it too short.
    """
    parts = ways.parts
    here = [part for part, less in parts.items() if less > 0.0]
    for many in range(1, len(here) + 1):
        for some in combinations(here, many):
            whole = sum(parts[part] for part in some if part in WHOLE)
            if whole <= off + TOLERANCE and sum(parts[part] for part in some) >= off - TOLERANCE:
                return some
    return None


def usual_depth(body: Body) -> float:
    """Return how deep a hat for a head usually is, m: as its table says, else by the head."""
    return (body.depth_cm if body.depth_cm is not None else OF_HEAD * body.middle_cm) * units.CM


def verdict(depth: float, usual: float) -> Depth:
    """Return how a ``depth`` compares with the ``usual``, both m."""
    if abs(depth - usual) <= TOLERANCE:
        return "as usual"
    return "too deep" if depth > usual else "too short"


def ways_out(piece: WholePiece) -> WaysOut:
    """Return what could be changed in a hat whose depth is off."""
    gauge, chart = piece.scene.gauge, piece.scene.chart
    crown = piece.crown
    fewer = len(piece.section("crown").rows) - len(crown.rounds) if crown is not None else 0
    usual = piece.usual_depth or piece.height()
    return WaysOut(
        plain=(chart.plain_below + chart.plain_above + len(piece.section("plain").rows)) * gauge.row_height,
        rib=max(0.0, piece.height("rib") - LEAST_RIB),
        up=len(piece.scene.chart_rows()) * gauge.row_height if chart.up > 1 else 0.0,
        crown=0.0 if piece.makeup.flat else fewer * gauge.row_height,
        rounds=max(0, round((usual - piece.height()) / gauge.row_height)),
    )
