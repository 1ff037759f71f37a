"""What may be asked of ``slack``."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.cli.shell.options import Load
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.units import PER_CENT

USUAL_LOSS = 1.0
"""Per cent of the width that may be lost, unless asked for otherwise (chosen: not seen)."""


@dataclass(frozen=True)
class SlackOptions:
    """How much of the width floats may take (``may_lose``) and how far they must let it ``stretch``, both per cent;
    the latter None for what the item needs. Raises ``InputError`` for what is out of range."""

    load: Load
    may_lose: float = USUAL_LOSS
    stretch: float | None = None

    def __post_init__(self) -> None:
        _check("--may-lose", self.may_lose, 0.05, 50.0)
        if self.stretch is not None:
            _check("--stretch", self.stretch, 0.0, 100.0)

    def stretch_of(self, scene: Scene) -> float:
        """Return how far it must stretch with ease, as a share."""
        if self.stretch is not None:
            return self.stretch * PER_CENT
        from fabricsim.design.sizes.fits import stretch_to_put_on

        return stretch_to_put_on(scene.item, scene.sizes.ease_percent if scene.sizes is not None else None)


def _check(option: str, given: float, least: float, most: float) -> None:
    if not least <= given <= most:
        raise InputError(option, f"{given:g}", f"{least:g} to {most:g} per cent", "give per cent, as in 8")
