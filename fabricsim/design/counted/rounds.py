"""The rows of a piece as a knitter works them: runs of one yarn, what repeats in a row, which rows are alike."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from fabricsim.design.floats.of_scene import floats
from fabricsim.design.scene.made import TAKES, Made
from fabricsim.design.scene.model import Scene


class Stitch(NamedTuple):
    """The ``yarn`` of a stitch, the yarns ``caught`` behind it, and what it is ``made`` by."""

    yarn: int
    caught: tuple[int, ...] = ()
    made: Made = "k"


LEAST_APART = 3
"""Repeats side by side from which one at an end may be told apart: two of those between are told once."""
WORTH_A_STAR = 0.5
"""Share of a row that its repeats must make to be told once (chosen: shorter ones only break the row up)."""


@dataclass(frozen=True)
class Run:
    """So many ``stitches`` of one yarn, ``made`` alike, plain ones being k on both sides. ``caught``: (stitch of the
    run, counted from 1; yarn caught behind it)."""

    yarn: int
    stitches: int
    caught: tuple[tuple[int, int], ...] = ()
    made: Made = "k"

    @property
    def takes(self) -> int:
        """How many stitches of the row below it takes up."""
        return self.stitches * TAKES[self.made]


@dataclass(frozen=True)
class Line:
    """A row in the order of its knitting: ``before``, then ``again`` so many ``times``, then ``after``.

    Where ``again`` is a repeat of the chart, runs end with it, so that one may be followed by another of its own yarn.
    """

    before: tuple[Run, ...]
    again: tuple[Run, ...] = ()
    times: int = 0
    after: tuple[Run, ...] = ()

    @property
    def runs(self) -> tuple[Run, ...]:
        """All its runs, one after the other."""
        return (*self.before, *self.again * self.times, *self.after)

    @property
    def stitches(self) -> int:
        """How many stitches it makes."""
        return sum(run.stitches for run in self.runs)

    @property
    def plain_yarn(self) -> int | None:
        """The yarn that makes all of it with nothing to catch, if there is one."""
        alone = len(self.runs) == 1 and not self.before[0].caught and self.before[0].made == "k"
        return self.before[0].yarn if alone else None


@dataclass(frozen=True)
class WorkedRow:
    """One row, 0 at the bottom. ``wrong_side``: worked left to right and purled, as every other row worked flat is."""

    row: int
    wrong_side: bool
    line: Line


@dataclass(frozen=True)
class Passage:
    """Rows told at once, in their order.

    They are alike, all of one yarn (flat, both sides among them), or (``like``) they are worked as the rows from that
    one on.
    """

    rows: tuple[WorkedRow, ...]
    like: int | None = None


def worked_rows(scene: Scene, edges: tuple[int, int] = (0, 0)) -> tuple[WorkedRow, ...]:
    """Return every row of the piece, from the bottom up, as it is worked.

    In the round every row is read right to left and knitted; flat, wrong-side rows (the second, fourth and so on) are
    read left to right and purled. Catches are those that hold a float of the piece: where none passes, none is told.
    ``edges``: stitches at the right and at the left that go into a seam, each in the yarn of the stitch beside it. A
    steek's are worked before and after those of the chart.
    """
    yarn_ij, (steek_right, steek_left) = scene.knitted_rows(), scene.beside
    (right, left), wide = edges, scene.stitches_per_repeat
    lines = scene.shaped_lines()
    caught: dict[tuple[int, int], list[int]] = {}
    for one in floats(scene):
        if one.caught_end:
            caught.setdefault((one.end_row, one.end), []).append(one.yarn)
    behind = {place: tuple(sorted(yarns)) for place, yarns in caught.items()}
    line_of: dict[tuple[tuple[Stitch, ...], ...], Line] = {}
    made = []
    for row, yarn_j in enumerate(yarn_ij):
        wrong_side = scene.worked == "flat" and row % 2 == 1
        columns = range(len(yarn_j)) if wrong_side else range(len(yarn_j) - 1, -1, -1)
        stitches = [Stitch(yarn_j[column], behind.get((row, column), ())) for column in columns]
        if lines is not None and not wrong_side:  # on wrong sides nothing is shaped
            stitches = [Stitch(*one[:2], how) for one, how in zip(stitches, lines[row].made, strict=True)]
        begins, ends = (left, right) if wrong_side else (right, left)
        before, after = [Stitch(stitches[0].yarn)] * begins, [Stitch(stitches[-1].yarn)] * ends
        if scene.steek is not None:
            end = len(stitches) - steek_left
            before, stitches, after = stitches[:steek_right], stitches[steek_right:end], stitches[end:]
        parts = (tuple(before), tuple(stitches), tuple(after))
        if parts not in line_of:
            told = in_repeats(*parts, wide)
            line_of[parts] = told or folded(runs_of([*before, *stitches, *after]), wide)
        made.append(WorkedRow(row, wrong_side, line_of[parts]))
    return tuple(made)


def runs_of(stitches: Sequence[Stitch]) -> tuple[Run, ...]:
    """Return the runs of a row given stitch by stitch."""
    made = []
    for (yarn, how), group in groupby(stitches, key=lambda stitch: (stitch.yarn, stitch.made)):
        behind = [one.caught for one in group]
        caught = tuple((at, each) for at, held in enumerate(behind, start=1) for each in held)
        made.append(Run(yarn, len(behind), caught, how))
    return tuple(made)


def in_repeats(before: Sequence[Stitch], stitches: Sequence[Stitch], after: Sequence[Stitch], wide: int) -> Line | None:
    """Return a row told by the repeat of the chart, ``wide`` stitches, so that markers at the repeats serve; or None.

    ``before`` and ``after`` go into a seam. Where a part of the repeat makes all of it, that part is told; where only
    the first or the last repeat differs, as where rounds join, it is told apart. None for a row of one yarn alone, and
    where repeats differ otherwise.
    """
    if len({(one.yarn, one.made) for one in stitches}) == 1 and not any(one.caught for one in stitches):
        return None
    for part in (one for one in range(1, wide + 1) if wide % one == 0 and 2 * one <= len(stitches)):
        times = len(stitches) // part
        if list(stitches) == list(stitches[:part]) * times:
            return Line(runs_of(before), runs_of(stitches[:part]), times, runs_of(after))
    if len(stitches) % wide or any(one.made != "k" for one in stitches):
        return None
    blocks = [list(stitches[at : at + wide]) for at in range(0, len(stitches), wide)]
    if len(blocks) < LEAST_APART or any(one != blocks[1] for one in blocks[1:-1]):
        return None
    first, last = int(blocks[0] != blocks[1]), len(blocks) - int(blocks[-1] != blocks[1])
    if last - first == 1:
        return None
    return Line(
        runs_of([*before, *(one for block in blocks[:first] for one in block)]),
        runs_of(blocks[1]),
        last - first,
        runs_of([*(one for block in blocks[last:] for one in block), *after]),
    )


def folded(runs: tuple[Run, ...], longest: int) -> Line:
    """Return ``runs`` written with the fewest runs: a part of at most ``longest`` of them, if any, told once for all.

    Of equally short ways the one with the shortest part that repeats, and of those the one that begins it first.
    Repeats that make less than ``WORTH_A_STAR`` of the stitches are written out.
    """
    best, least = Line(runs), len(runs)
    stitches = sum(run.stitches for run in runs)
    for part in range(2, min(len(runs) // 2, longest) + 1):
        for first, alike in _alike(runs, part):
            times, spare = divmod(alike + part, part)
            written = len(runs) - (times - 1) * part
            if written >= least:
                continue
            for start in range(first, first + spare + 1):
                end = start + times * part
                if sum(run.stitches for run in runs[start:end]) >= WORTH_A_STAR * stitches:
                    best, least = Line(runs[:start], runs[start : start + part], times, runs[end:]), written
                    break
    return best


def passages(scene: Scene, rows: Sequence[WorkedRow]) -> tuple[Passage, ...]:
    """Return ``rows`` in passages: a repeat of the whole chart that is worked as one before it is only named so."""
    like = _repeats_alike(scene, rows)
    made: list[list[WorkedRow]] = []
    for one in rows:
        before = made[-1][-1] if made else None
        if before is not None and _go_together(before, one, like):
            made[-1].append(one)
        else:
            made.append([one])
    return tuple(Passage(tuple(group), like.get(group[0].row)) for group in made)


def _alike(runs: Sequence[Run], part: int) -> Iterator[tuple[int, int]]:
    """Yield where each stretch begins in which every run equals the one ``part`` further on, and its length, where that
    makes a part come twice."""
    start = 0
    for at in range(len(runs) - part + 1):
        if at < len(runs) - part and runs[at] == runs[at + part]:
            continue
        if at - start >= part:
            yield start, at - start
        start = at + 1


def _repeats_alike(scene: Scene, rows: Sequence[WorkedRow]) -> dict[int, int]:
    """Return, for the rows of repeats of the chart that are told like an earlier one, the row told in their place."""
    tall, below = len(scene.chart_rows()), scene.chart.plain_below
    told: list[int] = []
    like: dict[int, int] = {}
    motif = rows[below : below + tall]
    if all(one.line == motif[0].line for one in motif):
        return like  # told at once anyway
    for number in range(scene.chart.up):
        first = below + number * tall
        same = next((one for one in told if all(_same(rows[one + up], rows[first + up]) for up in range(tall))), None)
        if same is None:
            told.append(first)
        else:
            like.update({first + up: same + up for up in range(tall)})
    return like


def _same(one: WorkedRow, other: WorkedRow) -> bool:
    return one.line == other.line and one.wrong_side == other.wrong_side


def _go_together(before: WorkedRow, one: WorkedRow, like: dict[int, int]) -> bool:
    """Return whether ``one`` is told in one passage with the row before it."""
    if before.row in like or one.row in like:
        return before.row in like and like.get(one.row) == like[before.row] + 1
    return one.line == before.line and (one.wrong_side == before.wrong_side or one.line.plain_yarn is not None)
