"""The crown of a hat: wedges that fit the repeat, and the rounds that close it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import accumulate
from math import pi

from fabricsim.design.sizes.spread import Spread, spread

USUAL_WEDGES = 8
"""Decreases in a round of a crown; common practice."""
FEWEST_WEDGES, MOST_WEDGES = 5, 12
"""Fewer wedges stand up in corners, more leave too many stitches to draw together (chosen)."""

LAST_CLOSE = 5
"""One in so many decrease rounds, the last of them, follow each other without a plain one (chosen; that the last come
closer is common practice)."""


@dataclass(frozen=True)
class CrownRound:
    """One decrease round (or row): its ``number`` in the crown, from 1; the stitches of a wedge ``before`` it; all
    stitches ``after``; ``edges`` of them belong to the seam."""

    number: int
    before: int
    after: int
    wedges: int
    edges: int = 0

    def words(self) -> str:
        """Return the round as a pattern says it."""
        return f"{self.way()}. [{self.after} sts]"

    def way(self) -> str:
        """Return what is done in it, without the count."""
        step = f"k{self.before - 2}, k2tog" if self.before > 2 else "k2tog"
        lead, last = self.edges // 2, self.edges - self.edges // 2
        start, end = f"k{lead}, " if lead else "", f"last {last} sts, k{last}" if last > 1 else "last st, k1"
        return f"{start}*{step}; rep from * to {end if last else 'end'}"


@dataclass(frozen=True)
class Crown:
    """A crown over ``stitches``, of which ``edges`` belong to the seam, in so many ``wedges``.

    ``first`` is a plain round that leads from the chart to a count that has whole wedges, where the chart's has none.
    ``rounds`` are the decrease rounds; the others are plain. What the last leaves is drawn together.
    """

    stitches: int
    wedges: int
    first: Spread | None
    rounds: tuple[CrownRound, ...]
    edges: int = 0

    @property
    def wedge(self) -> int:
        """Stitches of a wedge."""
        return (self.stitches - self.edges) // self.wedges

    @property
    def left(self) -> int:
        """Stitches to draw the yarn through."""
        return self.rounds[-1].after


def crown_of(
    repeat: int,
    repeats: int,
    *,
    squareness: float,
    edges: int = 0,
    flat: bool = False,
    every: int | None = None,
    alike: int | None = None,
) -> Crown | None:
    """Return the crown over ``repeats`` of a chart of ``repeat`` stitches; None where too few are left for one.

    ``squareness``: width of a stitch over height of a row. Wedges are whole repeats or whole parts of one, as near 8 as
    can be; failing that, one plain round leads to a multiple of 8. Each decrease round takes one stitch of every wedge,
    down to one. ``every``: one round in so many decreases, in place of what closes flat. ``alike``: so many wedges,
    if they fit.
    """
    chart = repeat * repeats
    fitting = fitting_wedges(repeat, repeats)
    if alike in fitting:
        fitting = [alike]
    if fitting:
        wedges, start = min(fitting, key=lambda one: (abs(one - USUAL_WEDGES), one != repeats)), chart
    else:
        wedges, start = USUAL_WEDGES, chart - chart % USUAL_WEDGES
        if start < 2 * USUAL_WEDGES:
            return None
    first = spread(chart + edges, start + edges, flat=flat) if start < chart else None
    decreases = start // wedges - 1
    if every is not None:
        apart = every + every % 2 if flat else every  # on right-side rows
        number_k = [apart * turn + 1 for turn in range(decreases)]
    else:
        number_k = _flat_rows(decreases) if flat else _round_numbers(start, wedges, squareness)
    rounds = []
    for turn, number in enumerate(number_k):
        before = start // wedges - turn
        rounds.append(CrownRound(number, before, (before - 1) * wedges + edges, wedges, edges))
    return Crown(start + edges, wedges, first, tuple(rounds), edges)


def fitting_wedges(repeat: int, repeats: int) -> list[int]:
    """Return how many wedges there may be over so many ``repeats``, whole repeats or whole parts of one each."""
    return [wedges for wedges in range(FEWEST_WEDGES, MOST_WEDGES + 1) if _fits(repeat * repeats, wedges, repeat)]


def common_wedges(repeat: int, repeats: Iterable[int]) -> int | None:
    """Return how many wedges fit all of these ``repeats``, as near 8 as can be; None where no number fits all."""
    common = set(range(FEWEST_WEDGES, MOST_WEDGES + 1))
    for one in repeats:
        common &= set(fitting_wedges(repeat, one))
    return min(sorted(common), key=lambda wedges: abs(wedges - USUAL_WEDGES), default=None)


def _fits(chart: int, wedges: int, repeat: int) -> bool:
    """Return whether so many wedges are whole and begin where repeats, or whole parts of one, do."""
    wedge, rest = divmod(chart, wedges)
    return rest == 0 and wedge >= 2 and (wedge % repeat == 0 or repeat % wedge == 0)


def _round_numbers(stitches: int, wedges: int, squareness: float) -> list[int]:
    """Return which rounds decrease: plain ones between them, but for the last, which come closer together.

    A crown that closes flat is as high as its radius, circumference / (2 pi) (derived). With 8 wedges that makes about
    a decrease every other round and, towards the end, in every round, as is common practice.
    """
    decreases = stitches // wedges - 1
    plain = max(0, round(stitches * squareness / (2.0 * pi)) - decreases)
    apart = decreases - decreases // LAST_CLOSE
    each, more = divmod(plain, apart)
    return list(accumulate(1 + each + (turn < more) if turn < apart else 1 for turn in range(decreases)))


def _flat_rows(decreases: int) -> list[int]:
    """Return which rows decrease, worked flat: every right-side row (common practice)."""
    return [2 * turn + 1 for turn in range(decreases)]
