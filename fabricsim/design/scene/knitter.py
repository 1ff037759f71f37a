"""A knitter's file: how slack this knitter's floats are and how stiff the fabric, as learnt from a measured swatch."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from fabricsim.design.scene.part import Number, Part, refusal
from fabricsim.design.scene.part_file import read_part
from fabricsim.design.scene.rules import MOST_SHORT_MM, MOST_UNEVEN, Slack
from fabricsim.design.scene.wording import Label, Name, quoted

Known = Literal["measured", "at least", "not told"]
"""``measured``: from both sides; ``at least``: from below only; ``not told``: no better than before."""
Factor = Annotated[Number, Field(ge=1e-3, le=1e3)]  # the ends are chosen: far beyond any fabric
Unevenness = Annotated[Number, Field(ge=1e-4, le=MOST_UNEVEN)]  # chosen: of none at all no factor would be known
ShortMillimetres = Annotated[Number, Field(ge=0, le=MOST_SHORT_MM)]


class Learnt(Part):
    """What was learnt of one number; ``value``, ``low`` and ``high`` have the range of their kind."""

    value: Number
    low: Number
    high: Number
    known: Known

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        low, value, high = self.low, self.value, self.high
        if not low <= value <= high:
            given = f"low = {low:g}, value = {value:g}, high = {high:g}"
            raise refusal(given, "low, value, high in rising order", "swap them")
        return self


class LearntSlack(Learnt):
    """A slack: the likeliest value, and between what it lies 95 times in 100."""

    value: Slack = Field(description="The likeliest, as a fraction: -0.06 is 6 % too short.")
    low: Slack = Field(description="Least, 95 times in 100.")
    high: Slack = Field(description="Greatest, 95 times in 100.")
    known: Known = Field(description="'measured', 'at least' (from below only) or 'not told' by what was measured.")


class LearntShare(Learnt):
    """An unevenness: the likeliest value, and between what it lies 95 times in 100; a fraction."""

    value: Unevenness = Field(description="The likeliest, as a fraction: 0.04 is 4 %.")
    low: Unevenness = Field(description="Least, 95 times in 100.")
    high: Unevenness = Field(description="Greatest, 95 times in 100.")
    known: Known = Field(description="'measured', or 'not told' by what was measured.")


class LearntLength(Learnt):
    """By how much floats fall short, mm: the likeliest value, and between what it lies 95 times in 100."""

    value: ShortMillimetres = Field(description="The likeliest, mm.")
    low: ShortMillimetres = Field(description="Least, 95 times in 100.")
    high: ShortMillimetres = Field(description="Greatest, 95 times in 100.")
    known: Known = Field(description="'measured', or 'not told' by what was measured.")


class SlackGoes(Part):
    """How the slack that was learnt goes with what else was: where more of one is likely, so is more of the other."""

    with_unevenness: Annotated[Number, Field(ge=-10, le=10)] = Field(
        description="How much more slack where unevenness is 2.718 times as much, a fraction."
    )
    with_short_mm: Annotated[Number, Field(ge=-10, le=10)] = Field(
        description="How much more slack for each mm that floats fall shorter, a fraction."
    )


class LearntFactor(Learnt):
    """How many times as stiff or heavy as was assumed, and between what it lies 95 times in 100."""

    value: Factor = Field(description="The likeliest: 1.3 is 1.3 times as much as was assumed.")
    low: Factor = Field(description="Least, 95 times in 100.")
    high: Factor = Field(description="Greatest, 95 times in 100.")
    known: Known = Field(description="'measured', or 'not told' by what was measured.")

    @property
    def used(self) -> float:
        """What a forecast multiplies by: 1 where nothing was learnt."""
        return 1.0 if self.known == "not told" else self.value


class Knitter(Part):
    """What one swatch told about a knitter's hands and the fabric they make."""

    swatch: Label = Field(default="", description="The swatch that it was learnt from.")
    slack: LearntSlack = Field(description="Slack of the floats.")
    slack_by_yarn: dict[Name, LearntSlack] = Field(
        default_factory=dict, description="Slack of single yarns, by their name, where floats of each were measured."
    )
    unevenness: LearntShare | None = Field(default=None, description="How far slack differs from float to float.")
    short_mm: LearntLength | None = Field(
        default=None, description="How much shorter than its slack says a float comes out, mm."
    )
    slack_goes: SlackGoes | None = Field(default=None, description="How slack goes with the two before it.")
    stretch: LearntFactor = Field(description="Stiffness against stretch, times that assumed from gauge and yarn.")
    bending: LearntFactor = Field(description="Stiffness against bending, times that assumed from gauge and yarn.")
    bending_against_stretch: Annotated[Number, Field(ge=1, le=1e6)] = Field(
        description="How well bending against stretch is known: a factor either way, 95 times in 100."
    )
    weight: LearntFactor = Field(description="Weight, times that reckoned from the yarn.")

    def slack_of(self, yarn: str) -> float | None:
        """Return the slack of the yarn of this name, or None if nothing was learnt of it."""
        learnt = self.slack_by_yarn.get(yarn, self.slack)
        return None if learnt.known == "not told" else learnt.value


def read_knitter(path: Path, where: str) -> Knitter:
    """Return the knitter in the TOML file ``path``; raises ``InputError`` (at ``where`` if there is no such file)."""
    return read_part(path, Knitter, "a knitter's file", where)


def knitter_text(knitter: Knitter) -> str:
    """Return the knitter's file as TOML, which ``read_knitter`` reads back the same."""
    lines = [
        "# A knitter's file, written by 'fabricsim calibrate'. Keep it beside your scenes and name it in them, on a",
        '# line above [chart]: knitter = "this_file.toml". low to high: where it lies 95 times in 100.',
        "",
        f"swatch = {quoted(knitter.swatch)}",
        "# How well bending against stretch is known: a factor either way.",
        f"bending_against_stretch = {knitter.bending_against_stretch:.6g}",
        *_table("slack", knitter.slack, "Float yarn over the way it bridges, less 1: -0.06 is 6 % too short."),
        *_table("stretch", knitter.stretch, "Stiffness against stretch, times what was assumed."),
        *_table("bending", knitter.bending, "Stiffness against bending, times what was assumed."),
        *_table("weight", knitter.weight, "Weight, times what was reckoned from the yarn."),
    ]
    if knitter.unevenness is not None:
        lines += _table("unevenness", knitter.unevenness, "How far slack differs from float to float: 0.04 is 4 %.")
    if knitter.short_mm is not None:
        lines += _table("short_mm", knitter.short_mm, "How much shorter than its slack says a float comes out, mm.")
    if (goes := knitter.slack_goes) is not None:
        lines += ["", "[slack_goes]  # How much more slack where floats are more uneven, or fall shorter by a mm."]
        lines += [f"with_unevenness = {goes.with_unevenness!r}", f"with_short_mm = {goes.with_short_mm!r}"]
    for name, learnt in knitter.slack_by_yarn.items():
        lines += _table(f"slack_by_yarn.{quoted(name)}", learnt, f"Slack of the floats of {quoted(name)}.")
    return "\n".join(lines) + "\n"


def _table(name: str, learnt: Learnt, meaning: str) -> list[str]:
    numbers = [f"{end} = {getattr(learnt, end)!r}" for end in ("value", "low", "high")]
    return ["", f"[{name}]  # {meaning}", *numbers, f'known = "{learnt.known}"']
