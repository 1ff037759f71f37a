"""A forecast with its band: what comes of many pieces, each of hands that might be the knitter's.

Nobody knows the slack of a hand-knit float to better than a few per cent, how uneven floats are, nor the stiffness of a
hand-knit fabric to better than a factor of two (``study/hands``). So ``PIECES`` pieces are brought to rest, each of
another hand; the band is where nine in ten of them lie. The piece that is shown is knitted by a usual hand, its floats
as uneven as is usual, all its slack shifted by a hair so that it draws in as the middle of all pieces does: else it
would be a lucky one or not, by half a per cent of the width.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.cores import usable_cores
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.cell import copied
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures, measure
from fabricsim.fabric.relax import Progress
from fabricsim.fabric.setup import Fabric
from fabricsim.fabric.whole import set_up_seen
from fabricsim.study.executors import each_done
from fabricsim.study.forecast.middle import as_the_middle
from fabricsim.study.forecast.starts import Found, Start, lowest_rest, ways_in
from fabricsim.study.forecast.threads import load_meanwhile
from fabricsim.study.forecast.waves import Onset, onset
from fabricsim.study.hands.bench import Bench, at_rest, rest_of_first
from fabricsim.study.hands.hand import SPREADING, Hand, numbered, typical
from fabricsim.study.hands.knitting import all_slack, falls_short, in_hand, slack_in_hand, unevenness
from fabricsim.study.hands.prior import EVEN, Hands, carrying
from fabricsim.study.hands.quantiles import quantiles

PIECES = 16
"""Pieces behind a band (chosen: their middle is then known to 0.2 to 0.4 % of the width, in half a minute)."""
SEED = 0
"""Of the hands of all forecasts, so that the same chart is always knitted by the same."""
LIKELY = (0.05, 0.95)
"""Quantiles between which "likely" lies: nine in ten pieces (chosen)."""


@dataclass(frozen=True)
class KnitPiece:
    """A piece of the band and the hand that knitted it: ``slack`` of all floats more than the scene says, their
    ``unevenness``, how much each falls ``short`` (m), stiffness against ``stretch`` and ``bending`` as factors.
    ``measures`` is None where the solver found no rest; ``said`` then says why."""

    slack: float
    unevenness: float
    short: float
    stretch: float
    bending: float
    measures: Measures | None
    said: str = ""


@dataclass(frozen=True)
class Band:
    """Least, nominal and greatest value of one measure, all in its own unit."""

    low: float
    nominal: float
    high: float


@dataclass(frozen=True)
class Forecast:
    """What was ``found`` from every start, and the ``equilibrium`` that is shown, with its ``measures``: the lowest of
    them with all slack moved by ``shift``, so that it draws in as the middle of the ``pieces`` of the band; and what
    was taken to be known of the ``hands``. ``onset``: where an endless fabric begins to pucker, if that was looked for
    and found."""

    found: Found
    equilibrium: Equilibrium
    shift: float
    measures: Measures
    pieces: tuple[KnitPiece, ...]
    hands: Hands
    onset: Onset | None = None

    @property
    def at_rest(self) -> tuple[Measures, ...]:
        """What is measured of the pieces that came to rest."""
        return tuple(one.measures for one in self.pieces if one.measures is not None)

    def band(self, value: Callable[[Measures], float]) -> Band:
        """Return the band of any one measure, such as ``lambda m: m.widths.overall``; without pieces it is one value.

        The piece that is shown is no less likely than others: it lies within.
        """
        nominal = value(self.measures)
        low, high = likely(np.array([value(one) for one in self.at_rest] or [nominal]), self.lost)
        return Band(min(float(low), nominal), nominal, max(float(high), nominal))

    @property
    def lost(self) -> int:
        """How many pieces found no rest."""
        return sum(one.measures is None for one in self.pieces)

    def width_range(self) -> tuple[Floats, Floats]:
        """Return the likely least and greatest width of every row (rows,), m."""
        width_ki = np.stack([one.widths.width_i for one in self.at_rest or (self.measures,)])
        low_i, high_i = likely(width_ki, self.lost)
        shown_i = self.measures.widths.width_i
        return np.minimum(low_i, shown_i), np.maximum(high_i, shown_i)

    @property
    def draw_in(self) -> Band:
        """Share of the width lost, overall."""
        return self.band(lambda m: m.widths.overall)

    @property
    def pucker(self) -> Band:
        """Pucker, peak to valley, m."""
        return self.band(lambda m: m.pucker.peak_to_valley)


def likely(value_k: Floats, lost: int = 0) -> tuple[Floats, Floats]:
    """Return between what nine in ten lie, of values (k,) or (k, i) of the pieces at rest.

    Those ``lost`` crumpled: they would lie beyond the highest.
    """
    share = np.array(LIKELY)
    if lost:
        share[1] = min(1.0, share[1] * (len(value_k) + lost + 1) / (len(value_k) + 1))
    low, high = quantiles(value_k, share)
    return low, high


SIDE_BY_SIDE = 5000
"""Stitches up to which fabrics are solved at the same time: beyond, each needs memory for itself (chosen)."""

Stage = Callable[[str, int, int], Progress | None]
"""Asked, as each solve begins, what to call with its steps: given its name, its number and how many there are. What it
returns may be called from another thread."""
Counted = Callable[[str, int], Callable[[int], None]]
"""Asked, as the pieces begin, whom to tell how many are done: given what they are and how many at most."""


@dataclass(frozen=True)
class Labour:
    """How much is done for a forecast: ``band``: knit the pieces of a band; ``branch``: also let the slack in from
    loose to tight where fabric let go at once comes to rest; random ``starts`` beside those; on how many ``processes``
    the pieces are worked on."""

    band: bool = True
    branch: bool = True
    starts: int = 0
    processes: int = 1


def forecast(
    scene: Scene,
    case: Case | None = None,
    *,
    slack: float | None = None,
    inside_out: bool | None = None,
    even: bool = False,
    band: bool = True,
    branch: bool = True,
    starts: int = 0,
    processes: int = 1,
    whole: bool = False,
    stage: Stage | None = None,
    counted: Counted | None = None,
) -> Forecast:
    """Return what ``scene`` comes to in a load case, or all of its piece (``whole``), with its band unless ``band`` is
    False.

    ``even``: every float carried alike. ``starts`` random ones are tried beside the usual two; ``branch``: whether the
    second of those, from loose to tight, is tried where the first comes to rest. ``processes``: on how many processors
    the pieces are worked on (a script that asks for several must be importable without running). Raises InputError for
    what can't be built and NoEquilibriumError if the piece that is shown finds no rest; another that finds none is kept
    with its words and left out of the band.
    """
    fabric = set_up_seen(scene, case, slack=slack, inside_out=inside_out, whole=whole)
    hands = carrying(scene, fabric.mesh.case, other_slack=slack is not None, even=even)
    labour = Labour(band, branch, starts, processes)
    return forecast_of(fabric, hands, labour, stage=stage, counted=counted)


def forecast_of(
    fabric: Fabric,
    hands: Hands,
    labour: Labour | None = None,
    *,
    rest: Equilibrium | None = None,
    stage: Stage | None = None,
    counted: Counted | None = None,
) -> Forecast:
    """Return what a ``fabric`` comes to in such ``hands``; ``rest``: how a usual one of them has it, if that is known.

    Raises NoEquilibriumError as ``forecast`` does.
    """
    labour = labour or Labour()
    shown = typical(fabric, SEED)
    knitted = in_hand(fabric, shown, hands)
    endless = fabric.mesh.case == "repeat"
    pieces = PIECES if labour.band and len(fabric.mesh.floats) else 0
    uneven = hands.floats > 0.0 or hands.rows > 0.0
    ways = ways_in(knitted, labour.starts, branch=labour.branch) if rest is None else 0

    of = ways + (uneven + endless if pieces else 0)

    def begin(name: str, number: int) -> Progress | None:
        return stage(name, number, of) if stage is not None else None

    if pieces:
        load_meanwhile(SPREADING)
    if rest is None:
        threads = usable_cores() if len(fabric.mesh.rest_nc) <= SIDE_BY_SIDE else 1
        found = lowest_rest(knitted, labour.starts, branch=labour.branch, threads=threads, begin=begin)
    else:
        found = Found((Start(rest.start, rest.effort.energy, measure(rest)),), 0, rest)
    if endless:  # as many repeats as it folds in
        fabric = copied(fabric, found.rest.mesh.rows, found.rest.mesh.stitches)
        shown = typical(fabric, SEED)
    of_band = _pieces(Bench.of(fabric, hands, shown, found.rest), pieces, labour.processes, counted)
    lost = [one.measures.widths.overall for one in of_band if one.measures is not None]
    shift, middle, begins = 0.0, found.rest, None
    if lost and uneven:  # evenly carried, it is no lucky one
        last = partial(begin, "as the middle of all pieces", ways)
        shift, middle = as_the_middle(found.rest, fabric, shown, hands, float(np.median(lost)), last)
    if pieces and endless:  # as far as its floats are likely to be tight
        tightest = float(knitted.mesh.floats.slack_f.min()) - hands.all_slack / EVEN
        begins = onset(knitted, begin("where it begins to pucker", ways + uneven), down_to=tightest)
    return Forecast(found, middle, shift, measure(middle), of_band, hands, begins)


def _pieces(bench: Bench, count: int, processes: int, counted: Counted | None) -> tuple[KnitPiece, ...]:
    """Return the pieces of a band, telling how many are done.

    The tightest are knitted first: they fold, and take several times as long as others, so that the last to be done
    would keep one process waiting for it.
    """
    hands = [numbered(bench.fabric, SEED, number) for number in range(count)]
    slack = [float(slack_in_hand(bench.fabric, hand, bench.hands).mean()) for hand in hands]
    order = sorted(range(count), key=slack.__getitem__)
    tasks = ((bench, hands[number]) for number in order)
    tell = counted("bringing pieces to rest", count) if counted is not None and count else None
    done: dict[int, KnitPiece] = {}
    for task, piece in each_done(_piece, tasks, processes=min(processes, count)):
        done[order[task]] = piece
        if tell is not None:
            tell(len(done))
    return tuple(done[number] for number in range(count))


def _piece(task: tuple[Bench, Hand]) -> KnitPiece:
    """Return one piece, started from the one that is shown so that it stays on the same branch."""
    bench, hand = task
    fabric, hands = bench.fabric, bench.hands
    knitted = in_hand(fabric, hand, hands)
    measures, said = None, ""
    try:
        measures = measure(at_rest(knitted, rest_of_first(bench)))
    except NoEquilibriumError as why:
        said = str(why)
    return KnitPiece(
        slack=all_slack(hands, hand),
        unevenness=unevenness(hands, hand),
        short=falls_short(hands, hand),
        stretch=knitted.stiffness.stretch_across / fabric.stiffness.stretch_across,
        bending=knitted.stiffness.bend_across / fabric.stiffness.bend_across,
        measures=measures,
        said=said,
    )
