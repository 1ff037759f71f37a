"""A plan of catches made better one catch at a time: no proof, but an answer at once, for the programs to better."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from time import monotonic

from fabricsim.design.catches.costs import TWO_ROWS, Pair
from fabricsim.design.rows.squares import Hold

WORTH = 1e-9
"""The least by which a move must be better (rounding isn't)."""


def settled(
    plan: Collection[Hold],
    stretches: Sequence[tuple[Hold, ...]],
    fixed_cost: Mapping[Hold, tuple[float, float]],
    near: Sequence[Pair],
    far: Sequence[Pair],
    end: float,
) -> frozenset[Hold]:
    """Return a ``plan`` after moving its catches, each to the best place that it can have, until none gets better by it
    or the time is up at ``end``.

    Each of the ``stretches`` keeps a catch, and their number stays. Better is: fewer of them ``near`` each other (the
    first of ``fixed_cost`` counts likewise), and if as many are, a lower cost (its second, and ``TWO_ROWS`` for those
    ``far``).
    """
    chosen = {hold for hold in plan if hold in fixed_cost}
    within: dict[Hold, list[int]] = {}
    for number, stretch in enumerate(stretches):
        for hold in stretch:
            within.setdefault(hold, []).append(number)
    have = [sum(hold in chosen for hold in stretch) for stretch in stretches]
    beside, apart = _others(near), _others(far)

    def score(hold: Hold) -> tuple[float, float]:
        clash, cost = fixed_cost[hold]
        return (
            clash + sum(other in chosen for other in beside.get(hold, ())),
            cost + TWO_ROWS * sum(other in chosen for other in apart.get(hold, ())),
        )

    moved = True
    while moved and monotonic() < end:
        moved = False
        for hold in sorted(chosen):
            chosen.discard(hold)
            needed = [number for number in within[hold] if have[number] == 1]
            free = {other for number in needed or within[hold] for other in stretches[number]}
            best, least = hold, score(hold)
            for other in sorted(free - chosen):
                fits = other in fixed_cost and other.repeat == hold.repeat and set(needed) <= set(within[other])
                if fits and (mine := score(other)) < (least[0], least[1] - WORTH):
                    best, least = other, mine
            chosen.add(best)
            if best != hold:
                moved = True
                for number in within[hold]:
                    have[number] -= 1
                for number in within[best]:
                    have[number] += 1
    return frozenset(chosen)


def _others(pairs: Sequence[Pair]) -> dict[Hold, list[Hold]]:
    """Return for each catch those that it makes a pair with."""
    found: dict[Hold, list[Hold]] = {}
    for low, high in pairs:
        found.setdefault(low, []).append(high)
        found.setdefault(high, []).append(low)
    return found
