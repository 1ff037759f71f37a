"""How many fresh pieces lie within the likely range of a scene."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.measures import measure
from fabricsim.fabric.setup import set_up
from fabricsim.study.forecast.forecast import forecast
from fabricsim.study.hands.bench import at_rest
from fabricsim.study.hands.hand import child, drawn
from fabricsim.study.hands.knitting import in_hand
from tests.support.scenes import scene_of

FRESH = 7
"""Child of the seed that fresh hands are drawn from: none that a forecast draws from."""


@dataclass(frozen=True)
class Coverage:
    """Of ``draws`` fresh pieces of a scene how many lie within its likely range of draw-in and of pucker; ``lost`` came
    to no rest, and count as outside."""

    seed: int
    draws: int
    draw_in: int
    pucker: int
    lost: int
    said: str


def random_scene(seed: int) -> Scene:
    """Return a chart of two colours as knitters draw them, flat or a tube, its slack written or not."""
    rng = np.random.default_rng((5, seed))
    rows, stitches = int(rng.integers(5, 13)), int(rng.integers(6, 15))
    share = rng.uniform(0.25, 0.5)
    grid = rng.random((rows, stitches)) < share
    if rng.random() < 0.7:  # most motifs are their own mirror image
        grid = grid | grid[:, ::-1]
    grid[0] = False
    chart = ["".join("#" if one else "." for one in row) for row in grid]
    if not grid.any():
        chart[1] = "#" + chart[1][1:]
    flat = rng.random() < 0.4
    slack = round(float(rng.uniform(-0.06, 0.06)), 3)
    scene = scene_of(
        chart,
        slack,
        worked="flat" if flat else "round",
        chart={"across": 2 if flat else max(1, round(36 / stitches)), "plain_below": 2, "plain_above": 2},
    )
    if rng.random() < 0.4:  # hands that nobody has measured
        rules = {key: value for key, value in scene.floats.model_dump(exclude_unset=True).items() if key != "slack"}
        scene = Scene.model_validate({**scene.model_dump(exclude_unset=True), "floats": rules})
    return scene


def coverage(seed: int, draws: int) -> Coverage:
    """Return how many of so many fresh pieces lie within."""
    scene = random_scene(seed)
    found = forecast(scene)
    fabric = set_up(scene)
    ranges = (found.draw_in, found.pucker)
    within = [0, 0]
    lost = 0
    for number in range(draws):
        knitted = in_hand(fabric, drawn(fabric, child(seed, FRESH, number)), found.hands)
        try:
            measures = measure(at_rest(knitted, found.equilibrium))
        except NoEquilibriumError:
            lost += 1
            continue
        values = (measures.widths.overall, measures.pucker.peak_to_valley)
        for which, (band, value) in enumerate(zip(ranges, values, strict=True)):
            within[which] += band.low <= value <= band.high
    band = found.draw_in
    said = f"{scene.case}, {found.equilibrium}: {100 * band.low:.1f} to {100 * band.high:.1f} %"
    return Coverage(seed, draws, within[0], within[1], lost, said)
