"""What one change asks for, and what comes of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple, Protocol

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.messages.base import Told
from fabricsim.table.messages.fabrics import Suggestion, TellSaid
from fabricsim.table.messages.sought import Sought, TellCosts, TellWays
from fabricsim.table.solving.shape import Shape

if TYPE_CHECKING:
    from fabricsim.study.change.aims import Aims
    from fabricsim.study.change.costs import Costs
    from fabricsim.study.change.found_ways import Changing
    from fabricsim.study.change.placing import PlacedRepeats, RoundBeginning
    from fabricsim.study.forecast.forecast import Forecast

Which = Literal["first", "second"]
"""The piece on the table, or the one that lies beside it."""


@dataclass(frozen=True)
class Quest:
    """What is looked for: ``what``, with at most so much of the width lost, per cent, and ``flat`` if need be."""

    what: Sought
    may_lose: float = 3.0
    flat: bool = False


@dataclass(frozen=True)
class Order:
    """Bring the scene of a ``text`` to rest in a ``case`` and show it, its loops in so many ``steps``; ``revision``: of
    which change; ``state``: which of the history's states it is. ``shows``: also the looks on the way, or the rest
    alone, as where it lay at rest before, or nothing, where all is known but how to go on from there; ``search``: what
    is to be looked for, if anything. As text, for whatever process to read again."""

    which: Which
    revision: int
    state: int
    text: str
    path: Path
    case: Case
    steps: int
    shows: Literal["looks", "rest", "nothing"] = "looks"
    search: Quest | None = None

    @property
    def draft(self) -> SceneText:
        """The text as it lies on the table."""
        return SceneText(self.text, self.path)

    @property
    def scene(self) -> Scene:
        """The scene that is to be brought to rest."""
        return self.draft.scene


@dataclass(frozen=True)
class Failed:
    """No rest was found, or a fault: ``words`` say why."""

    words: str


@dataclass(frozen=True)
class Candidates:
    """Changes that may be tried, and the text of the scene with each of them."""

    each: tuple[tuple[Suggestion, str], ...]


@dataclass(frozen=True)
class FoundWays:
    """Ways that may be tried, and by the id of each that is there the text of the scene with it."""

    told: TellWays
    texts: dict[str, str]


Outcome = Told | Shape | Failed | Candidates | FoundWays


class Wired(Protocol):
    """Where what comes of an order is told, and where it is heard that nobody waits for it."""

    def overtaken(self, order: Order, /) -> bool: ...

    def tell(self, order: Order, what: Outcome, /) -> None: ...


class Teller(Protocol):
    """Says in numbers and words what a forecast comes to, as the commands do: they own both. A function of a module, so
    that other processes find it too."""

    def __call__(self, forecast: Forecast, revision: int, which: Which, *, likely: bool) -> TellSaid: ...


class SearchTellers(NamedTuple):
    """Say what was looked for, as the commands do: functions of a module. ``aims``: what is wanted of changes by the
    words of a search; ``ways`` are told as often as there are more of them."""

    aims: Callable[[Quest], Aims]
    costs: Callable[[Costs, Order], TellCosts]
    changes: Callable[[Changing, Order], FoundWays]
    places: Callable[[Sequence[RoundBeginning], Sequence[PlacedRepeats], Order], FoundWays]
