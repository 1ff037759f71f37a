"""A steek: stitches for cutting, in a piece that is worked in the round and cut open."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal, NamedTuple

from pydantic import Field

from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.items import Item
from fabricsim.design.scene.part import Count, Part

DEFAULT_STEEK = 7
"""Stitches of a steek (common practice: 5 to 10, mostly an odd number, so that one stitch is the middle)."""
STEEKED: frozenset[Item | None] = frozenset({None, "swatch", "cowl", "sleeves", "body", "yoke", "baby body"})
"""What may have one: what is open at both ends (common practice)."""

SteekStitches = Annotated[Count, Field(ge=4, le=20)]
"""Fewer leave nothing to sew down on either side, more are a bulge (chosen)."""
Pattern = Literal["stripes", "checks"]


class SteekColumns(NamedTuple):
    """So many ``stitches`` for cutting, in ``checks`` or in stripes.

    A round begins in their middle: with the ``right`` of them, the middle one first, and ends with the ``left``.
    """

    stitches: int
    checks: bool

    @property
    def right(self) -> int:
        """Stitches at the right of the chart: a round begins with them."""
        return self.stitches - self.left

    @property
    def left(self) -> int:
        """Stitches at the left of the chart: a round ends with them."""
        return self.stitches // 2

    def beside(self, rows: Rows, first: int = 0) -> Rows:
        """Return ``rows`` (the lowest of them the row ``first`` of the piece) with their steek at both sides.

        The yarns of a row take turns, stitch by stitch on from the left part of a round into the right part of the
        next, so that none passes behind more stitches than there are other yarns; in checks a row later each.
        """
        return [self._row(yarn_j, first + number) for number, yarn_j in enumerate(rows)]

    def _row(self, yarn_j: Sequence[int], row: int) -> tuple[int, ...]:
        used = sorted(set(yarn_j))

        def turn(step: int) -> int:
            """Return the yarn of the stitch so many steps from the edge at which the steek is begun."""
            below = step >= self.left  # it goes on from the round before
            return used[(step + (row - below if self.checks else 0)) % len(used)]

        left = [turn(step) for step in range(self.left)]
        right = [turn(step) for step in range(self.left, self.stitches)]
        return (*reversed(left), *yarn_j, *reversed(right))


class Steek(Part):
    """Stitches for cutting: between the last stitch of the chart and its first."""

    stitches: SteekStitches = Field(
        default=DEFAULT_STEEK, description="How many stitches for cutting; an odd number has a middle one to cut along."
    )
    pattern: Pattern = Field(
        default="stripes",
        description="How the yarns of a round take turns in them, stitch by stitch: in 'stripes' one above the other, "
        "or in 'checks'.",
    )

    @property
    def columns(self) -> SteekColumns:
        """The stitches themselves."""
        return SteekColumns(self.stitches, self.pattern == "checks")
