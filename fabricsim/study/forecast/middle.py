"""How the piece that is shown comes to draw in as the middle of all pieces."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import widths
from fabricsim.fabric.relax import Progress
from fabricsim.fabric.setup import Fabric
from fabricsim.study.hands.bench import at_rest
from fabricsim.study.hands.hand import Hand
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import Hands

AS_THE_MIDDLE = 2e-4
"""Share of the width to which the piece that is shown draws in as the middle (chosen: finer than what is printed)."""
TRIES = 4
"""Times that its slack is shifted for that (chosen: two do on a smooth branch; one that jumps never gets there)."""
BY, FURTHEST = 0.01, 0.05
"""First shift of slack at most, and each further one (chosen: 1 % and 5 %)."""


def as_the_middle(
    rest: Equilibrium, fabric: Fabric, shown: Hand, hands: Hands, lost: float, begin: Callable[[], Progress | None]
) -> tuple[float, Equilibrium]:
    """Return by how much all slack of what is ``shown`` at ``rest`` is shifted so that it loses the share ``lost`` of
    its width, and how it rests then.

    By the secant rule, each let go from the nearest before; where that does not get there, the nearest that was found.
    """

    def miss(one: tuple[float, Equilibrium]) -> float:
        return widths(one[1]).overall - lost

    tried = [(0.0, rest)]
    progress = begin()
    for _ in range(TRIES):
        if abs(miss(tried[-1])) <= AS_THE_MIDDLE:
            break
        shift = _next_shift([(one[0], miss(one)) for one in tried])
        nearest = min(tried, key=lambda one: abs(one[0] - shift))[1]
        try:
            tried.append((shift, at_rest(in_hand(fabric, shown, hands, shift), nearest, progress)))
        except NoEquilibriumError:
            break
    return min(tried, key=lambda one: abs(miss(one)))


def _next_shift(missed: Sequence[tuple[float, float]]) -> float:
    """Return where the straight through the last two (shift, lost too much) meets nothing; the first time a step."""
    (at, over) = missed[-1]
    if len(missed) == 1:
        return at + float(np.clip(over, -BY, BY))
    before, was = missed[-2]
    if over == was:
        return at
    step = -over * (at - before) / (over - was)
    return at + float(np.clip(step, -FURTHEST, FURTHEST))
