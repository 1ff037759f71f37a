"""A repeat let go at a new slack from the shape of the old one: what a slider costs, against one factorisation."""

from __future__ import annotations

from typing import Any

import pytest

from fabricsim.fabric.relax import come_to_rest
from tests.benchmarks.fabrics import fabric
from tests.benchmarks.record import record, record_rest
from tests.benchmarks.targets import ONE
from tests.benchmarks.yardstick import one_factorisation, own_band

SIDES = [12, 24]
OLD, NEW = -0.05, -0.06
ROUNDS = 9
"""Small works are over in a moment, so the median of several tells more than one (chosen)."""


@pytest.mark.parametrize("side", SIDES)
def test_new_slack(benchmark: Any, side: int) -> None:
    before = come_to_rest(fabric("repeat", side, side, OLD))
    ready = fabric("repeat", side, side, NEW)
    record_rest(
        benchmark,
        f"new slack of a repeat {side} x {side}",
        side * side,
        lambda: come_to_rest(ready, before),
        rounds=ROUNDS,
        warmup=1,
    )


@pytest.mark.parametrize("side", SIDES)
def test_one_factorisation_of_a_repeat(benchmark: Any, side: int) -> None:
    ready = fabric("repeat", side, side, NEW)
    band = own_band(ready, come_to_rest(ready))
    record(
        benchmark,
        f"new slack of a repeat {side} x {side}",
        ONE,
        side * side,
        lambda: one_factorisation(band),
        rounds=ROUNDS,
        warmup=1,
    )
    benchmark.extra_info.update(unknowns=band.shape[1], half_band=band.shape[0] - 1)
