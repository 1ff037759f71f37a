"""Run many random fabrics side by side and add up what came of them."""

from __future__ import annotations

from collections import Counter
from concurrent.futures import ProcessPoolExecutor

from fabricsim.fabric.relax import TOLERANCE
from tests.campaign.outcome import Outcome, deep_enough_to_count, outcome

AGAIN_EVERY = 25
"""Every so many fabrics one is done twice, to see that the answer is the same to the last bit."""


def main(fabrics: int = 500, first: int = 0) -> int:
    """Run ``fabrics`` of them from seed ``first``; return how many did what none may."""
    seeds = range(first, first + fabrics)
    with ProcessPoolExecutor() as pool:
        found = []
        for one in pool.map(outcome, seeds):
            found.append(one)
            if not one.at_rest or one.crossing:
                print(f"{one.seed} ({one.case}): {one.raised or one.said or f'{one.crossing} crossings'}", flush=True)
        again = list(pool.map(outcome, seeds[::AGAIN_EVERY]))
    differing = [two.seed for one, two in zip(found[::AGAIN_EVERY], again, strict=True) if one != two]
    return tell(found, differing)


def tell(found: list[Outcome], differing: list[int]) -> int:
    """Print the sums; return how many fabrics raised, crossed themselves or came out differently twice."""
    rest = [one for one in found if one.at_rest]
    for case in sorted({one.case for one in found}):
        of_case = [one for one in rest if one.case == case]
        print(f"{case}: {len(of_case)} of {sum(one.case == case for one in found)} at rest")
    print(f"at rest: {len(rest)} of {len(found)}, {100 * len(rest) / len(found):.1f} %")
    print(f"by parts of the slack let in: {dict(Counter(one.ramp_parts for one in rest))}")
    print(f"largest force left: {max(one.residual for one in rest):.1e} of the scale (at most {TOLERANCE:g})")
    print(
        f"steps: {sum(one.steps for one in rest) / len(rest):.1f} on average, {max(one.steps for one in rest)} at most"
    )
    print(f"with floats on the back: {sum(one.pressing > 0 for one in rest)}")
    print(f"cut into by a straight float: {sum(map(deep_enough_to_count, rest))}")
    print(f"folded onto themselves: {sum(one.touching > 0 for one in rest)}")
    print(f"passing through themselves: {sum(one.crossing > 0 for one in rest)}")
    print(f"raised: {sum(bool(one.raised) for one in found)}; another answer the second time: {differing or 'none'}")
    return sum(bool(one.raised) or one.crossing > 0 for one in found) + len(differing)
