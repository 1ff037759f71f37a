"""Charts at random, one square of each in the other yarn: what was reckoned, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.stats import spearmanr

from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.measures import widths
from fabricsim.study.change.charted import at_rest_as_charted
from fabricsim.study.change.costs import squares_of
from tests.support.scenes import scene_of

SYMBOLS = ".#"


@dataclass(frozen=True)
class Agreement:
    """Of how many charts the share lost changed as ``told``, by rank; ``lost``: those that found no rest."""

    told: float
    charts: int
    lost: int


def random_scene(seed: int) -> Scene:
    """Return a chart of 5 to 9 rows of 6 to 16 stitches in two yarns, as motifs have them: runs of 1 to 4 stitches."""
    rng = np.random.default_rng(seed)
    wide = int(rng.integers(6, 17))
    rows = []
    for _ in range(int(rng.integers(5, 10))):
        row = ""
        while len(row) < wide:
            row += SYMBOLS[int(rng.random() < 0.45)] * int(rng.integers(1, 5))
        rows.append(row[:wide])
    return scene_of(rows, float(rng.uniform(-0.06, 0.02)))


def agreement(seed: int, charts: int) -> Agreement:
    """Return how well so many changes of one random chart were told."""
    scene = random_scene(seed)
    before = at_rest_as_charted(scene)
    squares = squares_of(before)
    keys = sorted(squares)
    rng = np.random.default_rng((seed, 1))
    chosen = [keys[number] for number in rng.choice(len(keys), min(charts, len(keys)), replace=False)]
    told, came, lost = [], [], 0
    for (row, column), yarn in chosen:
        rows = [list(yarn_j) for yarn_j in scene.chart_rows()]
        rows[row][column] = yarn
        other = scene_of(["".join(SYMBOLS[one] for one in yarn_j) for yarn_j in reversed(rows)], scene.floats.slack)
        try:
            rest = at_rest_as_charted(other).rest
        except NoEquilibriumError:
            lost += 1
            continue
        told.append(squares[(row, column), yarn].lost)
        came.append(widths(rest).overall - widths(before.rest).overall)
    return Agreement(float(spearmanr(told, came).statistic), len(told), lost)
