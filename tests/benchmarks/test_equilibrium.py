"""What an equilibrium costs, against one sparse factorisation of its own Hessian: ratios in one run.

Off by default; ``python -m pytest tests/benchmarks --benchmark-only`` runs them, and each record keeps the answer
beside the time: steps, factorisations, status, residual.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from fabricsim.design.scene import Scene
from fabricsim.fabric.build import fabric_energy
from fabricsim.fabric.mesh import Case
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.mechanics.direction import factorise

WORK = [("swatch", 60, 60, -0.06), ("round", 39, 90, -0.10)]


def _lozenges(rows: int, stitches: int) -> list[str]:
    """Return a chart of lozenges 10 stitches wide and 13 rows tall with a hole in each."""
    i, j = np.indices((rows, stitches))
    away = np.abs(i % 13 - 6) / 6.5 + np.abs(j % 10 - 4.5) / 5.0
    return ["".join("x" if one else "." for one in row) for row in (away <= 1.0) & (away > 0.4)]


def fabric(case: Case, rows: int, stitches: int, slack: float) -> Fabric:
    """Return a worsted fabric of lozenges."""
    scene = Scene.model_validate(
        {
            "title": "benchmark",
            "worked": "round" if case == "round" else "flat",
            "chart": {"rows": _lozenges(rows, stitches)},
            "yarns": [
                {"symbol": ".", "name": "light", "colour": "#dddddd", "tex": 500},
                {"symbol": "x", "name": "dark", "colour": "#333333", "tex": 500},
            ],
            "gauge": {"stitches": 19, "rows": 25.5},
            "floats": {"slack": slack},
        }
    )
    return set_up(scene, case)


@pytest.mark.parametrize(("case", "rows", "stitches", "slack"), WORK)
def test_coming_to_rest(benchmark: Any, case: Case, rows: int, stitches: int, slack: float) -> None:
    ready = fabric(case, rows, stitches, slack)
    rest = benchmark.pedantic(come_to_rest, (ready,), rounds=1)
    benchmark.extra_info.update(
        steps=rest.effort.steps,
        factorisations=rest.effort.factorisations,
        status=rest.effort.status.name,
        residual=rest.effort.residual,
    )
    assert rest.effort.status.at_rest


@pytest.mark.parametrize(("case", "rows", "stitches", "slack"), WORK)
def test_one_factorisation(benchmark: Any, case: Case, rows: int, stitches: int, slack: float) -> None:
    ready = fabric(case, rows, stitches, slack)
    rest = come_to_rest(ready)
    energy = fabric_energy(ready.mesh, ready.stiffness, ready.where)
    matrix = energy.pattern.fill(energy.hessian(energy.free(rest.state))[2])
    factors = benchmark.pedantic(factorise, (matrix,), rounds=5, warmup_rounds=1)
    benchmark.extra_info.update(unknowns=matrix.shape[0], entries=matrix.nnz, filled=factors.nnz)
