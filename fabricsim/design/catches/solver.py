"""The fewest catches, and of all such plans the best placed one, by integer programs.

Every stretch of ``most`` + 1 squares of an open run must hold a catch. The squares of a stretch are neighbours, so that
the linear programs are all but whole-numbered, and ``integer_program`` mostly soon proves its answers to be best. From
the first count on there always is a plan; each program looks for a better one only, and says how much better one
could be at most.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from time import monotonic
from typing import NamedTuple

from fabricsim.design.catches.costs import TWO_ROWS, Ground, Pair, Run
from fabricsim.design.catches.integer_program import WHOLE, LeastCost, Rules, minimum
from fabricsim.design.catches.settling import settled
from fabricsim.design.rows.squares import Hold

FOR_COUNT, FOR_CLASHES = 0.3, 0.5
"""Shares of the time left: for the fewest, for the fewest that lie badly; the best places have the rest (chosen)."""


@dataclass(frozen=True)
class Problem:
    """Open ``runs``, each of more than ``most`` squares; the catches ``listed``, which no run passes; the cost of
    every catch that there could be; where they would lie."""

    runs: Sequence[Run]
    most: int
    listed: frozenset[Hold]
    cost_of: Mapping[Hold, float]
    ground: Ground

    def clashes(self, plan: Collection[Hold]) -> int:
        """Return how many two of a plan's catches are stacked or side by side, those aside that are both listed."""
        listed = self.listed
        return sum(low not in listed or high not in listed for low, high in self.ground.clashes({*plan, *listed}))


class Solution(NamedTuple):
    """The catches of a plan. ``fewer``: how many fewer there could be at most, counted as often as they are made;
    ``clashes_fewer``: how many fewer stacked or side by side; ``cheaper``: by what share better placed."""

    holds: frozenset[Hold]
    fewer: int
    clashes_fewer: int
    cheaper: float


class _Group(NamedTuple):
    """Catches of which those chosen are ``made`` exactly so often."""

    holds: Sequence[Hold]
    made: int


def solve(problem: Problem, seconds: float) -> Solution:
    """Return the fewest catches, of those plans one with the fewest stacked and side by side, of those the one that
    costs least; when the ``seconds`` are up, the best that was found by then."""
    end = monotonic() + seconds
    groups, plan, fewer = _fewest(problem, _by(end, FOR_COUNT))
    places = _Places(problem, groups)
    plan = settled(plan, _stretches(problem.runs, problem.most), places.fixed_cost, places.near, places.far, end)
    plan, clashes_fewer = _fewest_clashes(problem, places, plan, _by(end, FOR_CLASHES))
    plan = settled(plan, _stretches(problem.runs, problem.most), places.fixed_cost, places.near, places.far, end)
    plan, cheaper = _cheapest(places, plan, end)
    return Solution(plan, fewer, clashes_fewer, cheaper)


def _by(end: float, share: float) -> float:
    """Return when this share of the time up to ``end`` is over."""
    now = monotonic()
    return now + share * (end - now)


# ---- how many ------------------------------------------------------------------------------------


def _fewest(problem: Problem, end: float) -> tuple[list[_Group], frozenset[Hold], int]:
    """Return how many catches there are among which, catches that are enough, and how many fewer there could be.

    A run alone needs one in each of its ``intervals``. Runs that share catches, as those over the join of rounds do
    with those of the repeat, are counted by an integer program.
    """
    alone, together = _parted(problem.runs)
    made = problem.ground.made
    groups: list[_Group] = []
    for run in alone:
        for steps in intervals(len(run), problem.most):
            holds = [run[step - 1][0] for step in steps]
            groups.append(_Group(holds, made(holds[0])))
    enough = {group.holds[-1] for group in groups}
    if not together:
        return groups, frozenset(enough), 0
    runs = [run for part in together for run in part]
    index = _index(hold for run in runs for choices in run for hold in choices)
    rules = Rules()
    for stretch in _stretches(runs, problem.most):
        rules.add({index[hold]: 1.0 for hold in stretch}, 1.0)
    caught = _cover(runs, problem.most)
    at_hand = sum(map(made, caught))
    done = minimum([float(made(hold)) for hold in index], len(index), rules, end, ceiling=at_hand)
    if done.values is not None and done.cost is not None and done.cost < at_hand - WHOLE:
        caught = {hold for hold, number in index.items() if done.values[number] > 0.5}
        at_hand = sum(map(made, caught))
    for part in together:
        holds = sorted({hold for run in part for choices in run for hold in choices})
        groups.append(_Group(holds, sum(map(made, caught.intersection(holds)))))
    return groups, frozenset(enough | caught), max(0, at_hand - ceil(min(done.bound, at_hand) - WHOLE))


def intervals(gap: int, most: int) -> list[range]:
    """Return where each of the fewest catches of a ``gap`` may lie, in steps from 1 (derived).

    With k catches gap - k stitches stay open, in k + 1 stretches of at most ``most``: so k = floor(gap / (most + 1)).
    The n-th lies at most n stretches and its own stitch from the start, and likewise from the end.
    """
    catches = gap // (most + 1)
    spare = (catches + 1) * (most + 1) - (gap + 1)
    return [range(nth * (most + 1) - spare, nth * (most + 1) + 1) for nth in range(1, catches + 1)]


def _parted(runs: Sequence[Run]) -> tuple[list[Run], list[list[Run]]]:
    """Return the runs that share no catch with another, and the others in groups that hang together."""
    import numpy as np
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    first: dict[Hold, int] = {}
    links = [(first.setdefault(hold, r), r) for r, run in enumerate(runs) for choices in run for hold in choices]
    link_l2 = np.array(links)
    graph = coo_array((np.ones(len(link_l2)), (link_l2[:, 0], link_l2[:, 1])), shape=(len(runs), len(runs)))
    count, part_r = connected_components(graph, directed=False)
    parts: list[list[Run]] = [[] for _ in range(count)]
    for part, run in zip(part_r.tolist(), runs, strict=True):
        parts[part].append(run)
    return [part[0] for part in parts if len(part) == 1], [part for part in parts if len(part) > 1]


def _stretches(runs: Sequence[Run], most: int) -> list[tuple[Hold, ...]]:
    """Return, for every stretch of ``most`` + 1 squares of the runs, the catches of which it must have one."""
    return sorted(
        {
            tuple(hold for choices in run[start : start + most + 1] for hold in choices)
            for run in runs
            for start in range(len(run) - most)
        }
    )


def _cover(runs: Sequence[Run], most: int) -> set[Hold]:
    """Return catches that are enough, if not the fewest: wherever a run would stay open for too long."""
    caught: set[Hold] = set()
    for run in sorted(runs, key=lambda run: any(len(choices) > 1 for choices in run)):  # those over joins last
        since = 0
        for choices in run:
            since = 0 if caught.intersection(choices) else since + 1
            if since > most:
                caught.add(choices[0])
                since = 0
    return caught


def _index(holds: Iterable[Hold]) -> dict[Hold, int]:
    """Return the variable that stands for each of the ``holds``."""
    return {hold: number for number, hold in enumerate(sorted(set(holds)))}


# ---- where ---------------------------------------------------------------------------------------


class _Places:
    """Where catches may go once their number is settled, and the rules that hold for any plan.

    ``near``: catches that would clash, ``far``: two rows apart, of both of which a plan may choose at least one.
    ``fixed_cost``: with how many listed ones each clashes, and what it costs whatever else is chosen. ``least``: what
    any plan costs, at the best places that there are.
    """

    def __init__(self, problem: Problem, groups: Sequence[_Group]) -> None:
        self.index = index = _index(hold for group in groups for hold in group.holds)
        self.rules = Rules()
        made = problem.ground.made
        for group in groups:
            self.rules.add({index[hold]: float(made(hold)) for hold in group.holds}, group.made, group.made)
        for stretch in _stretches(problem.runs, problem.most):
            self.rules.add({index[hold]: 1.0 for hold in stretch if hold in index}, 1.0)
        places = {*index, *problem.listed}
        ground = problem.ground
        clash, cost = dict.fromkeys(index, 0.0), {hold: problem.cost_of[hold] for hold in index}
        self.near = list(_chosen(ground.clashes(places), index, clash, 1.0))
        self.far = list(_chosen(ground.two_rows(places, problem.listed), index, cost, TWO_ROWS))
        self.fixed_cost = {hold: (clash[hold], cost[hold]) for hold in index}
        self.least = sum(
            min(cost[hold] for hold in group.holds) for group in groups if group.made == made(group.holds[0])
        )

    def plan(self, values: LeastCost) -> frozenset[Hold]:
        """Return the plan that an integer program found."""
        assert values.values is not None
        return frozenset(hold for hold, number in self.index.items() if values.values[number] > 0.5)

    def clashes(self, plan: Collection[Hold]) -> float:
        """Return how many of a plan's catches clash, with each other and with listed ones."""
        return sum(self.fixed_cost[hold][0] for hold in plan) + sum(
            low in plan and high in plan for low, high in self.near
        )

    def cost(self, plan: Collection[Hold]) -> float:
        """Return what a plan costs."""
        return sum(self.fixed_cost[hold][1] for hold in plan) + TWO_ROWS * sum(
            low in plan and high in plan for low, high in self.far
        )


def _chosen(found: Iterable[Pair], index: Mapping[Hold, int], cost: dict[Hold, float], weight: float) -> Iterator[Pair]:
    """Yield the pairs of which both may be chosen or not; what rests with one of them goes to its ``cost``."""
    for low, high in found:
        if low == high:
            continue
        if low in index and high in index:
            yield low, high
        elif low in index or high in index:
            cost[low if low in index else high] += weight


def _fewest_clashes(
    problem: Problem, places: _Places, plan: frozenset[Hold], end: float
) -> tuple[frozenset[Hold], int]:
    """Return a plan with the fewest catches that clash, no more than in ``plan``, and how many fewer there could be."""
    at_hand = places.clashes(plan)
    if at_hand == 0:
        return plan, 0
    index, rules = places.index, places.rules.copy()
    cost = [places.fixed_cost[hold][0] for hold in index]
    for low, high in places.near:
        rules.add({index[low]: 1.0, index[high]: 1.0, len(cost): -1.0}, None, 1.0)
        cost.append(1.0)
    done = minimum(cost, len(index), rules, end, ceiling=at_hand)
    if done.values is not None and places.clashes(places.plan(done)) < at_hand:
        plan = places.plan(done)
        at_hand = places.clashes(plan)
    return plan, max(0, round(at_hand) - ceil(min(done.bound, at_hand) - WHOLE))


def _cheapest(places: _Places, plan: frozenset[Hold], end: float) -> tuple[frozenset[Hold], float]:
    """Return the plan that costs least of those in which no more clash than in this ``plan``, and by what share less
    one could cost."""
    most, at_hand = places.clashes(plan), places.cost(plan)
    index, rules = places.index, places.rules.copy()
    cost = [places.fixed_cost[hold][1] for hold in index]
    both: dict[Pair, dict[int, float]] = {}
    for low, high in places.near:
        both[low, high] = {len(cost): -1.0} if most else {}
        rules.add({index[low]: 1.0, index[high]: 1.0, **both[low, high]}, None, 1.0)
        cost.extend(0.0 for _ in both[low, high])
    counted = {index[hold]: clash for hold, (clash, _) in places.fixed_cost.items() if clash}
    rules.add({**counted, **{number: 1.0 for one in both.values() for number in one}}, None, most)
    below: dict[Hold, list[Hold]] = {}
    for low, high in places.near:
        below.setdefault(high, []).append(low)
    for low, high in places.far:
        weight_of = {index[low]: 1.0, index[high]: 1.0, len(cost): -1.0}
        rules.add(weight_of, None, 1.0)
        for middle in below.get(high, ()):
            if (low, middle) in both:
                # implied, but not by the linear program: of three in a column one is caught, unless more are paid for
                paid = {**both[low, middle], **both[middle, high]}
                rules.add({**weight_of, index[middle]: 1.0, **paid}, None, 1.0)
        cost.append(TWO_ROWS)
    done = minimum(cost, len(index), rules, end, ceiling=at_hand)
    if done.values is not None and places.cost(places.plan(done)) < at_hand:
        plan = places.plan(done)
        at_hand = places.cost(plan)
    bound = min(max(done.bound, places.least), at_hand)
    cheaper = 1.0 - bound / at_hand if at_hand else 0.0
    return plan, cheaper if cheaper > WHOLE else 0.0
