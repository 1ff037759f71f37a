"""What the server tells of the fabric: counted, at rest, and what might be done about it."""

from __future__ import annotations

from typing import Literal

from fabricsim.design.counted.difficulty import Level
from fabricsim.table.messages.base import Pair, Told


class ToldFloat(Told):
    """A float of the chart, once for all repeats: it passes behind ``gap`` stitches, ``cm``; ``row``, ``column``: of
    the first of them from the left, the others to its right, over the edge of the repeat if need be (``edge``);
    ``over``: past a limit."""

    row: int
    column: int
    gap: int
    cm: float
    yarn: int
    edge: bool
    over: bool


class TellCounts(Told):
    """What follows by counting, at once. ``difficulty``: how hard it is to knit evenly, and how hard is each of what
    makes it so, as ``difficulty`` says it. ``count``, ``over``: floats of the whole piece, and how many pass a limit;
    ``repeat``: those of one repeat of the chart. ``planned``: the squares of the chart, row and column, behind which
    planned catches are made, beside those that the scene lists."""

    kind: Literal["counts"] = "counts"
    revision: int
    count: int
    over: int
    longest_gap: int
    longest_cm: float
    repeat: tuple[ToldFloat, ...]
    planned: tuple[tuple[int, int], ...]
    difficulty: Level
    difficulties: dict[str, Level]


class RowSaid(Told):
    """Width of a row of the piece, from the bottom."""

    row: int
    width_cm: float
    loss_percent: float


class FloatSaid(Told):
    """A float of the piece that pulls: where in the piece its middle lies."""

    row: int
    column: int
    gap: int
    yarn: int
    pull_cN: float


class TellSaid(Told):
    """The numbers of the piece at rest, those of ``preview``.

    ``sure``: "rest" is the proven rest of one usual hand, as ``preview --draft`` has it; "likely" is the whole
    forecast, as ``preview`` has it, with its ranges. ``words``: the lines of ``preview``; ``advice``: its sentences.
    """

    kind: Literal["said"] = "said"
    revision: int
    which: Literal["first", "second"] = "first"
    sure: Literal["rest", "likely"]
    width_cm: float
    plain_cm: float
    loss_percent: float
    likely_loss_percent: Pair | None
    likely_width_cm: Pair | None
    height_percent: float
    pucker_mm: float
    likely_pucker_mm: Pair | None
    pucker_word: str
    floats: int
    over: int
    taut: int
    greatest_cN: float
    rows: tuple[RowSaid, ...]
    hardest: tuple[FloatSaid, ...]
    words: tuple[str, ...]
    advice: tuple[str, ...]


class TellWorking(Told):
    """What is being worked on for a revision; ``share`` from 0 to 1 if that is known."""

    kind: Literal["working"] = "working"
    revision: int
    on: Literal["look", "rest", "likely", "advice", "loosen", "idle"]
    step: int = 0
    share: float | None = None


class Suggestion(Told):
    """A change that may be tried: ``count`` catches, stitches or repeats more, at ``places`` (row, column) of the
    chart, or another ``slack``. Before and after it: floats over a limit, width lost, pucker; null until known."""

    id: str
    what: Literal["catch", "stitch", "loosen", "repeat"]
    count: int = 0
    places: tuple[tuple[int, int], ...] = ()
    slack: float | None = None
    over_before: int
    over_after: int
    loss_percent_before: float | None = None
    loss_percent_after: float | None = None
    pucker_mm_before: float | None = None
    pucker_mm_after: float | None = None


class TellAdvice(Told):
    """What to do about the piece as it lies."""

    kind: Literal["to do"] = "to do"
    revision: int
    each: tuple[Suggestion, ...]


class Tried(Told):
    """A state that came to rest: by what ``change`` it came about, from which state ``before``, and what came of
    it; its ``chart``, bottom row first, null if it is a large one, and the ``colours`` of its yarns."""

    id: int
    before: int | None
    change: str
    loss_percent: float
    pucker_mm: float
    over: int
    slack: float
    chart: tuple[tuple[int, ...], ...] | None
    colours: tuple[str, ...]


class TellTries(Told):
    """All states that came to rest, in the order in which they did; ``now`` is on the table, ``second`` beside it."""

    kind: Literal["tries"] = "tries"
    now: int
    second: int | None
    each: tuple[Tried, ...]
