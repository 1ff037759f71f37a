"""Which squares of the chart every float passes behind, wherever in the piece the chart comes to lie."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Literal, NamedTuple

from fabricsim.design.rows.counting import Stretch, flat_stretches, round_stretches
from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.steek import SteekColumns

if TYPE_CHECKING:
    from fabricsim.design.scene.model import Scene

Square = tuple[int, int]
"""A square of the chart: row from 0 at the bottom, column from 0 at the left of the face."""
Repeat = Literal["every", "first", "last"]
"""In which of the repeats side by side: all of them, the one that begins a round, or the one that ends it."""
EVERY_STRAND = -1
"""In place of a yarn: all that pass."""


class Hold(NamedTuple):
    """A catch: the strand of ``yarn`` is held behind a square of the chart, in these of its repeats side by side."""

    row: int
    column: int
    yarn: int
    repeat: Repeat = "every"

    @property
    def square(self) -> Square:
        """The square of the chart."""
        return self.row, self.column


class Layout(NamedTuple):
    """How a chart is set into its piece, as far as its floats can tell; ``plain`` is the yarn of the plain rows, and
    ``steek`` what lies between the end of a round and its beginning, if anything."""

    flat: bool
    across: int
    up: int
    plain_below: int
    plain_above: int
    plain: int
    steek: SteekColumns | None = None

    @property
    def closes(self) -> bool:
        """Whether the two ends of a row of the chart lie side by side: in the round, and where it is repeated."""
        return not (self.flat or self.steek) or self.across > 1

    @property
    def copies(self) -> tuple[int, int]:
        """As many repeats (across, up) as have all joins of the piece: two have what a hundred have."""
        return min(self.across, 2), min(self.up, 2)


class Passed(NamedTuple):
    """The ``squares`` that a float of ``yarn`` passes behind, one after the other, and the ``repeats`` they lie in.

    A float that recurs with the chart lies in ``every`` one; one over the join of two rounds, if there are several,
    begins in the ``last`` of the lower and ends in the ``first`` of the upper round. One to a steek lies in the
    ``last``, one from it in the ``first``; what it passes there doesn't count.
    """

    yarn: int
    squares: tuple[Square, ...]
    repeats: tuple[Repeat, ...]

    def choices(self, step: int) -> tuple[Hold, ...]:
        """Return the catches that hold it behind the square at this ``step``, from 0: there alone, or everywhere."""
        here = Hold(*self.squares[step], self.yarn, self.repeats[step])
        return (here,) if here.repeat == "every" else (here, here._replace(repeat="every"))

    def open_parts(self, caught: Iterable[Hold]) -> Iterator[Passed]:
        """Yield the stretches between the squares where it is ``caught`` (a set, or the like)."""
        if not caught:  # most often
            yield self
            return
        start, steps = 0, len(self.squares)
        for step in range(steps + 1):
            if step == steps or any(
                hold in caught or hold._replace(yarn=EVERY_STRAND) in caught for hold in self.choices(step)
            ):
                if step > start:
                    yield Passed(self.yarn, self.squares[start:step], self.repeats[start:step])
                start = step + 1


def layout_of(scene: Scene) -> Layout:
    """Return how a scene's chart is set into its piece; up, two repeats and one plain row stand for all."""
    chart = scene.chart
    return Layout(
        flat=scene.worked == "flat",
        across=chart.across,
        up=min(chart.up, 2),
        plain_below=min(chart.plain_below, 1),
        plain_above=min(chart.plain_above, 1),
        plain=scene.symbols.index(chart.plain_yarn) if chart.plain_yarn is not None else 0,
        steek=None if scene.steek is None else scene.steek.columns,
    )


def floats_behind(chart_ij: Rows, layout: Layout, most: int = 0) -> list[Passed]:
    """Return every float of the piece, as it is worked, by the squares that it passes behind, each once; of those only
    that pass behind more than ``most`` stitches."""
    rows, stitches = len(chart_ij), len(chart_ij[0])
    across, up = layout.copies
    width = stitches * across
    plain_j = (layout.plain,) * width
    repeat_ij = [tuple(chart_j) * across for chart_j in chart_ij] * up
    piece_ij = [*[plain_j] * layout.plain_below, *repeat_ij, *[plain_j] * layout.plain_above]
    if layout.steek is not None:
        stretches = round_stretches(layout.steek.beside(piece_ij), spiral=True)
        by_steek = (_by_steek(one, (rows, stitches), width, layout, layout.steek) for one in stretches)
        return list(dict.fromkeys(one for one in by_steek if one.squares))
    stretches = flat_stretches(piece_ij) if layout.flat else round_stretches(piece_ij, spiral=True)
    return list(dict.fromkeys(_passed(one, (rows, stitches), width, layout) for one in stretches if one.gap > most))


def _by_steek(one: Stretch, size: Square, width: int, layout: Layout, steek: SteekColumns) -> Passed:
    """Return a float of a piece with a steek by the squares of its chart; none where it passes only the steek."""
    rows, stitches = size
    start, end = one.start - steek.left, one.start - steek.left - one.gap - 1
    columns = [column for column in range(start - 1, end, -1) if 0 <= column < width]
    repeat: Repeat = "every"
    if layout.across > 1 and (end < 0 or start >= width):
        repeat = "first" if start >= width else "last"
    row = (one.row - layout.plain_below) % rows
    return Passed(one.yarn, tuple((row, column % stitches) for column in columns), (repeat,) * len(columns))


def _passed(one: Stretch, size: Square, width: int, layout: Layout) -> Passed:
    """Return a float of a piece so wide by the squares of its chart (none passes behind a plain row)."""
    rows, stitches = size
    joins = not layout.flat and not 0 <= one.start + one.direction * (one.gap + 1) < width
    squares: list[Square] = []
    repeats: list[Repeat] = []
    for step in range(1, one.gap + 1):
        past, column = divmod(one.start + one.direction * step, width)
        squares.append(((one.row - layout.plain_below + (past != 0)) % rows, column % stitches))
        repeats.append("every" if not joins or layout.across == 1 else "first" if past else "last")
    if one.direction > 0:  # rows that turn: told as if from the other end
        squares.reverse()
        repeats.reverse()
    return Passed(one.yarn, tuple(squares), tuple(repeats))
