"""What may be asked of ``change``."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.cli.shell.advice_options import AdviceOptions
from fabricsim.cli.shell.picked import check_pick
from fabricsim.cli.words.pucker import PUCKER_WORDS
from fabricsim.design.scene.worn_on import On
from fabricsim.errors import InputError
from fabricsim.study.change.aims import Aims
from fabricsim.units import PER_CENT

MOST_LOST = 50.0
"""Per cent of the width (chosen: nobody wants more lost)."""
USUAL_LOSS = 3.0
"""Per cent of the width that may be lost, unless asked for otherwise (chosen: hardly seen)."""
WAYS = 5
"""Ways that may be found: ``--pick`` names one of them by its number."""


@dataclass(frozen=True, kw_only=True)
class ChangeOptions(AdviceOptions):
    """What is wanted: at most ``may_lose`` per cent narrower, ``flat``, with ``long_floats`` whatever the limits say,
    that it goes ``over`` a head or whatever of a ``size``; whether the chart stays ``symmetric``; which way is
    ``pick``ed for the copy of the scene. Raises ``InputError`` for what is out of range."""

    may_lose: float = USUAL_LOSS
    flat: bool = False
    long_floats: bool = False
    symmetric: bool = True
    over: On | None = None
    size: str | None = None
    pick: int | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        if not 0.0 <= self.may_lose <= MOST_LOST:
            todo = "give per cent, as in 3"
            raise InputError("--may-lose", f"{self.may_lose:g}", f"0 to {MOST_LOST:g} per cent", todo)
        check_pick(self.pick, self.write, WAYS)
        if self.size is not None and self.over is None:
            raise InputError("--size", f"'{self.size}'", "with --over head, hand, arm or leg", "say what it goes over")
        if self.over is not None and self.load.case != "round":
            given = f"'{self.over}' with the case '{self.load.case}'"
            raise InputError("--over", given, "a tube", "add --case round")

    @property
    def aims(self) -> Aims:
        """What is wanted."""
        return wanted(
            may_lose=self.may_lose, flat=self.flat, long_floats=self.long_floats, over=self.over, size=self.size
        )


def wanted(
    *,
    may_lose: float = USUAL_LOSS,
    flat: bool = False,
    long_floats: bool = False,
    over: On | None = None,
    size: str | None = None,
) -> Aims:
    """Return what is wanted, as ``ChangeOptions`` names it."""
    pucker = PUCKER_WORDS[0].below if flat else None
    return Aims(not long_floats, may_lose * PER_CENT, pucker, over, size)
