"""What to change in a scene so that it does what is wanted: ways of different kinds, each tried and told as forecast.

The fewest changes are looked for in the chart as an endless fabric with every float carried alike (``search.py``),
which is quick and has no luck in it. What is told of a way is its forecast in its own case, of one usual piece, as any
command would make it. The two differ by a factor that is much the same before and after, so the aim is handed to the
search in its own measure, and once more, tightened, where what is told still misses it. Pucker follows from how hard
floats pull, so that an aim for it is one for the width too, made tighter until the forecast lies flat.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

from fabricsim.design.catches.plan import listed_holds, with_catches
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.row_bands import RowBand
from fabricsim.errors import FabricsimError, NoEquilibriumError
from fabricsim.fabric.measures import widths
from fabricsim.study.change.aims import Aims, TriedScene, lacking, tried_scene
from fabricsim.study.change.by_rows import ENOUGH, give_by_row, larger_needles, looser_rows
from fabricsim.study.change.charted import at_rest_as_charted
from fabricsim.study.change.moves import LOOSEST, ChangeGround, Move
from fabricsim.study.change.search import AS_GOOD, Proposal, Wanted, changed_scene, most_changes, search
from fabricsim.study.forecast.forecast import Stage
from fabricsim.study.worn.putting_on import way_over

WayKind = Literal["carrying", "stitches", "both", "rows", "needles"]
KINDS: tuple[WayKind, ...] = ("carrying", "stitches", "both", "rows", "needles")
"""Ways that differ: the chart as it is, caught and carried otherwise; the chart alone; whatever takes fewest; the chart
as it is, floats looser in some of its rows, or those with floats on larger needles."""
ROUNDS = 3
"""Times that the search is asked, each with a tighter aim, before what it came to is told as it is (chosen)."""
TIGHTER = 0.85
"""By how much tighter the aim is made at the least for another round (chosen)."""

WORTH = 0.5
"""Share of the width to be won back that makes changes worth telling though they miss the aim (chosen: half)."""


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
    tell: Callable[[str], None] = lambda said: None,
    found_one: Callable[[Changing], None] = lambda so_far: None,
) -> Changing:
    """Return what to change in a ``scene`` so that it meets the ``aims``.

    ``symmetric``: keep how its chart lies on itself. ``found_one`` is handed all that is known as it is, and after
    each way. Ctrl-C ends it with what was found so far, once there is anything.
    Raises InputError for what can't be built, NoEquilibriumError if the scene as it is finds no rest.
    """
    plain = bare(scene)
    none_open = scene.limits.none_open or scene.limits.most(scene.gauge.stitch_width) == 0
    if none_open:  # which no change of the chart can cure
        aims = replace(aims, within=False)
    now = tried_scene(plain, case, stage)
    if aims.over is not None:
        place, _ = way_over(now.forecast.equilibrium, aims.over, aims.size)
        # the same body for every way, also where another would then fit better
        aims = replace(aims, size=place.body.name if place.body is not None else None)
        now = replace(now, lacking=lacking(now.forecast, aims))
    found = Changing(plain, now, aims, none_open=none_open)
    if not found.needed:
        return found
    try:
        _look(found, case, symmetric, kinds, stage, tell, found_one)
    except KeyboardInterrupt:
        found.stopped = True
    return found


def _look(
    found: Changing,
    case: Case | None,
    symmetric: bool,
    kinds: Sequence[WayKind],
    stage: Stage | None,
    tell: Callable[[str], None],
    found_one: Callable[[Changing], None],
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
    for kind in kinds:
        tell(f"the fewest changes, {kind}")
        if kind in ("rows", "needles"):
            found.ways.append(_by_rows(found, ground, kind, catches, case, stage, tell))
        else:
            found.ways.append(_way(found, ground, kind, moves[kind], case, stage, tell))
        found_one(found)


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


def _way(
    found: Changing,
    ground: ChangeGround,
    kind: WayKind,
    moves: Sequence[Move],
    case: Case | None,
    stage: Stage | None,
    tell: Callable[[str], None],
) -> ChangeWay:
    """Return the way of a kind: searched for, told, and searched for again with a tighter aim where that misses."""
    before = [way.proposal for way in found.ways if way.proposal is not None]
    aims, aim = found.aims, _aim(found, ground)
    best: ChangeWay | None = None
    for _ in range(ROUNDS):
        searched = search(ground, moves, Wanted(aim, aims.within), not_these=before, tell=tell)
        one = searched.proposal or searched.nearest
        if one is None:
            break
        told = tried_scene(_with(found.scene, one), case, stage, kind, aims)
        if not told.misses(aims):
            return ChangeWay(kind, one, told)
        if best is None or best.tried is None or _order(told, aims) < _order(best.tried, aims):
            best = ChangeWay(kind, one, told)
        if searched.proposal is None or aim is None:
            break
        aim = _tighter(aims, told, one.lost)
    nearest = None if best is None else best.tried
    if best is not None and nearest is not None and _worth(found, nearest):
        return best
    if not found.now.over or not aims.within:
        return ChangeWay(kind, None, None, nearest)
    within = search(ground, moves, Wanted(None), not_these=before, tell=tell).proposal
    if within is None:
        return ChangeWay(kind, None, None, nearest)
    return ChangeWay(kind, within, tried_scene(_with(found.scene, within), case, stage, kind, aims), nearest)


def _by_rows(
    found: Changing,
    ground: ChangeGround,
    kind: WayKind,
    catches: Sequence[Move],
    case: Case | None,
    stage: Stage | None,
    tell: Callable[[str], None],
) -> ChangeWay:
    """Return the way that works rows otherwise, with the fewest catches that keep floats within the limits if that is
    wanted: each in turn tried until one meets all; else the one that came nearest, if that is worth it."""
    aims, aim = found.aims, _aim(found, ground)
    if aim is None or found.scene.bands:  # nothing but long floats, or rows that are worked otherwise already
        return ChangeWay(kind, None, None)
    held = search(ground, catches, Wanted(None), tell=tell).proposal if aims.within and found.now.over else None
    holds = held.holds if held is not None else ()

    def tried(bands: tuple[RowBand, ...]) -> ChangeWay | None:
        one = Proposal((), holds, 0, len(holds) + sum(_counts(band) for band in bands), 0.0, 0, bands)
        try:
            told = tried_scene(_with(found.scene, one), case, stage, kind, aims)
        except FabricsimError:
            return None
        return ChangeWay(kind, replace(one, lost=told.lost, over=told.over), told)

    best: ChangeWay | None = None
    coming = _needles_tried(ground) if kind == "needles" else _rows_tried(found, ground, aim)
    bands = next(coming, ())
    while bands:
        way = tried(bands)
        if way is None or way.tried is None:
            break
        told = way.tried
        if not told.misses(aims):
            return _no_looser(way, bands, aims, tried)
        if best is None or best.tried is None or _order(told, aims) < _order(best.tried, aims):
            best = way
        try:
            bands = coming.send(told)
        except StopIteration:
            break
    nearest = None if best is None else best.tried
    if best is not None and nearest is not None and _worth(found, nearest):
        return best
    return ChangeWay(kind, None, None, nearest)


def _no_looser(
    way: ChangeWay, bands: tuple[RowBand, ...], aims: Aims, tried: Callable[[tuple[RowBand, ...]], ChangeWay | None]
) -> ChangeWay:
    """Return a ``way`` that meets the aims with the same rows no looser than need be, to a whole per cent."""
    low, high = 0, round(100.0 * bands[0].looser)
    while high - low > 1:
        middle = (low + high) // 2
        less = tried(tuple(band.model_copy(update={"looser": 0.01 * middle}) for band in bands))
        if less is not None and less.tried is not None and not less.tried.misses(aims):
            way, high = less, middle
        else:
            low = middle
    return way


Bands: TypeAlias = Generator[tuple[RowBand, ...], TriedScene, None]
"""Rows worked otherwise, one after the other: each is sent what came of it before it yields the next."""


def _needles_tried(ground: ChangeGround) -> Bands:
    """Yield the rows with floats on needles one size larger, two, and so on."""
    yield from larger_needles(tuple(tuple(row) for row in ground.chart_ij))


def _rows_tried(found: Changing, ground: ChangeGround, aim: float) -> Bands:
    """Yield the fewest rows whose looser floats should be enough, and more as long as what came of it was too little;
    in the end all that there are at their loosest."""
    given, need = give_by_row(ground.charted), ground.looser[0] - aim
    most = sum(given.values()) * 0.01 * LOOSEST / ENOUGH
    for _ in range(ROUNDS + 1):
        bands = looser_rows(given, min(need, most))
        if not bands:
            return
        told = yield bands
        if need >= most:
            return
        won, wanted = found.now.lost - told.lost, found.now.lost - (found.aims.may_lose or 0.0)
        need *= max(1.0 / TIGHTER, wanted / won if won > 0.0 else 0.0)


def _counts(band: RowBand) -> int:
    """Return what a band counts: a row as much as a stitch, needles as much as their sizes."""
    return band.needle_sizes or band.last - band.first + 1


def _with(scene: Scene, one: Proposal) -> Scene:
    return changed_scene(scene, one.edit, one.holds, one.looser, one.bands)


def _worth(found: Changing, nearest: TriedScene) -> bool:
    """Return whether what misses an aim is worth its changes all the same: floats within the limits, if that is wanted,
    and a good part of the width won back."""
    now, aims = found.now, found.aims
    if (aims.within and nearest.over) or aims.may_lose is None:
        return False
    return now.lost - nearest.lost >= WORTH * (now.lost - aims.may_lose) > 0.0


def _order(told: TriedScene, aims: Aims) -> tuple[int, float]:
    """Return the key by which what is nearest to the aims comes first."""
    return len(told.misses(aims)), told.lost


def _aim(found: Changing, ground: ChangeGround) -> float | None:
    """Return the share that the chart as an endless fabric may lose so that the piece may meet its aims."""
    base, now, aims, shares = ground.looser[0], found.now, found.aims, []
    if aims.may_lose is not None and now.lost > aims.may_lose + AS_GOOD:
        shares.append(aims.may_lose / now.lost)
    if aims.pucker is not None and now.pucker > aims.pucker:
        shares.append(aims.pucker / now.pucker)
    if now.lacking > 0.0:  # a round opens as far as its floats let it: by as much as they are longer
        shares.append(max(0.0, 1.0 - now.lacking / max(now.lost, now.lacking)))
    return min(shares) * base if shares else None


def _tighter(aims: Aims, told: TriedScene, lost: float) -> float:
    """Return a tighter aim for the endless fabric than the share ``lost`` that it came to."""
    share = 1.0
    if aims.may_lose is not None and told.lost > 0.0:
        share = min(share, aims.may_lose / told.lost)
    if aims.pucker is not None and told.pucker > aims.pucker:
        share = min(share, aims.pucker / told.pucker)
    if told.lacking > 0.0 and told.lost > 0.0:
        share = min(share, max(0.0, 1.0 - told.lacking / told.lost))
    return lost * min(share, TIGHTER)
