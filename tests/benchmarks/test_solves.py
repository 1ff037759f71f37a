"""What an equilibrium costs, against one banded factorisation of its own Hessian: ratios in one run."""

from __future__ import annotations

from typing import Any

import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.relax import come_to_rest
from tests.benchmarks.fabrics import fabric
from tests.benchmarks.record import record, record_rest
from tests.benchmarks.targets import ONE
from tests.benchmarks.yardstick import one_factorisation, own_band

Work = tuple[Case, int, int, float]
WORKS: list[Work] = [
    ("swatch", 60, 60, -0.06),
    ("round", 39, 90, -0.10),
    ("swatch", 100, 100, -0.03),
    ("swatch", 100, 100, -0.10),
]
found: dict[Work, Equilibrium] = {}
"""Equilibria timed before, so that their Hessians need no second solve."""


def name(work: Work) -> str:
    case, rows, stitches, slack = work
    return f"{case} {rows} x {stitches} at {slack:.2f}"


@pytest.mark.parametrize("work", WORKS, ids=name)
def test_coming_to_rest(benchmark: Any, work: Work) -> None:
    ready = fabric(*work)
    found[work] = record_rest(benchmark, name(work), len(ready.mesh.rest_nc), lambda: come_to_rest(ready))


@pytest.mark.parametrize("work", WORKS, ids=name)
def test_one_factorisation(benchmark: Any, work: Work) -> None:
    ready = fabric(*work)
    band = own_band(ready, found.get(work) or come_to_rest(ready))
    size = len(ready.mesh.rest_nc)
    record(benchmark, name(work), ONE, size, lambda: one_factorisation(band), rounds=5, warmup=1)
    benchmark.extra_info.update(unknowns=band.shape[1], half_band=band.shape[0] - 1)
