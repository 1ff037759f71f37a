"""Where on the map of the back the catches are drawn: a diamond for each kind behind a square, dots for its strands."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from fabricsim.design.catches.plan import CatchPlan
from fabricsim.design.rows.squares import EVERY_STRAND, Square

if TYPE_CHECKING:
    from fabricsim.design.scene.model import Scene

MapPlace = tuple[float, float]
"""Row and column of the chart, from 0, in the middle of a square a whole number."""
DIAMOND, SPREAD = 0.5, 0.56
"""Size of a catch, share of a stitch, and how far apart the outermost of several behind one stitch are, stitches
(chosen: none hides another)."""
DOTS_APART = 0.2
"""How far apart the dots of two strands held by one catch lie, stitches (chosen)."""
CATCHES = {
    "planned": ("white", "catch, planned"),
    "listed": ("black", "catch, as listed"),
    "first": ("#b9b2a8", "only in the first repeat of a round"),
    "last": ("#746c61", "only in the last repeat of a round"),
}
"""The kinds of catches: what is inside their diamond, and what it means."""


class CatchMark(NamedTuple):
    """A diamond of the map: its ``kind`` of ``CATCHES``, its ``place``, its ``size`` in stitches, and ``dots``: place
    and yarn of each strand that it holds."""

    kind: str
    place: MapPlace
    size: float
    dots: tuple[tuple[MapPlace, int], ...]


def marks_of_catches(scene: Scene, plan: CatchPlan) -> list[CatchMark]:
    """Return the diamonds of a ``plan``: one for each kind of catch behind a square, side by side where several are."""
    chart_ij = scene.chart_rows()
    kinds: dict[Square, dict[str, list[int]]] = {}
    for hold in sorted(plan.caught):
        written = "listed" if hold in plan.listed else "planned"
        kind: str = written if hold.repeat == "every" else hold.repeat
        kinds.setdefault(hold.square, {}).setdefault(kind, []).append(hold.yarn)
    made = []
    for (row, column), held in kinds.items():
        several = len(set(chart_ij[row])) > 2
        size = DIAMOND / len(held) ** 0.5
        for number, (kind, yarns) in enumerate(held.items()):
            middle = column + SPREAD * (number / (len(held) - 1) - 0.5) if len(held) > 1 else float(column)
            named = [yarn for yarn in yarns if yarn != EVERY_STRAND and several]
            apart = DOTS_APART * size / DIAMOND
            dots = [((row, middle + apart * (at - 0.5 * (len(named) - 1))), yarn) for at, yarn in enumerate(named)]
            made.append(CatchMark(kind, (row, middle), size, tuple(dots)))
    return made
