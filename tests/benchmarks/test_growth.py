"""How time and memory grow with the number of stitches. The longest takes minutes: ``-k "not longest"`` leaves it
out."""

from __future__ import annotations

from typing import Any

import pytest

from fabricsim.fabric.relax import come_to_rest
from tests.benchmarks.fabrics import fabric
from tests.benchmarks.record import record_rest

SIDES = [30, 60, 100, 140, pytest.param(200, id="200 longest")]
SLACK = -0.03


@pytest.mark.parametrize("side", SIDES)
def test_growth(benchmark: Any, side: int) -> None:
    ready = fabric("swatch", side, side, SLACK)
    record_rest(benchmark, f"growth, swatch at {SLACK:.2f}", side * side, lambda: come_to_rest(ready))
