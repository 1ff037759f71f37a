"""What a piece can be put on, to see how it sits."""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from pydantic import BeforeValidator

from fabricsim.design.scene.part import refusal

On = Literal["head", "hand", "arm", "leg", "board"]
"""A head, a hand, an arm from the wrist, a leg from the ankle, or a flat board for blocking."""
ENDED: tuple[On, ...] = ("head", "hand")
"""Forms that have an end for a crown to lie over."""
UNKNOWN = ("shoulders", "shoulder", "neck", "chest", "body")
"""Where yokes and bodies are worn: no forms, as a form holds what stretches over it."""
HANGS = "what is worn there hangs by its weight more than it stretches: look at it off the body"
SEWN_FOR: tuple[On, ...] = ("head", "hand", "arm", "leg")
"""What is worked flat is sewn up to go on or over: a board takes it flat, on pins."""


def _known(given: object) -> object:
    if given in UNKNOWN:
        raise refusal(f"'{given}'", ", ".join(get_args(On)), HANGS)
    return given


WrittenOn = Annotated[On, BeforeValidator(_known)]
"""The same as a scene says it."""
