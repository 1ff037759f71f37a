"""What to change in a scene so that it does what is wanted: ways of different kinds, each tried and told as forecast.

The fewest changes are looked for in the chart as an endless fabric with every float carried alike (``search.py``),
which is quick and has no luck in it. What is told of a way is its forecast in its own case, of one usual piece, as any
command would make it. The two differ by a factor that is much the same before and after, so the aim is handed to the
search in its own measure, and once more, tightened, where what is told still misses it. Pucker follows from how hard
floats pull, so that an aim for it is one for the width too, made tighter until the forecast lies flat.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from fabricsim.design.catches.plan import listed_holds, with_catches
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.measures import widths
from fabricsim.fabric.relax import Progress
from fabricsim.study.change.charted import at_rest_as_charted
from fabricsim.study.change.moves import LOOSEST, ChangeGround, Move
from fabricsim.study.change.search import AS_GOOD, Proposal, Wanted, changed_scene, floats_over, most_changes, search
from fabricsim.study.forecast.forecast import Forecast, Stage, forecast

WayKind = Literal["carrying", "stitches", "both"]
KINDS: tuple[WayKind, ...] = ("carrying", "stitches", "both")
"""Ways that differ: the chart as it is, caught and carried otherwise; the chart alone; whatever takes fewest."""
ROUNDS = 3
"""Times that the search is asked, each with a tighter aim, before what it came to is told as it is (chosen)."""
TIGHTER = 0.85
"""By how much tighter the aim is made at the least for another round (chosen)."""

WORTH = 0.5
"""Share of the width to be won back that makes changes worth telling though they miss the aim (chosen: half)."""


@dataclass(frozen=True)
class Aims:
    """What is wanted: ``within``: no float over the limits; at most the share ``may_lose`` of the width lost; at most
    so much ``pucker`` (m); None: any."""

    within: bool = True
    may_lose: float | None = None
    pucker: float | None = None


@dataclass(frozen=True)
class TriedScene:
    """A scene as it was tried: its ``forecast`` and how many floats of the piece are ``over`` the limits."""

    scene: Scene
    forecast: Forecast
    over: int

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
        )
        return tuple(name for name, so in missed if so)


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
) -> Changing:
    """Return what to change in a ``scene`` so that it meets the ``aims``.

    ``symmetric``: keep how its chart lies on itself. Ctrl-C ends it with what was found so far, once there is anything.
    Raises InputError for what can't be built, NoEquilibriumError if the scene as it is finds no rest.
    """
    plain = bare(scene)
    none_open = scene.limits.none_open or scene.limits.most(scene.gauge.stitch_width) == 0
    if none_open:  # which no change of the chart can cure
        aims = replace(aims, within=False)
    found = Changing(plain, _tried(plain, case, stage), aims, none_open=none_open)
    if not found.needed:
        return found
    try:
        _look(found, case, symmetric, kinds, stage, tell)
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
) -> None:
    scene = found.scene
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
        found.ways.append(_way(found, ground, kind, moves[kind], case, stage, tell))


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
        told = _tried(_with(found.scene, one), case, stage, kind)
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
    return ChangeWay(kind, within, _tried(_with(found.scene, within), case, stage, kind), nearest)


def _with(scene: Scene, one: Proposal) -> Scene:
    return changed_scene(scene, one.edit, one.holds, one.looser)


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
    return min(shares) * base if shares else None


def _tighter(aims: Aims, told: TriedScene, lost: float) -> float:
    """Return a tighter aim for the endless fabric than the share ``lost`` that it came to."""
    share = 1.0
    if aims.may_lose is not None and told.lost > 0.0:
        share = min(share, aims.may_lose / told.lost)
    if aims.pucker is not None and told.pucker > aims.pucker:
        share = min(share, aims.pucker / told.pucker)
    return lost * min(share, TIGHTER)


def _tried(scene: Scene, case: Case | None, stage: Stage | None, said: str = "as it is") -> TriedScene:
    """Return a scene as forecast, of one usual piece."""

    def begin(_name: str, _number: int, _of: int) -> Progress | None:
        return stage(said, 0, 1) if stage is not None else None

    return TriedScene(scene, forecast(scene, case, band=False, branch=False, stage=begin), floats_over(scene))
