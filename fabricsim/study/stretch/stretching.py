"""How far a fabric stretches across and up, and how far that may be off.

All stiffnesses scaled alike scale the energy alike: fabric twice as stiff is at twice the load what this one is at the
load itself (exact). So what is not known of its stiffness is read off the same curve; what is not known of the slack
takes fabrics of its own. Stretch against bending stiffness, which only matters to puckered fabric, is left alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial

from fabricsim.cores import usable_cores
from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.stretching import AXIS, PRETENSION, Along, without_floats
from fabricsim.study.forecast.forecast import SIDE_BY_SIDE
from fabricsim.study.forecast.starts import lowest_rest, ways_in
from fabricsim.study.forecast.threads import side_by_side
from fabricsim.study.hands.hand import steady
from fabricsim.study.hands.knitting import in_hand, possible_shift
from fabricsim.study.hands.prior import EVEN, SLACK_DOUBT, STIFFNESS_DOUBT, hands_of
from fabricsim.study.stretch.pulling import Curve, curve_of

LOADS = (5.0, 10.0, 20.0)
"""N/m at which the stretch is told (chosen: from what a finger pulls with to as hard as one pulls a hat on)."""


@dataclass(frozen=True)
class Range:
    """Least, nominal and greatest value; an end is None where it lies beyond what was found."""

    low: float | None
    nominal: float | None
    high: float | None


@dataclass(frozen=True)
class Way:
    """One direction: the fabric's ``curve``, that of ``plain`` fabric of the same gauge, and those of the fabric with
    slack less and more certain (``others``; none without a band)."""

    curve: Curve
    plain: Curve
    others: tuple[Curve, ...]

    def at(self, load: float) -> Range:
        """Return the stretch at a ``load`` (N/m): over the slacks, and stiffness half and twice as great."""
        nominal = self.curve.at(load)
        if not self.others:
            return Range(nominal, nominal, nominal)
        all_curves = (self.curve, *self.others)
        least = [one.at(load / STIFFNESS_DOUBT) for one in all_curves if load / STIFFNESS_DOUBT <= one.most]
        most = [one.at(load * STIFFNESS_DOUBT) for one in all_curves if load * STIFFNESS_DOUBT <= one.most]
        return Range(min([nominal, *least]), nominal, max([nominal, *most]) if len(most) == len(all_curves) else None)

    @property
    def first_taut(self) -> Range:
        """Stretch from which on the first float is taut; None where none is at the greatest load."""
        ends = [one.first_taut for one in (self.curve, *self.others)]
        known = [one for one in ends if one is not None]
        return Range(min(known, default=None), ends[0], max(known) if len(known) == len(ends) else None)


@dataclass(frozen=True)
class Stretching:
    """How far a fabric stretches: from its ``rest``, at ``loads`` (N/m), ``across`` and ``up``; its slack may be off by
    ``slack_off`` either way."""

    rest: Equilibrium
    loads: tuple[float, ...]
    across: Way
    up: Way
    slack_off: float = SLACK_DOUBT

    @property
    def ways(self) -> dict[Along, Way]:
        return {"across": self.across, "up": self.up}


Stage = Callable[[str, int, int], Progress | None]
"""Asked, as each curve begins, what to call with its steps: given its name, its number and how many there are."""


def stretching(
    scene: Scene,
    loads: Iterable[float] = LOADS,
    *,
    slack: float | None = None,
    band: bool = True,
    stage: Stage | None = None,
) -> Stretching:
    """Return how far the repeat of ``scene`` stretches both ways at ``loads`` (N/m), every float carried alike by a
    usual hand, with its band unless ``band`` is False.

    Raises InputError for what can't be built and NoEquilibriumError if the nominal fabric finds no rest; of a fabric of
    the band that finds none at some load the curve ends before it.
    """
    written, hands = set_up(scene, "repeat", slack=slack), hands_of(scene, other_slack=slack is not None)
    fabric = in_hand(written, steady(written), hands)
    wanted = tuple(sorted(set(loads)))
    read = sorted({load * by for load in (PRETENSION, *wanted) for by in (1.0 / STIFFNESS_DOUBT, 1.0, STIFFNESS_DOUBT)})
    tightest = float(fabric.mesh.floats.slack_f.min(initial=0.0))
    shifts = [possible_shift(by, tightest) for by in (-hands.all_slack / EVEN, hands.all_slack / EVEN)] if band else []
    if len(fabric.mesh.floats) == 0:
        shifts = shifts[:0]
    threads = usable_cores() if len(fabric.mesh.rest_nc) <= SIDE_BY_SIDE else 1
    ways = ways_in(fabric)
    of = ways + len(AXIS) * (1 + len(shifts))

    def begin(name: str, number: int) -> Progress | None:
        return stage(name, number, of) if stage is not None else None

    rest = lowest_rest(fabric, threads=threads, begin=begin).rest
    todo = [
        partial(_pulled_along, fabric, rest, along, shift, (wanted, read), partial(begin, _name(along, shift), number))
        for number, (shift, along) in enumerate(((s, a) for s in (0.0, *shifts) for a in AXIS), start=ways)
    ]
    found = side_by_side(todo, threads)
    plain = without_floats(fabric)
    made = {}
    for number, along in enumerate(AXIS):
        nominal, *others = found[number :: len(AXIS)]
        if not others and band:
            others = [nominal]  # nothing floats: only its stiffness is not known
        made[along] = Way(nominal, curve_of(plain, along, read), tuple(others))
    return Stretching(rest, wanted, **made, slack_off=hands.all_slack / EVEN)


def _name(along: Along, shift: float) -> str:
    floats = "" if shift == 0.0 else f", floats {'tighter' if shift < 0.0 else 'looser'}"
    return f"pulled {along}{floats}"


def _pulled_along(
    fabric: Fabric,
    rest: Equilibrium,
    along: Along,
    shift: float,
    loads: tuple[Iterable[float], list[float]],
    begin: Callable[[], Progress | None],
) -> Curve:
    """Return the curve of the fabric with its slack shifted, as far as it is found; the nominal one at all ``loads``
    that were asked for."""
    progress = begin()
    asked, read = loads
    if shift != 0.0:
        fabric = fabric.with_slack_shifted(shift)
        rest = come_to_rest(fabric, rest, progress)
    must = max(asked, default=PRETENSION) if shift == 0.0 else PRETENSION
    while True:
        try:
            return curve_of(fabric, along, read, rest=rest, rough=shift != 0.0, progress=progress)
        except NoEquilibriumError:
            if read[-1] <= must:
                raise
            read = read[:-1]
