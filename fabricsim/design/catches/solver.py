"""The fewest catches, and of all such plans the best placed one, by integer programs.

Every stretch of ``most`` + 1 squares of an open run must hold a catch. The squares of a stretch are neighbours, so that
the linear programs are all but whole-numbered, and ``integer_program`` soon proves its answers to be best.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from time import monotonic
from typing import TYPE_CHECKING, NamedTuple

from fabricsim.design.catches.costs import TWO_ROWS, Pair, pairs, two_rows
from fabricsim.design.catches.integer_program import LeastCost, Rules, minimum
from fabricsim.design.rows.squares import Layout, Square

if TYPE_CHECKING:
    from fabricsim.arrays import Floats

FOR_STACKED, FOR_NEAR, FOR_FIRST = 0.4, 0.3, 0.6
"""Shares of the time left: for the fewest stacked; for the best plan, if it is easily had; else for a first plan
(chosen, so that each has an answer when a hard chart uses up its time)."""
Run = tuple[Square, ...]
"""The squares of an open stretch of a float, one after the other."""


@dataclass(frozen=True)
class Problem:
    """Open ``runs``, each of more than ``most`` squares; the squares ``listed`` as caught, which no run passes; the
    cost of every square passed."""

    runs: Sequence[Run]
    most: int
    listed: frozenset[Square]
    cost_of: Mapping[Square, float]
    rows: int
    layout: Layout


class Solution(NamedTuple):
    """The ``squares`` to catch, and whether their number, and their places, are proven to be best."""

    squares: frozenset[Square]
    fewest_proven: bool
    places_proven: bool


class _Group(NamedTuple):
    """``squares`` of which exactly so many are caught."""

    squares: Sequence[Square]
    catches: int


def solve(problem: Problem, seconds: float) -> Solution:
    """Return the fewest catches, of those plans one with the fewest stacked, of those the one that costs least.

    When the ``seconds`` are up, what was found by then, said not to be proven.
    """
    end = monotonic() + seconds
    groups, enough, fewest = _fewest(problem, end)
    squares, best = _placed(problem, groups, enough, end)
    return Solution(squares, fewest, fewest and best)


# ---- how many ------------------------------------------------------------------------------------


def _fewest(problem: Problem, end: float) -> tuple[list[_Group], frozenset[Square], bool]:
    """Return how many catches there are in which squares, squares that are enough, and whether fewer can't be.

    A run alone needs one in each of its ``intervals``. Runs that share squares, of three colours or across the ends of
    rows, are counted by an integer program.
    """
    alone, together = _parted(problem.runs)
    groups = [
        _Group([run[step - 1] for step in steps], 1) for run in alone for steps in intervals(len(run), problem.most)
    ]
    enough = {group.squares[-1] for group in groups}
    if not together:
        return groups, frozenset(enough), True
    index = _index(square for runs in together for run in runs for square in run)
    rules = Rules()
    for stretch in _stretches([run for runs in together for run in runs], problem.most):
        rules.add({index[square]: 1.0 for square in stretch}, 1.0)
    done = minimum([1.0] * len(index), len(index), rules, end)
    found = done.values
    if found is None:  # in time
        caught = _cover([run for runs in together for run in runs], problem.most)
    else:
        caught = {square for square, number in index.items() if found[number] > 0.5}
    for runs in together:
        squares = sorted({square for run in runs for square in run})
        groups.append(_Group(squares, len(caught.intersection(squares))))
    return groups, frozenset(enough | caught), done.proven


def intervals(gap: int, most: int) -> list[range]:
    """Return where each of the fewest catches of a ``gap`` may lie, in steps from 1 (derived).

    With k catches gap - k stitches stay open, in k + 1 stretches of at most ``most``: so k = floor(gap / (most + 1)).
    The n-th lies at most n stretches and its own stitch from the start, and likewise from the end.
    """
    catches = gap // (most + 1)
    spare = (catches + 1) * (most + 1) - (gap + 1)
    return [range(nth * (most + 1) - spare, nth * (most + 1) + 1) for nth in range(1, catches + 1)]


def _parted(runs: Sequence[Run]) -> tuple[list[Run], list[list[Run]]]:
    """Return the runs that share no square with another, and the others in groups that hang together."""
    import numpy as np
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    first: dict[Square, int] = {}
    link_l2 = np.array([(first.setdefault(square, r), r) for r, run in enumerate(runs) for square in run])
    graph = coo_array((np.ones(len(link_l2)), (link_l2[:, 0], link_l2[:, 1])), shape=(len(runs), len(runs)))
    count, part_r = connected_components(graph, directed=False)
    parts: list[list[Run]] = [[] for _ in range(count)]
    for part, run in zip(part_r.tolist(), runs, strict=True):
        parts[part].append(run)
    return [part[0] for part in parts if len(part) == 1], [part for part in parts if len(part) > 1]


def _stretches(runs: Sequence[Run], most: int) -> list[Run]:
    """Return every stretch of ``most`` + 1 squares of the runs, once: it must hold a catch."""
    return sorted({run[start : start + most + 1] for run in runs for start in range(len(run) - most)})


def _cover(runs: Sequence[Run], most: int) -> set[Square]:
    """Return squares that are enough, if not the fewest: wherever a run would stay open for too long."""
    caught: set[Square] = set()
    for run in runs:
        since = 0
        for square in run:
            since = 0 if square in caught else since + 1
            if since > most:
                caught.add(square)
                since = 0
    return caught


def _index(squares: Iterable[Square]) -> dict[Square, int]:
    """Return the variable that stands for each of the ``squares``."""
    return {square: number for number, square in enumerate(sorted(set(squares)))}


# ---- where ---------------------------------------------------------------------------------------


class _Places:
    """Where catches may go once their number is settled, and the rules that hold for any plan.

    ``near``: squares of which one lies on the other, ``far``: two rows apart, of both of which a plan may choose at
    least one. ``stacked_x``, ``cost_x``: how many listed catches a square lies on or under, and what it costs.
    """

    def __init__(self, problem: Problem, groups: Sequence[_Group]) -> None:
        self.rows = problem.rows
        self.index = index = _index(square for group in groups for square in group.squares)
        self.rules = Rules()
        for group in groups:
            self.rules.add({index[square]: 1.0 for square in group.squares}, group.catches, group.catches)
        for stretch in _stretches(problem.runs, problem.most):
            self.rules.add({index[square]: 1.0 for square in stretch if square in index}, 1.0)
        settled = {square for group in groups if len(group.squares) == group.catches for square in group.squares}
        places = {*index, *problem.listed}
        self.cost_x = [problem.cost_of[square] for square in index]
        self.stacked_x = [0.0] * len(index)
        self.near = list(_chosen(pairs(places, 1, problem.rows, problem.layout), index, settled, self.stacked_x, 1.0))
        far = two_rows(places, problem.listed, problem.rows, problem.layout)
        self.far = list(_chosen(far, index, set(), self.cost_x, TWO_ROWS))


def _chosen(
    found: Iterable[Pair], index: Mapping[Square, int], settled: Collection[Square], cost_x: list[float], weight: float
) -> Iterator[Pair]:
    """Yield the pairs of which both squares may be chosen or not; what rests with one of them goes to its cost."""
    for low, high in found:
        free = [square for square in (low, high) if square in index and square not in settled]
        if low == high or not free:
            continue
        if low in index and high in index:
            yield low, high
        else:
            cost_x[index[free[0]]] += weight


def _placed(
    problem: Problem, groups: Sequence[_Group], enough: frozenset[Square], end: float
) -> tuple[frozenset[Square], bool]:
    """Return the best places for so many catches in each group, and whether they are proven to be best; in need
    those that are ``enough``."""
    places = _Places(problem, groups)
    few, fewest = _fewest_stacked(places, _by(end, FOR_STACKED))
    if few is None:
        return enough, False
    index, caught_x = places.index, few[: len(places.index)] > 0.5
    stacks = {(low, high) for low, high in places.near if caught_x[index[low]] and caught_x[index[high]]}
    under = {number for number, stacked in enumerate(places.stacked_x) if stacked and caught_x[number]}
    if not stacks and not under:
        best, _, proven = _cheapest(places, (), (), end)
    else:
        best, proven = _cheapest_stacked(places, stacks, under, end)
    best = few if best is None else best
    return frozenset(square for square, number in index.items() if best[number] > 0.5), fewest and proven


def _cheapest_stacked(
    places: _Places, stacks: Collection[Pair], under: Collection[int], end: float
) -> tuple[Floats | None, bool]:
    """Return the plan that costs least of those with no more stacked than these, and whether that is proven."""
    most = len(stacks) + sum(places.stacked_x[number] for number in under)
    anywhere = set(places.near), set(places.index.values())
    near = _cheapest(places, *anywhere, _by(end, FOR_NEAR), most=most, near=True)
    if near.proven:
        return near.values, True
    # where it lies far from its linear program, a plan with the stacked ones where they are tells how far to look
    first = _cheapest(places, stacks, under, _by(end, FOR_FIRST))
    last = _cheapest(places, *anywhere, end, most=most, ceiling=first.cost)
    found = [one for one in (near, first, last) if one.cost is not None]
    return min(found, key=lambda one: one.cost or 0.0).values if found else None, last.proven


def _by(end: float, share: float) -> float:
    """Return when this share of the time up to ``end`` is over."""
    now = monotonic()
    return now + share * (end - now)


def _fewest_stacked(places: _Places, end: float) -> tuple[Floats | None, bool]:
    """Return a plan with the fewest catches stacked, and whether it is proven that fewer can't be."""
    rules, cost = places.rules.copy(), list(places.stacked_x)
    for low, high in places.near:
        rules.add({places.index[low]: 1.0, places.index[high]: 1.0, len(cost): -1.0}, None, 1.0)
        cost.append(1.0)
    done = minimum(cost, len(places.index), rules, end)
    return done.values, done.proven


def _cheapest(
    places: _Places,
    stacks: Collection[Pair],
    under: Collection[int],
    end: float,
    *,
    most: float | None = None,
    ceiling: float | None = None,
    near: bool = False,
) -> LeastCost:
    """Return the plan that costs least.

    Only these ``stacks`` may both be caught, only these squares ``under`` or on a listed catch, no more than ``most``
    of them in all; ``ceiling`` and ``near`` as in ``minimum``.
    """
    index, rules, cost = places.index, places.rules.copy(), list(places.cost_x)
    both: dict[Pair, dict[int, float]] = {}
    for low, high in places.near:
        both[low, high] = {len(cost): -1.0} if (low, high) in stacks else {}
        rules.add({index[low]: 1.0, index[high]: 1.0, **both[low, high]}, None, 1.0)
        cost.extend(0.0 for _ in both[low, high])
    for number, stacked in enumerate(places.stacked_x):
        if stacked and number not in under:
            rules.add({number: 1.0}, None, 0.0)
    if most is not None:
        counted = {number: stacked for number, stacked in enumerate(places.stacked_x) if stacked}
        rules.add({**counted, **{number: 1.0 for one in both.values() for number in one}}, None, most)
    for low, high in places.far:
        weight_of = {index[low]: 1.0, index[high]: 1.0, len(cost): -1.0}
        middle = (low[0] + 1) % places.rows, low[1]
        rules.add(weight_of, None, 1.0)
        if (low, middle) in both and (middle, high) in both:
            # implied, but not by the linear program: of three in a column one is caught, unless more are paid for
            paid = {**both[low, middle], **both[middle, high]}
            rules.add({**weight_of, index[middle]: 1.0, **paid}, None, 1.0)
        cost.append(TWO_ROWS)
    return minimum(cost, len(index), rules, end, ceiling=ceiling, near=near)
