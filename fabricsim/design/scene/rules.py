"""What the knitter means to do with the floats: how slack, how long at most, where caught."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator, model_validator

from fabricsim.design.scene.inches import told_once
from fabricsim.design.scene.needle_corners import CORNER_SHORTER, Needles
from fabricsim.design.scene.part import Count, Number, Part, Switch, refusal
from fabricsim.design.scene.wording import Symbol
from fabricsim.errors import InputError

DEFAULT_SLACK = 0.0
"""Of hands that nobody has measured: floats that lie "neither loose nor taut" (common practice, as taught)."""
MOST_UNEVEN = 0.30
"""Unevenness above which hands carry no floats that anyone would call even (chosen)."""
MOST_SHORT_MM = 20.0
"""More than the width of any stitch (chosen)."""
BAGGY = 0.25
"""Slack above which floats hang in loops and snag (memory: 25 to 30 %)."""
Slack = Annotated[Number, Field(gt=-1, le=1)]
"""Float yarn length / span - 1. At -1 no yarn is left; above 1 (chosen) a per cent was meant."""

Place = Annotated[Count, Field(ge=1, le=1_000_000)]
"""A row or stitch of a chart, from 1. The end is chosen: more than any chart has."""
Gap = Annotated[Count, Field(ge=0, le=1_000_000)]
"""Stitches that a float passes behind. The end is chosen: more than any piece has."""


WRITTEN_SHARE = re.compile(r"([-+]?\d+(?:[.,]\d+)?)\s*%")
"""A share written as a text: ``-4 %``."""


class Catch(Part):
    """A square of the chart where a float is caught: what passes behind it, or one yarn of it, is twisted in there."""

    row: Place = Field(description="Row of the chart, counted from the bottom: 1 is the bottom row.")
    stitch: Place = Field(
        description="Stitch of the chart, counted from the right as charts are numbered: 1 is the rightmost "
        "square, on wrong-side rows too.",
    )
    yarn: Symbol | None = Field(
        default=None, description="Symbol of the yarn that is caught there; left out: every yarn that passes."
    )
    repeat: Literal["first", "last"] | None = Field(
        default=None,
        description="Only in the repeat that begins the round, or the one that ends it, beside the join of two rounds; "
        "left out: in every repeat of the chart.",
    )


def _none_or_list(schema: dict[str, Any]) -> None:
    """Say in the JSON Schema that the words "none" and "planned" may stand in place of the list."""
    listed = {key: schema.pop(key) for key in ("type", "items") if key in schema}
    schema["anyOf"] = [{"const": "none"}, {"const": "planned"}, listed]
    schema["default"] = "none"


def _one_or_list(schema: dict[str, Any]) -> None:
    """Say in the JSON Schema that one symbol may stand in place of the list."""
    listed = {key: schema.pop(key) for key in ("type", "items") if key in schema}
    schema["anyOf"] = [listed["items"], listed]


class FloatRules(Part):
    """How the floats are carried and how long they may be."""

    slack: Slack = Field(
        default=DEFAULT_SLACK,
        description="Extra float yarn over the distance it bridges, as a fraction: 0.05 is 5 % slack, 0 just "
        'reaches, -0.04 is 4 % too short and pulls in. May be a text in per cent: "-4 %".',
    )
    slack_by_yarn: dict[str, Slack] = Field(
        default_factory=dict,
        description="Slack of single yarns, by symbol, where it differs: { B = 0.02 }.",
    )
    below: tuple[Symbol, ...] = Field(
        default=(),
        description="Symbol of the yarn whose strand lies below the others of its row, which makes its stitches stand "
        "out; or several, from the lowest up. Yarns that are left out lie above these, in the order of the scene.",
        json_schema_extra=_one_or_list,
    )
    unevenness: Annotated[Number, Field(ge=0, le=MOST_UNEVEN)] | None = Field(
        default=None,
        description="How far slack differs from float to float: two floats in three lie within this, as a fraction, of "
        "their row's mean; half as far from row to row. 0: every float alike. Left out: as is usual.",
    )
    short_mm: Annotated[Number, Field(ge=0, le=MOST_SHORT_MM)] | None = Field(
        default=None,
        description="How much shorter than its slack says a float comes out, mm, however far it reaches; less than "
        "the width of a stitch. Left out: as is usual.",
    )
    laid: Literal["flat", "inside"] = Field(
        default="flat",
        description="In the round: 'flat' where floats are as long as the stitches spread out behind which they pass, "
        "'inside' where they are laid snugly inside the tube, as on short needles, which is shorter.",
    )
    needles: Needles | None = Field(
        default=None,
        description="What a small tube is worked on, if floats are laid round its corners: 'double-pointed' (four and "
        "one to knit with), 'magic loop' or 'two circulars'. Floats across a corner are then shorter, in every round "
        "over the same stitches; not of what is knitted inside out. Left out: no corners.",
    )
    corner_shorter: Annotated[Number, Field(ge=0.0, le=0.5)] = Field(
        default=CORNER_SHORTER, description="By what share a float laid round a corner of the needles is shorter."
    )
    longest_gap: Gap | None = Field(
        default=None,
        description="The most stitches a float may pass behind without a catch. 0: no open floats at all. What is "
        "written counts: this, longest_cm, or both. If neither is: 5 stitches or 2.5 cm (or the cm usual for the "
        "item), at gauges finer than 20 stitches to 10 cm the cm alone; no open floats on baby hands and feet.",
    )
    longest_cm: Annotated[Number, Field(ge=0, le=1000)] | None = Field(
        default=None,
        description="The longest stretch that a float may pass behind without a catch, in cm (the width of "
        "the stitches in the gap). Counts beside longest_gap where both are written; see there if neither is.",
    )
    longest_inch: Annotated[Number, Field(ge=0, le=400)] | None = Field(
        default=None, description="longest_cm in inches: write one of the two.", exclude=True
    )
    catches: tuple[Catch, ...] = Field(
        default=(),
        description='"none", "planned" (evenly, wherever a float passes a limit), or the squares of the chart behind '
        "which floats are caught: [{ row = 3, stitch = 5 }]. They repeat with the chart, unless they say repeat = "
        '"first" or "last"; of several strands they hold the yarn that they name. Each part of a float between '
        "catches counts as a float of its own, with the same slack.",
        json_schema_extra=_none_or_list,
    )
    plan_catches: Switch = Field(
        default=False,
        description='What catches = "planned" sets; beside a list of catches it plans what they leave too long.',
    )

    @model_validator(mode="before")
    @classmethod
    def _the_word_planned(cls, given: object) -> object:
        if isinstance(given, dict) and given.get("catches") == "planned":
            return {**given, "catches": (), "plan_catches": True}
        return given

    @model_validator(mode="before")
    @classmethod
    def _limit_in_inches(cls, given: object) -> object:
        return told_once(given, "longest_inch", "longest_cm")

    @field_validator("slack", mode="before")
    @classmethod
    def _not_a_per_cent(cls, given: object) -> object:
        return share_of(given)

    @field_validator("unevenness", mode="before")
    @classmethod
    def _no_per_cent_either(cls, given: object) -> object:
        return share_of(given, f"a fraction from 0 to {MOST_UNEVEN:g}")

    @field_validator("slack_by_yarn", mode="before")
    @classmethod
    def _not_per_cents(cls, given: object) -> object:
        return {key: share_of(value) for key, value in given.items()} if isinstance(given, dict) else given

    @field_validator("below", mode="before")
    @classmethod
    def _one_symbol(cls, given: object) -> object:
        return [given] if isinstance(given, str) else given

    @field_validator("below", mode="after")
    @classmethod
    def _each_once(cls, given: tuple[str, ...]) -> tuple[str, ...]:
        for place, symbol in enumerate(given):
            if symbol in given[:place]:
                raise refusal(f"'{symbol}' twice", "each symbol once, from the lowest strand up", "take one out")
        return given

    @field_validator("catches", mode="before")
    @classmethod
    def _the_word_none(cls, given: object) -> object:
        if not isinstance(given, str):
            return given
        if given == "none":
            return ()
        raise refusal(
            f'"{given}"',
            '"none", "planned" or a list of squares such as [{ row = 3, stitch = 5 }]',
            "list the caught squares, or leave the key out",
        )


def checked_slack(given: float, where: str) -> float:
    """Return ``given`` if it may be a slack; else raise ``InputError``, naming ``where``."""
    if not -1.0 < given <= 1.0:  # nan is in neither
        per_cent = 1.0 < abs(given) <= 100.0
        todo = f"write {given / 100:g} if you mean {given:g} %" if per_cent else "-0.05 is 5 % too tight"
        raise InputError(where, f"{given:g}", "a fraction above -1, at most 1", todo)
    return given


def share_of(given: object, allowed: str = "a fraction above -1, at most 1") -> object:
    """Return a share as it was given, one written as a text in per cent as the fraction; refuse what looks like a per
    cent."""
    if isinstance(given, str) and (share := WRITTEN_SHARE.fullmatch(given.strip())):
        return float(share[1].replace(",", ".")) / 100.0
    if isinstance(given, int | float) and not isinstance(given, bool) and 1 < abs(given) <= 100:
        raise refusal(f"{given:g}", allowed, f"write {given / 100:g} if you mean {given:g} %")
    return given
