"""Which way a pattern's matrices are factorised, found once for each pattern."""

from __future__ import annotations

from weakref import WeakKeyDictionary

from fabricsim.mechanics.factors.bands import LEFT_OUT, Numbering, numbering
from fabricsim.mechanics.factors.fronts import Fronts, fronts_of
from fabricsim.mechanics.factors.kinds import FactorPlan
from fabricsim.mechanics.factors.sparse_lu import Unplanned
from fabricsim.mechanics.pattern import Pattern

_known: WeakKeyDictionary[Pattern, dict[float, FactorPlan]] = WeakKeyDictionary()
"""Plans of patterns in use: a fabric let go again at another slack has the pattern that it had."""


def plan(pattern: Pattern, left_out: float = LEFT_OUT, former: FactorPlan | None = None) -> FactorPlan:
    """Return how the matrices of a pattern are factorised.

    ``left_out``: share of the entries that may be left out, where that helps. ``former``: the plan before some elements
    were added, which may do for the most part.
    """
    known = _known.setdefault(pattern, {})
    if left_out not in known:
        known[left_out] = _planned(pattern, left_out, former)
    return known[left_out]


def _planned(pattern: Pattern, left_out: float, former: FactorPlan | None) -> FactorPlan:
    fronts = fronts_of(pattern, former if isinstance(former, Fronts) else None)
    if fronts is not None:
        return fronts
    band = numbering(pattern, left_out, former if isinstance(former, Numbering) else None)
    return Unplanned() if band is None else band
