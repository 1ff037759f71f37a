"""Where a round begins: what the step from round to round does to the pattern there, and where it would do least."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.model import Scene


@dataclass(frozen=True)
class Join:
    """The join of two rounds as the chart is drawn, and the best place for it.

    ``edges``: lines of the pattern, where the colour changes from one round to the next, that run straight across the
    join: each is broken there by the height of a round. ``best``: the stitch of the chart, counted from 1 at the right,
    at which rounds had better begin; ``edges_there``: lines broken then.
    """

    edges: int
    best: int
    edges_there: int


def join_of(scene: Scene) -> Join | None:
    """Return the join of a piece worked in the round; None flat or in a steek, or in one colour."""
    yarn_ij = scene.chart_rows()
    if scene.cut_open or len({yarn for yarn_j in yarn_ij for yarn in yarn_j}) == 1:
        return None
    plain = scene.symbols.index(scene.chart.plain_yarn) if scene.chart.plain_yarn is not None else 0
    around = (plain,) * len(yarn_ij[0])
    up = [*[around] * (scene.chart.plain_below > 0), *list(yarn_ij) * min(scene.chart.up, 2)]
    rows = [*up, *[around] * (scene.chart.plain_above > 0)]
    stitches = len(yarn_ij[0])
    broken = [broken_at(rows, stitch) for stitch in range(1, stitches + 1)]
    # of equals the one nearest to where it begins now, either way round
    best = min(range(stitches), key=lambda at: (broken[at], min(at, stitches - at)))
    return Join(broken[0], best + 1, broken[best])


def broken_at(rows: Rows, stitch: int) -> int:
    """Return how many lines run across the right edge of the chart's ``stitch``, from 1 at the right: places where the
    colours of both stitches beside it change alike from one row to the next."""
    stitches = len(rows[0])
    left, right = stitches - stitch, (stitches - stitch + 1) % stitches
    return sum(
        low[left] != high[left] and (low[left], high[left]) == (low[right], high[right]) for low, high in pairwise(rows)
    )
