"""Made-up swatches of known uneven hands, knitted whole, measured with a tape, some floats of them unpicked.

Not the repeat that the fit goes by, nor the floats that it takes for typical, but a piece with free edges on a table
whose floats are as uneven as chance has it: what a knitter would bring.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabricsim.design.scene.model import Scene
from fabricsim.design.swatch.measured import Measured
from fabricsim.fabric.measures import widths
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import set_up
from fabricsim.study.calibrate.learning import Calibration, calibrate
from fabricsim.study.hands.hand import drawn
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import ROWS_SHARE, Hands
from fabricsim.units import CM, MM
from tests.support.scenes import scene_of

FAST = ("#.#.", "..#.", ".#..", "#..#")
"""Changes colour often."""
SLOW = ("#.......", "....#...", "........", ".#......")
"""Hardly ever."""
TAPE_CM, TAPE_MM = 0.1, 0.5
"""By how much widths and floats are read off (standard deviations)."""


@dataclass(frozen=True)
class Knitter:
    """Hands that are known: their mean ``slack``, ``unevenness`` and by how many mm each float falls ``short``."""

    slack: float
    unevenness: float
    short: float


def swatch_of(rows: Sequence[str]) -> Scene:
    """Return a swatch of 24 stitches of a chart, plain rows at either end; nothing is said of the hands."""
    chart = {"across": 24 // len(rows[0]), "up": 3, "plain_below": 2, "plain_above": 2}
    said = scene_of(rows, worked="flat", chart=chart)
    return Scene.model_validate({**said.model_dump(exclude_unset=True), "floats": {}})


def measured_of(scene: Scene, hands: Knitter, seed: int, gap: int = 0, count: int = 0) -> Measured:
    """Return what is measured on a swatch by these hands: two widths, and the yarn of so many floats behind ``gap``
    stitches, each in a row of its own as far as there are rows."""
    rng = np.random.default_rng((17, seed))
    known = Hands(
        slack=0.0, rows=ROWS_SHARE * hands.unevenness, floats=hands.unevenness, factor=1.0, short=hands.short * MM
    )
    fabric = set_up(scene, "swatch", slack=hands.slack)
    knitted = in_hand(fabric, drawn(fabric, np.random.SeedSequence((18, seed))), known)
    stitches, width = knitted.mesh.stitches, knitted.mesh.stitches * scene.gauge.stitch_width / CM
    lost = widths(come_to_rest(knitted)).overall
    told: dict[str, object] = {
        name: {"stitches": stitches, "width_cm": cm + TAPE_CM * rng.standard_normal(), "uncertain_cm": TAPE_CM}
        for name, cm in (("plain", width), ("colourwork", width * (1.0 - lost)))
    }
    table = knitted.mesh.floats
    if count:
        there = rng.permutation(np.flatnonzero(table.gap_f == gap)).tolist()
        row = [one.row for one in knitted.floats]
        first = {row[f]: f for f in reversed(there)}
        unpicked = [*first.values(), *(f for f in there if first[row[f]] != f)][:count]
        mm = [float(table.length_f[f] / MM + TAPE_MM * rng.standard_normal()) for f in unpicked]
        told["floats"] = [{"gap": gap, "yarn_mm": mm, "uncertain_mm": TAPE_MM}]
    return Measured.model_validate(told)


def learnt(hands: Knitter, seed: int, *, two: bool = True) -> Calibration:
    """Return what is learnt from a swatch of long floats, twelve of them unpicked; and if ``two`` another of short
    ones."""
    slow, fast = swatch_of(SLOW), swatch_of(FAST)
    other = (fast, measured_of(fast, hands, 1000 + seed, 2, 12)) if two else None
    return calibrate(slow, measured_of(slow, hands, seed, 7, 12), second=other)


def told(trials: int = 20) -> str:
    """Return how often the truth lies inside, over hands as they may be, from two motifs and 24 floats."""
    inside = np.zeros(3, dtype=int)
    off = np.zeros((trials, 3))
    for seed in range(trials):
        rng = np.random.default_rng((19, seed))
        hands = Knitter(rng.uniform(-0.06, 0.06), rng.uniform(0.015, 0.08), rng.uniform(0.1, 0.9))
        found = learnt(hands, seed).knitter
        assert found.unevenness is not None
        assert found.short_mm is not None
        all_told = ((hands.slack, found.slack), (hands.unevenness, found.unevenness), (hands.short, found.short_mm))
        for which, (true, one) in enumerate(all_told):
            inside[which] += one.low <= true <= one.high
            off[seed, which] = one.value - true
    by = np.sqrt((off**2).mean(axis=0))
    return (
        f"inside of {trials}: slack {inside[0]}, unevenness {inside[1]}, short {inside[2]}; off by (rms) "
        f"{100.0 * by[0]:.1f} %, {100.0 * by[1]:.1f} % and {by[2]:.2f} mm"
    )
