"""What is wanted of a scene, and a scene as it was tried: as forecast, of one usual piece."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.worn_on import On
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form.passing import WayOn
from fabricsim.fabric.relax import Progress
from fabricsim.study.change.search import AS_GOOD, floats_over
from fabricsim.study.forecast.forecast import Forecast, Stage, forecast
from fabricsim.study.washed.washing import as_worn
from fabricsim.study.worn.on_body import Seat
from fabricsim.study.worn.putting_on import way_over


@dataclass(frozen=True)
class Aims:
    """What is wanted: ``within``: no float over the limits; at most the share ``may_lose`` of the width lost; at most
    so much ``pucker`` (m); that it goes ``over`` a head or whatever, of the body called ``size`` or whom it fits best
    as it is; None: any."""

    within: bool = True
    may_lose: float | None = None
    pucker: float | None = None
    over: On | None = None
    size: str | None = None


@dataclass(frozen=True)
class TriedScene:
    """A scene as it was tried: its ``forecast`` and how many floats of the piece are ``over`` the limits; by what share
    its tightest round opens too little (``lacking``), nothing if it goes on or nobody asked."""

    scene: Scene
    forecast: Forecast
    over: int
    lacking: float = 0.0

    @property
    def lost(self) -> float:
        """The share of the width lost."""
        return max(0.0, self.forecast.measures.widths.overall)

    @property
    def pucker(self) -> float:
        """Pucker from peak to valley, m."""
        return self.forecast.measures.pucker.peak_to_valley

    def misses(self, aims: Aims) -> tuple[str, ...]:
        """Return which of the aims it misses, by the names of their fields."""
        missed = (
            ("within", aims.within and self.over > 0),
            ("may_lose", aims.may_lose is not None and self.lost > aims.may_lose + AS_GOOD),
            ("pucker", aims.pucker is not None and self.pucker > aims.pucker),
            ("over", aims.over is not None and self.lacking > 0.0),
        )
        return tuple(name for name, so in missed if so)


def way_worn(rest: Equilibrium, over: On, size: str | None) -> tuple[Seat, WayOn]:
    """Return where a tube at ``rest`` comes to sit and its way there, washed before if its scene has it washed."""
    off, knitted = as_worn(rest.scene, rest)
    return way_over(off, over, size, knitted=knitted)


def lacking(found: Forecast, aims: Aims) -> float:
    """Return by what share the tightest round of a tube opens too little to go over what is wanted; 0 if it does."""
    if aims.over is None:
        return 0.0
    _, way = way_worn(found.equilibrium, aims.over, aims.size)
    return max(0.0, float((way.needed_i / way.opens_i).max()) - 1.0)


def tried_scene(
    scene: Scene, case: Case | None, stage: Stage | None, said: str = "as it is", aims: Aims | None = None
) -> TriedScene:
    """Return a scene as forecast, of one usual piece."""

    def begin(_name: str, _number: int, _of: int) -> Progress | None:
        return stage(said, 0, 1) if stage is not None else None

    found = forecast(scene, case, band=False, branch=False, stage=begin)
    return TriedScene(scene, found, floats_over(scene), 0.0 if aims is None else lacking(found, aims))
