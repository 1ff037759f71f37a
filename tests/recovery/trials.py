"""Made-up swatches of known slack, measured with noise, and what calibrating says of them."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from time import process_time
from typing import Any

import numpy as np

from fabricsim.design.swatch.measured import Measured
from fabricsim.study.calibrate.learning import calibrate
from fabricsim.study.calibrate.measurements import measurements
from fabricsim.study.calibrate.responses import Guess, Responses
from tests.support.scenes import scene_of

CHART = ("#.....", "..#...")
SCENE = scene_of(CHART, floats={"unevenness": 0.0, "short_mm": 0.0})
"""Every float alike; of uneven ones see ``uneven.py``."""
NOISE = 0.02
"""Standard deviation of every measurement, a share of it; stated as such in the measured file."""
WIDTHS: dict[str, Any] = {"plain": {"stitches": 36, "width_cm": 1.0}, "colourwork": {"stitches": 36, "width_cm": 1.0}}
"""What is measured where nothing else is; sizes are filled in."""
MORE: dict[str, Any] = {
    **WIDTHS,
    "stretched": {"section": "plain", "stitches": 36, "width_cm": 1.0, "grams": 40.0, "strip_cm": 8.0},
    "floats": [{"gap": 5, "yarn_cm": 1.0}] * 3,
}
SLACKS = (-0.12, 0.10)
"""Between which slacks are drawn, evenly: tighter than beginners, looser than the usual aim begins."""
CASES: Mapping[str, dict[str, Any]] = {"widths, stretch, three floats": MORE, "two widths": WIDTHS}


@dataclass(frozen=True)
class Trial:
    """One swatch: its true ``slack`` and ``stretch`` stiffness, and whether the intervals hold them."""

    slack: float
    held: bool
    stretch_held: bool
    value: float
    width: float
    known: str
    seconds: float


def made_up(
    shape: dict[str, Any], hands: Guess, noise: float = 0.0, rng: np.random.Generator | None = None
) -> Measured:
    """Return what these hands would measure, each number off by its noise; a share of 2 % is said to be uncertain."""
    scene = SCENE
    blank = Measured.model_validate(shape)
    filled = deepcopy(shape)
    for one, exact in zip(measurements(blank, scene, 1.0), Responses(scene, "repeat", blank).of(hands), strict=True):
        value = exact * (1.0 + (noise * rng.standard_normal() if rng is not None else 0.0))
        name, _, key = one.key.rpartition(".")
        part = filled[name.split()[0]]
        if isinstance(part, list):
            number = int(name.split("no. ")[1].rstrip(")")) - 1
            part[number] = part = dict(part[number])
        part[key] = value
        part["uncertain_grams" if key == "grams" else "uncertain_cm"] = NOISE * exact
    return Measured.model_validate(filled)


def trial(seed: int, shape: dict[str, Any]) -> Trial:
    """Make up the swatch of this seed, measure it with noise and calibrate."""
    rng = np.random.default_rng(seed)
    slack = float(rng.uniform(*SLACKS))
    hands = Guess(
        slack,
        (slack, slack),
        stretch=float(np.exp(rng.normal(0.0, 0.4))),
        bending=float(np.exp(rng.normal(0.0, 0.4))),
        gauge=float(np.exp(rng.normal(0.0, 0.03))),
    )
    measured = made_up(shape, hands, NOISE, rng)
    begun = process_time()
    learnt = calibrate(SCENE, measured, "repeat").knitter
    return Trial(
        slack,
        learnt.slack.low <= slack <= learnt.slack.high,
        learnt.stretch.low <= hands.stretch <= learnt.stretch.high,
        learnt.slack.value,
        learnt.slack.high - learnt.slack.low,
        learnt.slack.known,
        process_time() - begun,
    )


def main(trials: int = 200, first: int = 0) -> bool:
    """Print how often the truth lay inside; return whether that is near enough to 95 %."""
    from scipy.stats import binom

    low, high = (int(end) for end in binom.interval(0.99, trials, 0.95))
    print(f"{trials} swatches from seed {first}, slack {SLACKS[0]:+.0%} to {SLACKS[1]:+.0%}, noise {NOISE:.0%}")
    print(f"inside should be {low} to {high} of {trials} (99 in 100 of the binomial)")
    good = True
    for name, shape in CASES.items():
        found = [trial(seed, shape) for seed in range(first, first + trials)]
        inside, stretch = sum(one.held for one in found), sum(one.stretch_held for one in found)
        good = good and low <= inside <= high
        known = {word: sum(one.known == word for one in found) for word in ("measured", "at least", "not told")}
        off = float(np.sqrt(np.mean([(one.value - one.slack) ** 2 for one in found])))
        print(
            f"{name}: slack inside {inside} ({inside / trials:.1%}), stiffness inside {stretch}; off by {off:.1%} rms, "
            f"interval {np.mean([one.width for one in found]):.1%} wide; {known}; "
            f"{np.mean([one.seconds for one in found]):.1f} s each"
        )
        for bottom, top in ((-0.12, -0.06), (-0.06, 0.0), (0.0, 0.05), (0.05, 0.10)):
            those = [one for one in found if bottom <= one.slack < top]
            if those:
                print(f"    {bottom:+.0%} to {top:+.0%}: {sum(one.held for one in those)} of {len(those)}")
        missed = [f"{one.slack:+.3f} ({one.value:+.3f})" for one in found if not one.held]
        print(f"    missed: {', '.join(missed)}", flush=True)
    return good
