"""What to change in a scene so that it does what is wanted: ways of different kinds, each tried and told as forecast.

The fewest changes are looked for in the chart as an endless fabric with every float carried alike (``search.py``),
which is quick and has no luck in it. What is told of a way is its forecast in its own case, of one usual piece, as any
command would make it (``ways.py``). Kinds of ways that have no need of one another are looked for side by side.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from fabricsim.design.catches.plan import listed_holds, with_catches
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.measures import widths
from fabricsim.study.change.aims import Aims, lacking, tried_scene, way_worn
from fabricsim.study.change.charted import ChartAtRest, at_rest_as_charted
from fabricsim.study.change.found_ways import KINDS, ChangeWay, Changing, WayKind
from fabricsim.study.change.moves import LOOSEST, ChangeGround, Move
from fabricsim.study.change.search import Proposal, changed_scene, most_changes
from fabricsim.study.change.ways import StoppedShortError, Tell, WayTask, way_of
from fabricsim.study.executors import each_done
from fabricsim.study.forecast.forecast import Stage

LARGE_CHART = 300
"""Stitches of a chart from which ways are looked for in several processes (chosen: smaller ones take less time than a
process to begin)."""


def bare(scene: Scene) -> Scene:
    """Return a scene with its listed catches alone: what is planned would be in the way of other changes."""
    return with_catches(scene, listed_holds(scene))


def change(
    scene: Scene,
    aims: Aims,
    case: Case | None = None,
    *,
    symmetric: bool = True,
    kinds: Sequence[WayKind] = KINDS,
    stage: Stage | None = None,
    tell: Tell = lambda said: None,
    found_one: Callable[[Changing], None] = lambda so_far: None,
    processes: int = 1,
) -> Changing:
    """Return what to change in a ``scene`` so that it meets the ``aims``.

    ``symmetric``: keep how its chart lies on itself; ``processes``: on how many processors ways of a large chart are
    looked for (a script that asks for several must be importable without running). ``found_one`` is handed all that is
    known as it is, and after each way. Ctrl-C ends it with what was found so far, once there is anything. Raises
    InputError for what can't be built, NoEquilibriumError if the scene as it is finds no rest.
    """
    plain = bare(scene)
    none_open = scene.limits.none_open or scene.limits.most(scene.gauge.stitch_width) == 0
    if none_open:  # which no change of the chart can cure
        aims = replace(aims, within=False)
    now = tried_scene(plain, case, stage)
    if aims.over is not None:
        place, _ = way_worn(now.forecast.equilibrium, aims.over, aims.size)
        # the same body for every way, also where another would then fit better
        aims = replace(aims, size=place.body.name if place.body is not None else None)
        now = replace(now, lacking=lacking(now.forecast, aims))
    found = Changing(plain, now, aims, none_open=none_open)
    if not found.needed:
        return found
    try:
        large = len(scene.chart_rows()) * scene.stitches_per_repeat >= LARGE_CHART
        _look(found, case, symmetric, kinds, stage, tell, found_one, processes if large else 1)
    except KeyboardInterrupt:
        found.stopped = True
    return found


def _look(
    found: Changing,
    case: Case | None,
    symmetric: bool,
    kinds: Sequence[WayKind],
    stage: Stage | None,
    tell: Tell,
    found_one: Callable[[Changing], None],
    processes: int,
) -> None:
    scene = found.scene
    found_one(found)
    tell("how the floats of the chart pull")
    charted = at_rest_as_charted(scene)
    ground = ChangeGround.of(scene, charted, symmetric=symmetric)
    found.kept, found.most = bool(ground.kept), most_changes(ground)
    ground.looser = _looser(ground)
    stitches, catches, slacks = ground.stitches(), ground.catches(), ground.slacks()
    moves: dict[WayKind, list[Move]] = {
        "carrying": [*catches, *slacks],
        "stitches": stitches,
        "both": [*stitches, *catches, *slacks],
    }
    # what only this process needs of the chart at rest stays here
    light = replace(ground, charted=ChartAtRest(scene, charted.hands, charted.rest))
    done: dict[WayKind, ChangeWay] = {}

    def task(kind: WayKind, before: tuple[Proposal, ...] = ()) -> WayTask:
        return WayTask(kind, found.now, found.aims, light, moves.get(kind, []), catches, case, before)

    def keep(kind: WayKind, way: ChangeWay) -> None:
        done[kind] = way
        found.ways = [done[one] for one in kinds if one in done]
        found_one(found)

    if processes > 1:
        tell(f"{len(kinds)} kinds of ways side by side")
        for number, way in each_done(way_of, [task(kind) for kind in kinds], processes=min(processes, len(kinds))):
            keep(kinds[number], way)
            tell(f"ways found: {len(done)} of {len(kinds)}")
    for kind in kinds:
        before = tuple(one.proposal for one in found.ways if one.proposal is not None and one.kind != kind)
        if kind not in done or (kind == "both" and _known(done[kind], before)):
            tell(f"the fewest changes, {kind}")
            try:
                keep(kind, way_of(task(kind, before if kind == "both" else ()), stage, tell))
            except StoppedShortError as stopped:
                keep(kind, stopped.best)
                raise


def _known(way: ChangeWay, before: Sequence[Proposal]) -> bool:
    """Return whether a way is one of another kind: of all changes it is then looked for what differs from those."""
    return way.proposal is not None and way.proposal.changes in {one.changes for one in before}


def _looser(ground: ChangeGround) -> dict[int, float]:
    """Return the share lost with all floats looser by every per cent up to ``LOOSEST``, as far as that rests."""
    rest, lost = ground.charted.rest, {0: widths(ground.charted.rest).overall}
    for by in range(1, LOOSEST + 1):
        try:
            rest = at_rest_as_charted(changed_scene(ground.scene, (), (), by), rest).rest
        except NoEquilibriumError:
            break
        lost[by] = widths(rest).overall
    return lost
