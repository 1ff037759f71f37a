"""The bodies that things are knitted for: how far round, and where that number comes from."""

from __future__ import annotations

from importlib import resources
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from fabricsim.design.scene.items import WornOn
from fabricsim.design.scene.part import Number, Part, refusal
from fabricsim.design.scene.part_file import read_part
from fabricsim.design.scene.wording import Name

TABLE = "bodies.toml"
Wearer = Literal["baby", "child", "adult"]
Centimetres = Annotated[Number, Field(ge=1, le=1000)]  # chosen: thinner than any arm, ten times any chest


class Body(Part):
    """One size of one part of a body: ``cm`` round it, the least and the greatest."""

    part: WornOn = Field(description="head, hand, foot, arm or chest.")
    name: Name = Field(description="What the size is called, such as 'woman'.")
    wearer: Wearer = Field(default="adult", description="baby, child or adult.")
    cm: tuple[Centimetres, Centimetres] = Field(description="Round the part, cm: a number, or least and greatest.")
    widest_cm: Centimetres | None = Field(
        default=None, description="Round the widest place that it must pass on the way, cm; if you know it."
    )
    depth_cm: Centimetres | None = Field(
        default=None, description="How deep a hat for it is, brim to middle of the crown, cm; if you know it."
    )
    source: Name = Field(default="yours", description="Where the number comes from.")

    @field_validator("cm", mode="before")
    @classmethod
    def _one_number(cls, given: object) -> object:
        return (given, given) if isinstance(given, int | float) else given

    @model_validator(mode="after")
    def _least_first(self) -> Body:
        if self.cm[0] > self.cm[1]:
            raise refusal(f"cm = [{self.cm[0]:g}, {self.cm[1]:g}]", "least first, then greatest", "swap the two")
        return self

    @property
    def middle_cm(self) -> float:
        """The size that is knitted for: halfway between least and greatest."""
        return 0.5 * (self.cm[0] + self.cm[1])


class BodyTable(Part):
    """A file of bodies."""

    bodies: Annotated[tuple[Body, ...], Field(min_length=1)] = Field(description="The bodies.")


def read_bodies(path: Path, where: str) -> tuple[Body, ...]:
    """Return the bodies in the TOML file ``path``; raises ``InputError`` (at ``where`` if there is no such file)."""
    return read_part(path, BodyTable, "bodies", where).bodies


def usual_bodies() -> tuple[Body, ...]:
    """Return the bodies that come with the package."""
    with resources.as_file(resources.files("fabricsim.design.scene") / TABLE) as path:
        return read_bodies(path, TABLE)
