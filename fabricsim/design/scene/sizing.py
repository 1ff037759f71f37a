"""What the designer says about sizes: for which bodies, with which rib, how close."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import Field, field_validator, model_validator

from fabricsim.design.scene.bodies import Centimetres
from fabricsim.design.scene.inches import told_once
from fabricsim.design.scene.part import Count, Number, Part, Switch, refusal
from fabricsim.design.scene.wording import FileName, Name

DEFAULT_RIB = "2x2"
"""Common practice."""
EDGE_STITCHES = 2
"""Stitches that go into the seam of a piece worked flat, one at each edge; common practice."""
_RIB = re.compile(r"^([1-9]\d?)x([1-9]\d?)$")

RibHeight = Annotated[Number, Field(gt=0, le=50)]
"""Of a rib, cm. The end is chosen: half as long as any sleeve."""
CrownEvery = Annotated[Count, Field(ge=1, le=6)]
"""Rounds of a crown to one that decreases. The end is chosen: more is a cone."""
PlainRounds = Annotated[Count, Field(ge=0, le=1000)]
"""Rounds without a pattern. The end is chosen: more than any piece has."""


class Wish(Part):
    """A body to knit for: one of the table by ``name``, or one of your own by ``cm``."""

    name: Name | None = Field(default=None, description="The name of a body in the table, or your own.")
    cm: Centimetres | None = Field(default=None, description="How far round, cm, for a body of your own.")
    inch: Annotated[Number, Field(gt=0, le=400)] | None = Field(
        default=None, description="cm in inches: write one of the two.", exclude=True
    )
    widest_cm: Centimetres | None = Field(
        default=None, description="Round the widest place that it must pass on the way, cm; if you know it."
    )

    @model_validator(mode="before")
    @classmethod
    def _in_inches(cls, given: object) -> object:
        return told_once(given, "inch", "cm")

    @model_validator(mode="after")
    def _one_of_them(self) -> Wish:
        if self.name is None and self.cm is None:
            raise refusal("neither name nor cm", "a name, cm or both", "say which body")
        return self


def _names_or_cm(schema: dict[str, Any]) -> None:
    """Say in the JSON Schema that a name or a number may stand in place of a table."""
    for one in schema["anyOf"]:
        if "items" in one:
            one["items"] = {"anyOf": [one["items"], {"type": "string"}, {"type": "number"}]}


class Sizing(Part):
    """For which bodies to work out sizes, and how."""

    bodies: Annotated[tuple[Wish, ...], Field(min_length=1)] | None = Field(
        default=None,
        description='Bodies by name or by cm: ["woman", 56.5, { name = "my sister", cm = 54 }]. Left out: all for whom '
        "the item is.",
        json_schema_extra=_names_or_cm,
    )
    file: FileName | None = Field(
        default=None, description="A file of bodies beside the scene, in place of the built-in one."
    )
    rib: str = Field(default=DEFAULT_RIB, description='The rib below: "2x2", "1x1", "3x1" and so on, or "none".')
    rib_fewer_percent: Annotated[Number, Field(ge=0, le=50)] = Field(
        default=0.0,  # chosen: on smaller needles a rib draws in by itself
        description="How many stitches fewer the rib has than the chart, per cent.",
    )
    rib_cm: RibHeight | None = Field(
        default=None, description="How high the rib is, cm. Left out: what is usual for the item."
    )
    ease_percent: Annotated[Number, Field(ge=-50, le=100)] | None = Field(
        default=None,
        description="How much wider than the body it should be, per cent; below 0: narrower. Left out: what is usual.",
    )
    crown: Switch | None = Field(
        default=None, description="Whether it is closed by a crown. Left out: hats are, other things aren't."
    )
    lining: Switch | None = Field(
        default=None,
        description="Whether it is lined, so that nothing gets behind the floats. Left out: where no float may be left "
        "open, as on baby hands and feet.",
    )
    crown_every: CrownEvery | None = Field(
        default=None,
        description="Decrease in one of so many rounds of the crown: 1 closes it soonest, 3 makes it deep. Left out: "
        "so that it closes flat.",
    )
    plain_rounds: PlainRounds | None = Field(
        default=None,
        description="Plain rounds or rows between the chart and what follows, besides chart.plain_above. Left out: for "
        "a hat or mitten of a size as many as make it as long as is usual, else none.",
    )
    edge_stitches: Annotated[Count, Field(ge=0, le=20)] | None = Field(
        default=None,
        description="Stitches beside the chart that go into the seam of a piece worked flat, or are its selvedge if it "
        "is no item that is sewn up. Left out: 2 for a seam; none in the round or of a flat piece.",
    )

    @field_validator("bodies", mode="before")
    @classmethod
    def _names_and_numbers(cls, given: object) -> object:
        return [_wish(one) for one in given] if isinstance(given, list | tuple) else given

    @field_validator("rib", mode="after")
    @classmethod
    def _a_rib(cls, given: str) -> str:
        if given != "none" and not _RIB.match(given):
            raise refusal(f"'{given}'", '"1x1", "2x2", "3x1" and so on, or "none"', "write knits x purls")
        return given

    @property
    def knits_and_purls(self) -> tuple[int, int] | None:
        """Knit and purl stitches of one rib; None without rib."""
        found = _RIB.match(self.rib)
        return (int(found[1]), int(found[2])) if found else None


def _wish(given: object) -> object:
    if isinstance(given, str):
        return {"name": given}
    return {"cm": given} if isinstance(given, int | float) and not isinstance(given, bool) else given
