"""What the server tells of what was looked for: what costs the width, and ways to win it back."""

from __future__ import annotations

from typing import Literal

from fabricsim.table.messages.base import Told

Sought = Literal["costs", "changes", "places"]
"""What may be looked for: what costs the width (as ``why`` says it), the fewest changes (``change``), the same motif
placed otherwise (``place``)."""


class TellSeeking(Told):
    """How far a search is: ``words`` of what is being tried, ``done`` of ``most`` if that is known. ``ended``: it found
    what there is, was stopped with what it had by then, or failed, and ``words`` say why."""

    kind: Literal["seeking"] = "seeking"
    what: Sought
    words: str = ""
    share: float | None = None
    ended: Literal["found", "stopped", "failed"] | None = None


class FloatCost(Told):
    """A float of the chart, all its copies together, and its ``share`` of what all floats cost: places as in
    ``ToldFloat``."""

    row: int
    column: int
    gap: int
    yarn: int
    share: float


class FreedSquare(Told):
    """A square of the chart in another ``yarn`` and how much of the width it alone is reckoned to free."""

    row: int
    column: int
    yarn: int
    percent: float


class TellCosts(Told):
    """What costs the width of the piece as it lay in the history's ``state``, every float carried alike, the costliest
    floats first; ``words``: the sentences of ``why``; ``squares``: those that would free the most."""

    kind: Literal["costs"] = "costs"
    state: int
    loss_percent: float
    words: tuple[str, ...]
    floats: tuple[FloatCost, ...]
    rows: tuple[tuple[int, float], ...]
    squares: tuple[FreedSquare, ...]


class CameOf(Told):
    """What a scene came to, as ``change`` or ``place`` tells it."""

    loss_percent: float | None
    pucker_mm: float | None
    over: int


class WayTold(Told):
    """A way that may be tried by its ``id`` as a piece of advice, if it is ``there``: ``name`` in a word or two,
    ``words`` in a sentence, what ``came`` of it, whether it does all that is wanted, the squares of the ``chart`` that
    differ, and that chart if it is not a large one."""

    id: str
    name: str
    words: str
    there: bool
    does: bool
    came: CameOf | None
    places: tuple[tuple[int, int], ...]
    chart: tuple[tuple[int, ...], ...] | None


class TellWays(Told):
    """Ways to change the piece as it lay in the history's ``state``, all that were found so far; ``wanted`` and
    ``notes`` in the words of the command, ``now``: what it comes to as it is."""

    kind: Literal["ways"] = "ways"
    what: Sought
    state: int
    wanted: str
    now: CameOf
    ways: tuple[WayTold, ...]
    notes: tuple[str, ...]
