"""Ways to change a scene as they are found, side by side."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from fabricsim.design.scene.model import Scene
from fabricsim.study.change.aims import Aims, TriedScene
from fabricsim.study.change.search import Proposal

WayKind = Literal["carrying", "stitches", "both", "rows", "needles"]
KINDS: tuple[WayKind, ...] = ("carrying", "stitches", "both", "rows", "needles")
"""Ways that differ: the chart as it is, caught and carried otherwise; the chart alone; whatever takes fewest; the chart
as it is, floats looser in some of its rows, or those with floats on larger needles."""


@dataclass(frozen=True)
class ChangeWay:
    """One kind of way: the ``proposal`` that was found, None if nothing of that kind was, and what came of it when it
    was ``tried``. Where no changes of this kind meet all aims, the proposal is what comes nearest, if that wins back
    ``WORTH`` of what is to be won, else the fewest that keep floats within the limits, if that is wanted and missed;
    ``nearest`` is then what came of those tried that came nearest.
    """

    kind: WayKind
    proposal: Proposal | None
    tried: TriedScene | None
    nearest: TriedScene | None = None


@dataclass
class Changing:
    """The bare ``scene`` as it was tried ``now``, the ``aims``, and the ``ways`` found so far; ``kept``: whether the
    chart has symmetries that were kept; ``most`` changes that a way may take; ``stopped`` before all ways were looked
    for; ``none_open``: no float may stay open at all, so that floats within the limits are not looked for."""

    scene: Scene
    now: TriedScene
    aims: Aims
    ways: list[ChangeWay] = field(default_factory=list)
    kept: bool = False
    most: int = 0
    stopped: bool = False
    none_open: bool = False

    @property
    def needed(self) -> tuple[str, ...]:
        """Which aims are missed as it is."""
        return self.now.misses(self.aims)
