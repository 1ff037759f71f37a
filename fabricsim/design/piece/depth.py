"""How deep a hat comes out, against what is usual for the head, and by what it could be mended."""

from __future__ import annotations

from dataclasses import dataclass
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
