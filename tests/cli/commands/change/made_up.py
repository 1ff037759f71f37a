"""Ways made up, for what is said of them."""

from __future__ import annotations

from typing import Any

from fabricsim.cli.commands.change.words import ChangeTold
from fabricsim.design.rows.squares import Hold
from fabricsim.design.scene.model import Scene
from fabricsim.study.change.aims import Aims, TriedScene
from fabricsim.study.change.found_ways import Changing
from fabricsim.study.change.search import Proposal
from fabricsim.units import MM
from tests.cli.made_up import forecast_of, measures_of, rest_of, scene_of

AIMS = Aims(within=True, may_lose=0.03, pucker=1 * MM)
ONE = Proposal((((1, 4), 0), ((1, 10), 0), ((0, 3), 1)), (Hold(0, 9, 1),), 2, 6, 0.02, 0)


def tried(scene: Scene, lost: float, pucker_mm: float, over: int) -> TriedScene:
    rest = rest_of(scene)
    return TriedScene(scene, forecast_of(rest, measures_of(rest, lost=lost, pucker_mm=pucker_mm)), over)


def told(*ways: Any, now: tuple[float, float, int] = (0.05, 2.0, 3), **more: Any) -> ChangeTold:
    scene = scene_of()
    return ChangeTold(scene, Changing(scene, tried(scene, *now), AIMS, list(ways), most=16, **more))
