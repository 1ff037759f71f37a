"""Ways of one kind to change a scene: searched for in the chart without end, told as forecast in the scene's own case.

The two measures differ by a factor that is much the same before and after, so the aim is handed to the search in its
own measure, and once more, tightened, where what is told still misses it. Pucker follows from how hard floats pull, so
that an aim for it is one for the width too, made tighter until the forecast lies flat.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TypeAlias

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.row_bands import RowBand
from fabricsim.errors import FabricsimError
from fabricsim.study.change.aims import Aims, TriedScene, tried_scene
from fabricsim.study.change.by_rows import ENOUGH, give_by_row, larger_needles, looser_rows
from fabricsim.study.change.found_ways import ChangeWay, WayKind
from fabricsim.study.change.moves import LOOSEST, ChangeGround, Move
from fabricsim.study.change.search import AS_GOOD, Proposal, Wanted, changed_scene, search
from fabricsim.study.forecast.forecast import Stage

Tell: TypeAlias = Callable[[str], None]
"""Told what is done."""
ROUNDS = 3
"""Times that the search is asked, each with a tighter aim, before what it came to is told as it is (chosen)."""
TIGHTER = 0.85
"""By how much tighter the aim is made at the least for another round (chosen)."""

WORTH = 0.5
"""Share of the width to be won back that makes changes worth telling though they miss the aim (chosen: half)."""


@dataclass(frozen=True)
class WayTask:
    """All that it takes to look for a way of one ``kind``, in whatever process: what is known of the scene as it is
    (``now``) and of its chart, the ``moves`` to choose from, all ``catches`` of it, and what was proposed ``before``.
    """

    kind: WayKind
    now: TriedScene
    aims: Aims
    ground: ChangeGround
    moves: Sequence[Move]
    catches: Sequence[Move]
    case: Case | None
    before: tuple[Proposal, ...] = ()

    @property
    def scene(self) -> Scene:
        """The bare scene."""
        return self.ground.scene


def way_of(task: WayTask, stage: Stage | None = None, tell: Tell = lambda said: None) -> ChangeWay:
    """Return the way of a kind."""
    return (_by_rows if task.kind in ("rows", "needles") else _searched)(task, stage, tell)


class StoppedShortError(KeyboardInterrupt):
    """Ctrl-C while a way was looked for of which this is the ``best`` that was tried."""

    def __init__(self, best: ChangeWay) -> None:
        super().__init__()
        self.best = best


@contextmanager
def _kept_if_stopped(best: ChangeWay | None) -> Iterator[None]:
    """Raise StoppedShortError in place of KeyboardInterrupt, if there is a ``best``."""
    try:
        yield
    except KeyboardInterrupt:
        if best is None:
            raise
        raise StoppedShortError(best) from None


def _searched(task: WayTask, stage: Stage | None, tell: Tell) -> ChangeWay:
    """Return the way of a kind: searched for, told, and searched for again with a tighter aim where that misses."""
    ground, moves, kind, case = task.ground, task.moves, task.kind, task.case
    before, aims, aim = task.before, task.aims, _aim(task)
    best: ChangeWay | None = None
    for _ in range(ROUNDS):
        with _kept_if_stopped(best):
            searched = search(ground, moves, Wanted(aim, aims.within), not_these=before, tell=tell)
            one = searched.proposal or searched.nearest
            if one is None:
                break
            told = tried_scene(_with(task.scene, one), case, stage, kind, aims)
        if not told.misses(aims):
            return ChangeWay(kind, one, told)
        if best is None or best.tried is None or _order(told, aims) < _order(best.tried, aims):
            best = ChangeWay(kind, one, told)
        if searched.proposal is None or aim is None:
            break
        aim = _tighter(aims, told, one.lost)
    nearest = None if best is None else best.tried
    if best is not None and nearest is not None and _worth(task, nearest):
        return best
    if not task.now.over or not aims.within:
        return ChangeWay(kind, None, None, nearest)
    within = search(ground, moves, Wanted(None), not_these=before, tell=tell).proposal
    if within is None:
        return ChangeWay(kind, None, None, nearest)
    return ChangeWay(kind, within, tried_scene(_with(task.scene, within), case, stage, kind, aims), nearest)


def _by_rows(task: WayTask, stage: Stage | None, tell: Tell) -> ChangeWay:
    """Return the way that works rows otherwise, with the fewest catches that keep floats within the limits if that is
    wanted: each in turn tried until one meets all; else the one that came nearest, if that is worth it."""
    aims, aim, ground, kind = task.aims, _aim(task), task.ground, task.kind
    if aim is None or task.scene.bands:  # nothing but long floats, or rows that are worked otherwise already
        return ChangeWay(kind, None, None)
    held = search(ground, task.catches, Wanted(None), tell=tell).proposal if aims.within and task.now.over else None
    holds = held.holds if held is not None else ()

    def tried(bands: tuple[RowBand, ...]) -> ChangeWay | None:
        one = Proposal((), holds, 0, len(holds) + sum(_counts(band) for band in bands), 0.0, 0, bands)
        try:
            told = tried_scene(_with(task.scene, one), task.case, stage, kind, aims)
        except FabricsimError:
            return None
        return ChangeWay(kind, replace(one, lost=told.lost, over=told.over), told)

    best: ChangeWay | None = None
    too_little: dict[tuple[tuple[int, int], ...], int] = {}
    coming = _needles_tried(ground) if kind == "needles" else _rows_tried(task, aim)
    bands = next(coming, ())
    while bands:
        with _kept_if_stopped(best):
            way = tried(bands)
        if way is None or way.tried is None:
            break
        told = way.tried
        if not told.misses(aims):
            with _kept_if_stopped(way):
                return _no_looser(way, bands, too_little.get(_rows_of(bands), 0), aims, tried)
        too_little[_rows_of(bands)] = round(100.0 * bands[0].looser)
        if best is None or best.tried is None or _order(told, aims) < _order(best.tried, aims):
            best = way
        try:
            bands = coming.send(told)
        except StopIteration:
            break
    nearest = None if best is None else best.tried
    if best is not None and nearest is not None and _worth(task, nearest):
        return best
    return ChangeWay(kind, None, None, nearest)


def _rows_of(bands: tuple[RowBand, ...]) -> tuple[tuple[int, int], ...]:
    return tuple((band.first, band.last) for band in bands)


def _no_looser(
    way: ChangeWay,
    bands: tuple[RowBand, ...],
    low: int,
    aims: Aims,
    tried: Callable[[tuple[RowBand, ...]], ChangeWay | None],
) -> ChangeWay:
    """Return a ``way`` that meets the aims with the same rows no looser than need be, to a whole per cent; at ``low``
    they don't."""
    high = round(100.0 * bands[0].looser)
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


def _rows_tried(task: WayTask, aim: float) -> Bands:
    """Yield the fewest rows whose looser floats should be enough, and more as long as what came of it was too little;
    in the end all that there are at their loosest."""
    given, need = give_by_row(task.ground.charted), task.ground.looser[0] - aim
    most = sum(given.values()) * 0.01 * LOOSEST / ENOUGH
    for _ in range(ROUNDS + 1):
        bands = looser_rows(given, min(need, most))
        if not bands:
            return
        told = yield bands
        if need >= most:
            return
        # what catches beside it cost is in what came of it, so what is missing is asked for on top
        missing = 0.0 if task.aims.may_lose is None else told.lost - task.aims.may_lose
        need = max(need / TIGHTER, need + missing)


def _counts(band: RowBand) -> int:
    """Return what a band counts: a row as much as a stitch, needles as much as their sizes."""
    return band.needle_sizes or band.last - band.first + 1


def _with(scene: Scene, one: Proposal) -> Scene:
    return changed_scene(scene, one.edit, one.holds, one.looser, one.bands)


def _worth(task: WayTask, nearest: TriedScene) -> bool:
    """Return whether what misses an aim is worth its changes all the same: floats within the limits, if that is wanted,
    and a good part of the width won back."""
    now, aims = task.now, task.aims
    if (aims.within and nearest.over) or aims.may_lose is None:
        return False
    return now.lost - nearest.lost >= WORTH * (now.lost - aims.may_lose) > 0.0


def _order(told: TriedScene, aims: Aims) -> tuple[int, float]:
    """Return the key by which what is nearest to the aims comes first."""
    return len(told.misses(aims)), told.lost


def _aim(task: WayTask) -> float | None:
    """Return the share that the chart as an endless fabric may lose so that the piece may meet its aims."""
    base, now, aims, shares = task.ground.looser[0], task.now, task.aims, []
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
