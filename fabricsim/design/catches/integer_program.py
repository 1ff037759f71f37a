"""Integer programs whose linear programs are all but whole-numbered, solved to proven optimum with HiGHS."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from ctypes import CDLL
from time import monotonic
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from fabricsim.arrays import Floats

WHOLE = 1e-6
"""How near to a whole number counts as one (HiGHS's own tolerance)."""
FIRST_REACH = 1.0
"""How much dearer than the linear program an answer is first looked for (chosen: one catch, or one stitch off)."""
WIDER = 4.0
"""How much farther it is looked for if there was none (chosen)."""
C_LIBRARY = "ucrtbase" if sys.platform == "win32" else None
"""Where C's own output is found: in the process itself, on Windows in the library that all programs share (memory)."""
LEAST_SECONDS = 0.02
"""What a solve gets when the time is up (chosen: HiGHS takes no time limit of nought)."""


class Rules:
    """Rules low <= sum of weights times variables <= high, gathered one by one."""

    def __init__(self) -> None:
        self.rule: list[int] = []
        self.variable: list[int] = []
        self.weight: list[float] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def add(self, weight_of: Mapping[int, float], low: float | None = None, high: float | None = None) -> None:
        """Add a rule; without ``low`` or ``high`` that end is open."""
        self.rule.extend([len(self.low)] * len(weight_of))
        self.variable.extend(weight_of)
        self.weight.extend(weight_of.values())
        self.low.append(float("-inf") if low is None else low)
        self.high.append(float("inf") if high is None else high)

    def copy(self) -> Rules:
        """Return the same rules, to which others can be added."""
        other = Rules()
        other.rule, other.variable, other.weight = self.rule[:], self.variable[:], self.weight[:]
        other.low, other.high = self.low[:], self.high[:]
        return other


class LeastCost(NamedTuple):
    """The best ``values`` of the variables that were found and their ``cost``, None if none were; and the ``bound``
    below which no cost can be."""

    values: Floats | None
    cost: float | None
    bound: float

    @property
    def proven(self) -> bool:
        """Whether nothing can cost less."""
        return self.cost is not None and self.cost <= self.bound + WHOLE * max(1.0, abs(self.cost))


def minimum(cost: Sequence[float], whole: int, rules: Rules, end: float, *, ceiling: float = float("inf")) -> LeastCost:
    """Return where the sum of costs, none below 0, is least, every variable from 0 to 1 and the first ``whole`` ones
    0 or 1, as far as it is found before ``end``, in seconds of the monotonic clock. A ``ceiling`` is a cost that is
    known to be had: nothing dearer is looked for.

    The linear program comes first. If it isn't whole-numbered, it still says of every variable by how much the cost
    rises at least if it leaves its end (its reduced cost). Variables that would cost more than a reach are kept where
    they are while an integer program settles the few others: if its answer costs no more than the linear program and
    the reach, none outside can be better (reduced-cost fixing; Nemhauser & Wolsey 1988, memory). The reach grows
    from ``FIRST_REACH`` as long as there is no such answer, at most to the ceiling.
    """
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, linprog, milp
    from scipy.sparse import csr_array, vstack

    cost_v = np.array(cost, dtype=np.float64)
    if len(cost_v) == 0:
        return LeastCost(cost_v, 0.0, 0.0)
    low_r, high_r = np.array(rules.low), np.array(rules.high)
    shape = (len(low_r), len(cost_v))
    weight_rv = csr_array((rules.weight, (rules.rule, rules.variable)), shape=shape)
    same_r = low_r == high_r
    below_r, above_r = np.isfinite(high_r) & ~same_r, np.isfinite(low_r) & ~same_r
    linear = linprog(
        cost_v,
        A_ub=vstack([weight_rv[below_r], -weight_rv[above_r]]),
        b_ub=np.concatenate([high_r[below_r], -low_r[above_r]]),
        A_eq=weight_rv[same_r],
        b_eq=high_r[same_r],
        bounds=(0.0, 1.0),
        method="highs",
        options={"time_limit": max(LEAST_SECONDS, end - monotonic())},
    )
    if linear.status == 2:  # nothing keeps the rules
        return LeastCost(None, None, float("inf"))
    if linear.status != 0 or linear.x is None or linear.fun is None:
        return LeastCost(None, None, 0.0)
    least = float(linear.fun)
    if np.abs(linear.x[:whole] - np.rint(linear.x[:whole])).max(initial=0.0) < WHOLE:
        return LeastCost(linear.x, least, least)
    reduced_v = linear.lower.marginals + linear.upper.marginals
    widest = float(np.abs(reduced_v).max())
    whole_v = (np.arange(len(cost_v)) < whole).astype(np.int64)
    best = LeastCost(None, None, least)
    reach = FIRST_REACH
    while True:
        reach = min(reach, ceiling - least + WHOLE)
        with unheard():
            done = milp(
                cost_v,
                integrality=whole_v,
                bounds=Bounds(np.where(reduced_v <= -reach, 1.0, 0.0), np.where(reduced_v >= reach, 0.0, 1.0)),
                constraints=LinearConstraint(weight_rv, low_r, high_r),
                options={"time_limit": max(LEAST_SECONDS, end - monotonic()), "mip_rel_gap": 0.0},
            )
        inside = float("inf") if done.status == 2 else least if done.mip_dual_bound is None else done.mip_dual_bound
        outside = float("inf") if reach > widest else least + reach
        best = best._replace(bound=max(best.bound, min(inside, outside)))
        if done.x is not None and (best.cost is None or done.fun < best.cost):
            best = LeastCost(done.x, float(done.fun), best.bound)
        if done.status not in (0, 2) or best.proven or best.bound + WHOLE >= ceiling or outside == float("inf"):
            return best
        reach = WIDER * reach if done.x is None else done.fun - least + WHOLE


@contextmanager
def unheard() -> Iterator[None]:
    """Keep off this process's output what HiGHS prints there past all its options, whatever is asked for."""
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:  # closed: nobody listens
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        with suppress(OSError):
            CDLL(C_LIBRARY).fflush(None)  # what C has kept back
        os.dup2(kept, 1)
        os.close(nowhere)
        os.close(kept)
