"""What one change asks the solver for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.study.forecast.forecast import Forecast
from fabricsim.table.messages.told import TellSaid, Told
from fabricsim.table.solving.shapes import Shape


@dataclass(frozen=True)
class Order:
    """Bring a ``scene`` to rest in a ``case`` and show it, its loops in so many ``steps``; ``revision``: of which
    change; ``state``: which of the history's states it is."""

    revision: int
    state: int
    scene: Scene
    case: Case
    steps: int


@dataclass(frozen=True)
class Failed:
    """No rest was found, or a fault: ``words`` say why."""

    revision: int
    words: str


Outcome = Told | Shape | Failed


class Teller(Protocol):
    """Says in numbers and words what a forecast comes to, as the commands do: they own both."""

    def __call__(self, forecast: Forecast, revision: int, *, likely: bool) -> TellSaid: ...
