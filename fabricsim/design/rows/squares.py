"""Which squares of the chart every float passes behind, wherever in the piece the chart comes to lie."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from fabricsim.design.rows.counting import Stretch, flat_stretches, round_stretches
from fabricsim.design.scene.chart import Rows

if TYPE_CHECKING:
    from fabricsim.design.scene.model import Scene

Square = tuple[int, int]
"""A square of the chart: row from 0 at the bottom, column from 0 at the left of the face."""


class Layout(NamedTuple):
    """How a chart is set into its piece, as far as its floats can tell; ``plain`` is the yarn of the plain rows."""

    flat: bool
    across: int
    up: int
    plain_below: int
    plain_above: int
    plain: int

    @property
    def closes(self) -> bool:
        """Whether rows of the chart close on themselves: in the round, and wherever it is repeated across."""
        return not self.flat or self.across > 1


class Passed(NamedTuple):
    """The ``squares`` that a float of ``yarn`` passes behind, one after the other."""

    yarn: int
    squares: tuple[Square, ...]


def layout_of(scene: Scene) -> Layout:
    """Return the smallest layout with the joins of a scene's piece: two repeats have all that a hundred have."""
    chart = scene.chart
    return Layout(
        flat=scene.worked == "flat",
        across=min(chart.across, 2),
        up=min(chart.up, 2),
        plain_below=min(chart.plain_below, 1),
        plain_above=min(chart.plain_above, 1),
        plain=scene.symbols.index(chart.plain_yarn) if chart.plain_yarn is not None else 0,
    )


def floats_behind(chart_ij: Rows, layout: Layout) -> list[Passed]:
    """Return every float of the piece by the squares that it passes behind, each once.

    In the round also those of the chart closed on itself row by row, as in the endless repeat, where a single
    repeat has none in the piece.
    """
    rows, stitches = len(chart_ij), len(chart_ij[0])
    plain_j = (layout.plain,) * (stitches * layout.across)
    repeat_ij = [tuple(chart_j) * layout.across for chart_j in chart_ij] * layout.up
    piece_ij = [*[plain_j] * layout.plain_below, *repeat_ij, *[plain_j] * layout.plain_above]
    found: dict[Passed, None] = {}
    if not layout.flat:
        _add(found, round_stretches(chart_ij, spiral=False), rows, stitches, stitches)
    stretches = flat_stretches(piece_ij) if layout.flat else round_stretches(piece_ij, spiral=True)
    _add(found, stretches, rows, stitches, stitches * layout.across, below=layout.plain_below, spiral=not layout.flat)
    return list(found)


def _add(
    found: dict[Passed, None],
    stretches: Iterable[Stretch],
    rows: int,
    stitches: int,
    width: int,
    *,
    below: int = 0,
    spiral: bool = False,
) -> None:
    """Add the floats of a piece so wide to those ``found``, told by the squares of its chart."""
    for one in stretches:
        squares = []
        for step in range(1, one.gap + 1):
            past, column = divmod(one.start + one.direction * step, width)
            row = one.row - below + (spiral and past != 0)
            squares.append((row % rows, column % stitches))
        if one.direction > 0:  # rows that turn: told as if from the other end
            squares.reverse()
        found[Passed(one.yarn, tuple(squares))] = None
