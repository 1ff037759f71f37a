"""What would be measured on a swatch by a knitter of such hands, in fabric of such a stiffness."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import sqrt

from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.swatch.measured import Measured
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.cell import copied
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import height_change, pucker, widths
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.stretching import pulled, without_floats
from fabricsim.study.calibrate.measurements import LUCK
from fabricsim.study.calibrate.scatter import spread_of, unevenness_of
from fabricsim.study.forecast.forecast import SEED
from fabricsim.study.hands.hand import typical
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import ROWS_SHARE, Hands, hands_of
from fabricsim.units import CM, GRAM, GRAVITY, MM

TELLING = -0.06
"""Slack at which floats pull in any piece, in the narrowest tube too (chosen)."""
MANY, ENOUGH = 40, 200
"""Floats that an endless fabric has at the least, over as many repeats; but no more repeats than of so many stitches
(chosen: from few one can't tell how unevenness acts)."""
KEPT = 6
"""Fabrics at rest that are kept to start others from: the last ones (chosen, for memory's sake)."""


@dataclass(frozen=True)
class Guess:
    """A guess at everything: ``slack`` of all floats and of each yarn's, by what factor stretch stiffness, bending
    stiffness, weight, stitch width and row height differ from those assumed; how uneven floats are and by how much they
    fall ``short`` (m), None where that is as the scene says."""

    slack: float
    slack_y: tuple[float, ...]
    stretch: float = 1.0
    bending: float = 1.0
    weight: float = 1.0
    gauge: float = 1.0
    row_gauge: float = 1.0
    unevenness: float | None = None
    short: float | None = None


@dataclass(frozen=True)
class _Flat:
    """What fabric measures as it lies: shares of its width lost and of its height won, and pucker, m."""

    lost: float
    taller: float
    pucker: float


class Responses:
    """Answers what would be measured in place of ``measured``, the numbers of ``measurements`` in their units.

    Widths, heights and pucker are those of the endless repeat, until ``correct`` has looked at the whole piece in its
    load ``case`` for how much tighter the slack would have to be there and by how much the rest differs. The stretched
    width is that of the repeat under a dead load. Fabrics are solved once each, from the nearest of the last ones.
    Slacks and stiffness act on the fabric; gauge only on its size, since shares of a width hardly depend on it.
    """

    def __init__(self, scene: Scene, case: Case, measured: Measured, progress: Progress | None = None) -> None:
        self.scene, self.case, self.measured, self.progress = scene, case, measured, progress
        self.solves = 0
        self.looser, self.taller, self.higher = 0.0, 0.0, 0.0
        self._flat: dict[tuple[float, ...], _Flat] = {}
        self._stretched: dict[tuple[float, ...], float] = {}
        self._rests: dict[str, list[tuple[tuple[float, ...], Equilibrium]]] = {"flat": [], "stretched": []}

    @cached_property
    def luck(self) -> float:
        """Share of the width by which swatches of one hand differ, as their uneven floats happen to lie; none where the
        repeat goes on without end."""
        floats = len(set_up(self.scene, self.case).floats) if self.case != "repeat" else 0
        if not floats:
            return 0.0
        width = self.scene.gauge.stitch_width / MM
        listed = [
            (one.freedom, unevenness_of(one.spread_mm, (one.gap + 1) * width, one.uncertain_mm))
            for one in self.measured.floats
            if one.freedom
        ]
        freedom = sum(of for of, _ in listed)
        uneven = sqrt(sum(of * each**2 for of, each in listed) / freedom) if freedom else self._known.floats
        return LUCK * uneven / sqrt(floats)

    @cached_property
    def _known(self) -> Hands:
        return hands_of(self.scene, other_slack=True)

    @cached_property
    def _repeat(self) -> Fabric:
        """As many repeats of the chart as have floats enough to be uneven in every way."""
        fabric = set_up(self.scene, "repeat")
        if self._known.floats == 0.0:
            return fabric
        stitches, rows = fabric.mesh.stitches, fabric.mesh.rows
        across = up = 1
        while across * up * len(fabric.mesh.floats) < MANY and across * up * stitches * rows < ENOUGH:
            wide, high = across * stitches * fabric.mesh.stitch_width, up * rows * fabric.mesh.row_height
            across, up = (across + 1, up) if wide <= high else (across, up + 1)
        return copied(fabric, up * rows, across * stitches)

    @cached_property
    def _grams(self) -> tuple[float, float]:
        """Weight of the whole swatch at slack 0, and what it gains with slack 1: it grows evenly."""
        none, full = (
            sum(one.mass for one in yarn_amounts(self.scene, slack=slack).yarns) / GRAM for slack in (0.0, 1.0)
        )
        return none, full - none

    def of(self, hands: Guess) -> tuple[float, ...]:
        """Return what these hands would measure; raises NoEquilibriumError where there is no rest."""
        width = self.scene.gauge.stitch_width * hands.gauge / CM
        height = self.scene.gauge.row_height * hands.row_gauge / CM
        plain, colourwork, stretched = self.measured.plain, self.measured.colourwork, self.measured.stretched
        found, known = [], self.hands_as(hands)
        if plain.stitches is not None:
            found.append(plain.stitches * width)
        if plain.rows is not None:
            found.append(plain.rows * height)
        if colourwork.stitches is not None:
            found.append(colourwork.stitches * width * (1.0 - self.flat(hands).lost))
        if colourwork.rows is not None:
            found.append(colourwork.rows * height * (1.0 + self.flat(hands).taller))
        if colourwork.pucker_mm is not None:
            found.append(self.flat(hands).pucker / MM)
        if stretched.stitches is not None:
            found.append(stretched.stitches * width * self.stretched(hands))
        if self.measured.weighed.grams is not None:
            none, more = self._grams
            found.append(hands.weight * (none + more * hands.slack))
        for one in self.measured.floats:
            slack = hands.slack if one.yarn is None else hands.slack_y[self.scene.symbols.index(one.yarn)]
            span = (one.gap + 1) * width
            length = span * (1.0 + slack) - known.short / CM
            if one.yarn_mm is None:
                found.append(length)
            else:
                found += [10.0 * length, spread_of(known.floats, 10.0 * span, one.uncertain_mm)]
        return tuple(found)

    def hands_as(self, guess: Guess) -> Hands:
        """Return what is known of the hands beside their slack, which is sought; as guessed where that is sought."""
        known = self._known
        if guess.unevenness is not None:
            known = replace(known, floats=guess.unevenness, rows=ROWS_SHARE * guess.unevenness)
        return known if guess.short is None else replace(known, short=guess.short)

    def _key(self, hands: Guess, *values: float) -> tuple[float, ...]:
        """Return all that the repeat depends on: slacks, unevenness, what floats fall short as a share of a stitch, and
        ``values``, without their last digits so that the same fabric is known again."""
        known = self.hands_as(hands)
        short = known.short / self.scene.gauge.stitch_width
        return tuple(float(f"{value:.12g}") for value in (*hands.slack_y, known.floats, short, *values))

    def _made(self, fabric: Fabric, key: tuple[float, ...]) -> Fabric:
        """Return ``fabric`` with the slacks of its yarns, its bending and its weight: only ratios to the stretch
        stiffness matter where all loads are divided by it, so that is left as it is. Its floats are uneven in the way
        of those of the piece that a forecast shows."""
        *slack_y, floats, short, bending, weight = key
        said = fabric.with_slack_of_yarns(slack_y).with_stiffness(fabric.stiffness.times(1.0, bending, weight))
        short *= self.scene.gauge.stitch_width
        hands = replace(self._known, floats=floats, rows=ROWS_SHARE * floats, short=short)
        return in_hand(said, typical(said, SEED), hands)

    def flat(self, hands: Guess) -> _Flat:
        """Return what the fabric measures as it lies."""
        as_if = replace(hands, slack_y=tuple(slack + self.looser for slack in hands.slack_y))
        key = self._key(as_if, hands.bending / hands.stretch)
        if key not in self._flat:
            rest = self._at_rest(key)
            self._keep("flat", key, rest)
            self._flat[key] = _Flat(widths(rest).overall, height_change(rest), pucker(rest).peak_to_valley)
        alone = self._flat[key]
        return _Flat(alone.lost, alone.taller + self.taller, max(0.0, alone.pucker + self.higher))

    def _at_rest(self, key: tuple[float, ...]) -> Equilibrium:
        try:
            return come_to_rest(self._made(self._repeat, (*key, 1.0)), self._near("flat", key), self.progress)
        except NoEquilibriumError:
            raise NoEquilibriumError(too_tight(min(key[: len(self.scene.yarns)]))) from None

    def correct(self, hands: Guess) -> None:
        """Learn from one solve of the whole piece how it differs from the repeat: edges, weight, the inside of a tube.

        Taken at ``hands``, or as tight as tells anything. While floats pull, what is lost follows their slack one to
        one, so a difference in width is one in slack.
        """
        tight = min(0.0, TELLING - min(hands.slack_y))
        hands = replace(hands, slack_y=tuple(slack + tight for slack in hands.slack_y))
        key = self._key(hands, hands.bending / hands.stretch, hands.weight / hands.stretch)
        rest = come_to_rest(self._made(set_up(self.scene, self.case), key), None, self.progress)
        self.solves += 1
        self.looser += self.flat(hands).lost - widths(rest).overall
        alone = self.flat(hands)
        self.taller += height_change(rest) - alone.taller
        self.higher += pucker(rest).peak_to_valley - alone.pucker

    def stretched(self, hands: Guess) -> float:
        """Return the width under the weight over that of plain fabric."""
        stretched = self.measured.stretched
        assert stretched.grams is not None
        assert stretched.strip_cm is not None
        load = stretched.grams * GRAM * GRAVITY / (stretched.strip_cm * CM)
        load /= hands.stretch
        plain = stretched.section == "plain"
        key = (float(f"{load:.12g}"),) if plain else self._key(hands, hands.bending / hands.stretch, 1.0, load)
        if key not in self._stretched:
            fabric = without_floats(self._repeat) if plain else self._made(self._repeat, key[:-1])
            rest = pulled(fabric, "across", load, self._near("stretched", key), self.progress)
            self._keep("stretched", key, rest)
            assert rest.period_a is not None
            assert rest.mesh.period_a is not None
            self._stretched[key] = float(rest.period_a[0] / rest.mesh.period_a[0])
        return self._stretched[key]

    def _near(self, kind: str, key: tuple[float, ...]) -> Equilibrium | None:
        known = self._rests[kind]
        if not known:
            return None
        return min(known, key=lambda one: sum((a - b) ** 2 for a, b in zip(one[0], key, strict=True)))[1]

    def _keep(self, kind: str, key: tuple[float, ...], rest: Equilibrium) -> None:
        self.solves += 1
        self._rests[kind] = [*self._rests[kind][1 - KEPT :], (key, rest)]


def too_tight(slack: float) -> str:
    """Return what is said where floats as tight as what was measured asks for leave a fabric that finds no rest."""
    return (
        f"what was measured asks for floats {-100 * slack:.0f} % too short, with which the fabric finds no rest; "
        "measure the colourwork again, width and pucker, and count its stitches"
    )
