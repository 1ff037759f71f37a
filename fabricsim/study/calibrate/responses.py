"""What would be measured on a swatch by a knitter of such hands, in fabric of such a stiffness."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.swatch.measured import Measured
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import height_change, pucker, widths
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.stretching import pulled, without_floats
from fabricsim.study.forecast.forecast import SEED
from fabricsim.study.hands.hand import typical
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import Hands, hands_of
from fabricsim.units import CM, GRAM, GRAVITY, MM

TELLING = -0.06
"""Slack at which floats pull in any piece, in the narrowest tube too (chosen)."""
KEPT = 6
"""Fabrics at rest that are kept to start others from: the last ones (chosen, for memory's sake)."""


@dataclass(frozen=True)
class Guess:
    """A guess at everything: ``slack`` of all floats and of each yarn's, and by what factor stretch stiffness, bending
    stiffness, weight, stitch width and row height differ from those assumed."""

    slack: float
    slack_y: tuple[float, ...]
    stretch: float = 1.0
    bending: float = 1.0
    weight: float = 1.0
    gauge: float = 1.0
    row_gauge: float = 1.0


@dataclass(frozen=True)
class Measurement:
    """One number of the measured file: its ``key`` there, ``value`` and how ``uncertain`` it is, in its ``unit``."""

    key: str
    value: float
    uncertain: float
    unit: str


def measurements(measured: Measured) -> tuple[Measurement, ...]:
    """Return every number that was measured, in a fixed order."""
    found = [
        Measurement(f"{name}.{key}", getattr(part, key), part.uncertain_cm, "cm")
        for name, part in (("plain", measured.plain), ("colourwork", measured.colourwork))
        for key in ("width_cm", "height_cm")
        if getattr(part, key) is not None
    ]
    colourwork, stretched, weighed = measured.colourwork, measured.stretched, measured.weighed
    if colourwork.pucker_mm is not None:
        found.append(Measurement("colourwork.pucker_mm", colourwork.pucker_mm, colourwork.pucker_uncertain_mm, "mm"))
    if stretched.width_cm is not None:
        found.append(Measurement("stretched.width_cm", stretched.width_cm, stretched.uncertain_cm, "cm"))
    if weighed.grams is not None:
        found.append(Measurement("weighed.grams", weighed.grams, weighed.uncertain_grams, "g"))
    for number, one in enumerate(measured.floats, 1):
        found.append(Measurement(f"floats (no. {number}).yarn_cm", one.yarn_cm, one.uncertain_cm, "cm"))
    return tuple(found)


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
    def _known(self) -> Hands:
        """What is known of the hands beside their slack, which is sought."""
        return hands_of(self.scene, other_slack=True)

    @cached_property
    def _repeat(self) -> Fabric:
        return set_up(self.scene, "repeat")

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
        found = []
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
            found.append((one.gap + 1) * width * (1.0 + slack) - self._known.short / CM)
        return tuple(found)

    def flat(self, hands: Guess) -> _Flat:
        """Return what the fabric measures as it lies."""
        key = _key(*(slack + self.looser for slack in hands.slack_y), hands.bending / hands.stretch)
        if key not in self._flat:
            rest = self._at_rest(key)
            self._keep("flat", key, rest)
            self._flat[key] = _Flat(widths(rest).overall, height_change(rest), pucker(rest).peak_to_valley)
        alone = self._flat[key]
        return _Flat(alone.lost, alone.taller + self.taller, max(0.0, alone.pucker + self.higher))

    def _at_rest(self, key: tuple[float, ...]) -> Equilibrium:
        try:
            return come_to_rest(_made(self._repeat, (*key, 1.0)), self._near("flat", key), self.progress)
        except NoEquilibriumError:
            raise NoEquilibriumError(too_tight(min(key[:-1]))) from None

    def correct(self, hands: Guess) -> None:
        """Learn from one solve of the whole piece how it differs from the repeat: edges, weight, the inside of a tube.

        Taken at ``hands``, or as tight as tells anything. While floats pull, what is lost follows their slack one to
        one, so a difference in width is one in slack.
        """
        tight = min(0.0, TELLING - min(hands.slack_y))
        hands = replace(hands, slack_y=tuple(slack + tight for slack in hands.slack_y))
        key = _key(*hands.slack_y, hands.bending / hands.stretch, hands.weight / hands.stretch)
        rest = come_to_rest(_made(set_up(self.scene, self.case), key), None, self.progress)
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
        key = _key(load) if plain else _key(*hands.slack_y, hands.bending / hands.stretch, 1.0, load)
        if key not in self._stretched:
            fabric = without_floats(self._repeat) if plain else _made(self._repeat, key[:-1])
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


def _made(fabric: Fabric, key: tuple[float, ...]) -> Fabric:
    """Return ``fabric`` with the slacks of its yarns, its bending and its weight: only ratios to the stretch stiffness
    matter where all loads are divided by it, so that is left as it is. Its floats are as uneven and fall as short as
    those of the piece that a forecast shows."""
    *slack_y, bending, weight = key
    said = fabric.with_slack_of_yarns(slack_y).with_stiffness(fabric.stiffness.times(1.0, bending, weight))
    return in_hand(said, typical(said, SEED), hands_of(fabric.scene, other_slack=True))


def _key(*values: float) -> tuple[float, ...]:
    """Return ``values`` without their last digits, so that the same fabric is known again."""
    return tuple(float(f"{value:.12g}") for value in values)
