"""All changes of one and two stitches of a small chart, each brought to rest: what the search is held against."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, product

from fabricsim.design.scene.model import Scene
from fabricsim.fabric.measures import widths
from fabricsim.study.change.charted import at_rest_as_charted
from fabricsim.study.change.search import floats_over
from tests.support.scenes import scene_of

Drawn = list[list[int]]


def drawn(scene: Scene) -> Drawn:
    return [list(row) for row in scene.chart_rows()]


def scene_like(scene: Scene, rows: Drawn) -> Scene:
    """Return the scene with another chart, drawn anew from its symbols."""
    printed = ["".join(".#"[yarn] for yarn in row) for row in reversed(rows)]
    chart = {"across": scene.chart.across, "up": scene.chart.up}
    limits = {"longest_gap": scene.floats.longest_gap}
    return scene_of(printed, scene.floats.slack, chart=chart, floats=limits)


def alone(rows: Drawn, row: int, column: int, *, up: bool) -> bool:
    """Return whether a stitch has none of its own yarn in the eight squares about it, the chart closed across."""
    tall, wide = len(rows), len(rows[0])
    for down, aside in product((-1, 0, 1), repeat=2):
        at = row + down
        if (down, aside) == (0, 0) or not (up or 0 <= at < tall):
            continue
        if rows[at % tall][(column + aside) % wide] == rows[row][column]:
            return False
    return True


def lonely(rows: Drawn, *, up: bool) -> set[tuple[int, int]]:
    return {(i, j) for i in range(len(rows)) for j in range(len(rows[0])) if alone(rows, i, j, up=up)}


def all_changes(scene: Scene, stitches: int) -> Iterator[tuple[int, float, int]]:
    """Yield for every change of so many stitches what it counts, the share then lost and the floats over the limits.

    Only in rows of both yarns, whose rows stay so or not as may be; one that leaves more stitches alone counts them.
    """
    before = drawn(scene)
    rest = at_rest_as_charted(scene).rest
    up = scene.chart.up > 1
    squares = [(i, j) for i, row in enumerate(before) if len(set(row)) > 1 for j in range(len(row))]
    for chosen in combinations(squares, stitches):
        rows = [list(row) for row in before]
        for i, j in chosen:
            rows[i][j] = 1 - rows[i][j]
        if len({yarn for row in rows for yarn in row}) < 2:
            continue
        # each stitch of two is told by itself, as the search counts them
        counts = 0
        for i, j in chosen:
            one = [list(row) for row in before]
            one[i][j] = 1 - one[i][j]
            counts += 1 + len(lonely(one, up=up) - lonely(before, up=up)) + (len(set(one[i])) == 1)
        other = scene_like(scene, rows)
        yield counts, widths(at_rest_as_charted(other, rest).rest).overall, floats_over(other)
