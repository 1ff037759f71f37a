"""Bands above one another in one piece that are to lie equally wide: by how much they differ, and what evens them out.

All is told of the one piece, in whose fabric each band pulls at the next, with every float carried alike; how far hands
that carry them unevenly spread the steps is told by the pieces of a forecast. The ways (``band_ways.py``) are tried in
full in that very piece, side by side in processes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import partial

from fabricsim.design.catches.plan import catches_of, with_catches
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.fabric.relax import Progress
from fabricsim.study.change.band_pieces import (
    AGREE_KINDS,
    AgreeKind,
    AgreeTask,
    AgreeWay,
    PieceTried,
    does,
    tried_piece,
)
from fabricsim.study.change.band_ways import way_of
from fabricsim.study.change.banding import ChartBand, LikelySteps, likely_steps
from fabricsim.study.executors import each_done
from fabricsim.study.forecast.forecast import Counted, Stage, forecast


@dataclass
class Agreeing:
    """The ``scene`` with all its catches listed, its ``bands``, that are to differ by no more than ``within``; the
    piece as it is ``now``, how the steps are ``likely`` to spread (None unless asked for), and the ``ways`` tried;
    ``stopped`` before all were."""

    scene: Scene
    bands: tuple[ChartBand, ...]
    within: float
    case: Case
    now: PieceTried
    likely: LikelySteps | None = None
    ways: list[AgreeWay] = field(default_factory=list)
    stopped: bool = False

    @property
    def agrees(self) -> bool:
        """Whether the bands agree as they are."""
        return does(self.now, self.within)


def agree(
    scene: Scene,
    bands: Sequence[ChartBand],
    within: float,
    case: Case | None = None,
    *,
    spread: bool = True,
    processes: int = 1,
    stage: Stage | None = None,
    counted: Counted | None = None,
) -> Agreeing:
    """Return by how much the ``bands`` of a ``scene`` differ in width, and the ways to even them out to ``within``.

    ``spread``: also how the steps are likely to spread, which takes the pieces of a forecast. Ctrl-C ends it with what
    was found so far, once the piece is known. Raises InputError for what can't be built and for a case whose rows are
    all equally wide, NoEquilibriumError if the piece as it is finds no rest.
    """
    case = case or scene.case
    if case == "repeat":
        raise InputError("case", "'repeat'", "swatch or round", "an endless fabric is equally wide everywhere")
    listed = with_catches(scene, catches_of(scene)) if scene.floats.plan_catches else scene
    check_free(listed, bands)
    begin = None if stage is None else partial(_one, stage, "as it is")
    found = Agreeing(listed, tuple(bands), within, case, tried_piece(listed, bands, case, begin))
    try:
        if spread:
            pieces = forecast(listed, case, branch=False, processes=processes, stage=begin, counted=counted)
            found.likely = likely_steps(listed, bands, pieces) if pieces.at_rest else None
        if not found.agrees:
            _look(found, processes, counted)
    except KeyboardInterrupt:
        found.stopped = True
    return found


def _one(stage: Stage, said: str, _name: str, _number: int, _of: int) -> Progress | None:
    return stage(said, 0, 1)


def _look(found: Agreeing, processes: int, counted: Counted | None) -> None:
    tell = counted("ways tried", len(AGREE_KINDS)) if counted is not None else None
    done: dict[int, AgreeWay] = {}

    def task(kind: AgreeKind) -> AgreeTask:
        return AgreeTask(kind, found.scene, found.bands, found.within, found.case, found.now)

    try:
        tasks = [task(kind) for kind in AGREE_KINDS]
        for number, way in each_done(way_of, tasks, processes=min(processes, len(tasks))):
            done[number] = way
            if tell is not None:
                tell(len(done))
    finally:
        found.ways = [done[number] for number in sorted(done)]
    if not any(way.tried is not None and does(way.tried, found.within) for way in found.ways):
        found.ways.append(way_of(task("needles and slack")))


def check_free(scene: Scene, bands: Sequence[ChartBand]) -> None:
    """Raise InputError if a band of the scene holds a part of one of these ``bands`` or more than one."""
    for band in scene.bands:
        rows = ChartBand(band.first - 1, band.last - 1)
        if any(one != rows and one.first <= rows.last and rows.first <= one.last for one in bands):
            raise InputError(
                scene.where("bands"),
                f"rows {band.first} to {band.last}",
                "bands of just the rows asked about, or none of their rows",
                "take it out, or name its rows with --bands",
            )
