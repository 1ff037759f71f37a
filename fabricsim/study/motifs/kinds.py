"""What a knitter sees in a motif: checks, columns, a diagonal, a zigzag, dots, dashes, posts or blocks.

Told by rule, the same however the motif is laid: shifted, mirrored, turned, its yarns swapped. Most motifs are none of
these. Stripes are none either: where nothing floats there is no motif.
"""

from __future__ import annotations

from itertools import pairwise, product
from typing import Literal

from fabricsim.design.scene.chart import Rows

Kind = Literal["checks", "columns", "diagonal", "zigzag", "dots", "dashes", "posts", "blocks"]
Place = tuple[int, int]
Drawn = tuple[tuple[int, ...], ...]


def kind_of(chart_ij: Rows) -> Kind | None:
    """Return what a repeat in the yarns 0 and 1 shows, in whichever of its yarns makes it; None where no word fits."""
    return _seen(tuple(tuple(yarn_j) for yarn_j in chart_ij))


def _seen(chart_ij: Drawn) -> Kind | None:
    if all(yarn_j == chart_ij[0] for yarn_j in chart_ij):
        return "columns"
    if _checks(chart_ij):
        return "checks"
    return _slanting(chart_ij) or _patches(chart_ij, 1) or _patches(chart_ij, 0)


def _runs(line: tuple[int, ...]) -> list[int]:
    """Return how long the runs of one yarn are along a line that closes on itself."""
    ends = [at for at in range(len(line)) if line[at] != line[at - 1]]
    return [(after - before) % len(line) or len(line) for before, after in zip(ends, ends[1:] + ends[:1], strict=True)]


def _checks(chart_ij: Drawn) -> bool:
    """Return whether squares of equal size change yarn both ways."""
    first, column = chart_ij[0], tuple(yarn_j[0] for yarn_j in chart_ij)
    even = all(len(runs := _runs(line)) > 1 and len(set(runs)) == 1 for line in (first, column))
    crossing = all(
        chart_ij[row][at] == column[row] ^ first[at] ^ first[0]
        for row, at in product(range(len(column)), range(len(first)))
    )
    return even and crossing


def _slanting(chart_ij: Drawn) -> Kind | None:
    """Return whether every row is the one below, moved by a stitch: always to one side, or to and fro. More stitches
    count as one where the row's only run of a yarn is so long that it still touches itself."""
    first = chart_ij[0]
    stitches, runs = len(first), _runs(first)
    if stitches < 3 or not runs:
        return None
    reach = min(runs) if len(runs) == 2 else 1
    for by in range(1, reach + 1):
        moves = [
            {side for side in (by, -by) if above == below[-side:] + below[:-side]}
            for below, above in pairwise((*chart_ij, first))
        ]
        if not all(moves):
            continue
        if any(all(side in move for move in moves) for side in (by, -by)):
            return "diagonal"
        return "zigzag"
    return None


def _patches(chart_ij: Drawn, yarn: int) -> Kind | None:
    """Return what the patches of a yarn are called where all of them are alike and lie alone, not even corner to
    corner: one stitch, a row of stitches, one above another, or blocks."""
    left = {(i, j) for i, yarn_j in enumerate(chart_ij) for j, one in enumerate(yarn_j) if one == yarn}
    sizes = set()
    while left:
        patch = _patch(left.pop(), left, chart_ij)
        rows, columns = {i for i, _ in patch}, {j for _, j in patch}
        if len(patch) != len(rows) * len(columns) or len(rows) == len(chart_ij) or len(columns) == len(chart_ij[0]):
            return None
        sizes.add((len(rows) > 1, len(columns) > 1))
    words: dict[Place, Kind] = {(0, 0): "dots", (0, 1): "dashes", (1, 0): "posts", (1, 1): "blocks"}
    return words[sizes.pop()] if len(sizes) == 1 else None


def _patch(begin: Place, left: set[Place], chart_ij: Drawn) -> set[Place]:
    """Take the patch that a stitch lies in out of those ``left``; return it."""
    rows, stitches = len(chart_ij), len(chart_ij[0])
    patch, edge = {begin}, [begin]
    while edge:
        i, j = edge.pop()
        near = {((i + up) % rows, (j + aside) % stitches) for up, aside in product((-1, 0, 1), repeat=2)} & left
        left -= near
        patch |= near
        edge += near
    return patch
