"""Values to show as those that vary are."""

from __future__ import annotations

from fabricsim.arrays import Floats
from fabricsim.render.plots.variation import Spreading
from fabricsim.study.vary.summary import summary


def spread(label: str, value_k: Floats, written: float) -> Spreading:
    """Return values with their quantiles."""
    return Spreading(label, value_k, written, summary(value_k.tolist()).quantiles)
