"""Rows of a chart that are worked otherwise than the others: their floats carried looser, or on other needles."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Annotated, Self

from pydantic import Field, field_validator, model_validator

from fabricsim.design.scene.part import Count, Number, Part, refusal
from fabricsim.design.scene.rules import Place, share_of
from fabricsim.errors import InputError

MOST_SIZES = 3
"""Sizes beyond which needles are no remedy: the fabric would be too open (chosen)."""
MOST_LOOSER = 0.5
"""Slack more or less than the other rows have (chosen: more is a slip)."""


class RowBand(Part):
    """Rows of the chart, from the ``first`` to the ``last`` of them, that are worked otherwise than the others."""

    first: Place = Field(description="The lowest of these rows of the chart: 1 is the bottom row.")
    last: Place = Field(description="The highest of these rows of the chart.")
    looser: Annotated[Number, Field(ge=-MOST_LOOSER, le=MOST_LOOSER)] = Field(
        default=0.0,
        description="By how much their floats are slacker than those of other rows, as a fraction: 0.03 is 3 % more "
        'yarn over the way. Below 0 they are tighter. May be a text in per cent: "3 %".',
    )
    needle_sizes: Annotated[Count, Field(ge=-MOST_SIZES, le=MOST_SIZES)] = Field(
        default=0,
        description="On needles so many trade sizes larger than the gauge's, below 0 smaller: each makes stitches "
        "wider and higher by what is usual for one size.",
    )

    @field_validator("looser", mode="before")
    @classmethod
    def _in_per_cent(cls, given: object) -> object:
        return share_of(given, f"a fraction from -{MOST_LOOSER:g} to {MOST_LOOSER:g}")

    @model_validator(mode="after")
    def _upwards(self) -> Self:
        if self.last < self.first:
            raise refusal(f"rows {self.first} to {self.last}", "the lower row first", "change the two over")
        return self

    def holds(self, row: int) -> bool:
        """Return whether a ``row`` of the chart, from 0, is one of these."""
        return self.first <= row + 1 <= self.last


def check_bands(
    bands: Sequence[RowBand], rows: int, slack_of_yarns: Sequence[float], where: Callable[[str], str]
) -> None:
    """Refuse bands that reach beyond a chart of so many ``rows``, that share a row, or that leave a float no yarn.

    Raises InputError.
    """
    for number, band in enumerate(bands):
        given = f"rows {band.first} to {band.last}"
        if band.last > rows:
            raise InputError(where("bands"), given, f"rows 1 to {rows} of the chart", "name rows that there are")
        if any(other.first <= band.last and band.first <= other.last for other in bands[:number]):
            raise InputError(where("bands"), f"{given}, some of them twice", "every row in one band", "part them")
        slack = min(slack_of_yarns) + band.looser
        if not -1.0 < slack <= 1.0:
            allowed = "what leaves floats a slack above -1, at most 1"
            raise InputError(where("bands"), f"looser = {band.looser:g} in {given}", allowed, "give less")
