"""The base of everything a scene file is made of: frozen, and deaf to no key."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Strict
from pydantic_core import PydanticCustomError

Count = Annotated[int, Strict()]
"""A whole number, written as one: neither ``"3"`` nor ``3.0`` nor ``true``."""
Number = Annotated[float, Strict()]
"""A finite number, written with or without a decimal point."""
Switch = Annotated[bool, Strict()]
"""``true`` or ``false``, nothing else."""


class Part(BaseModel):
    """A piece of a scene: can't be changed once read, refuses unknown keys, nan and inf."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, hide_input_in_errors=True)


def refusal(given: str, allowed: str, todo: str) -> PydanticCustomError:
    """Return the error by which a part refuses what it was given; ``read_scene`` adds file and key."""
    return PydanticCustomError(
        "refused",
        "given {given}; allowed: {allowed}; {todo}",
        {"given": given, "allowed": allowed, "todo": todo},
    )
