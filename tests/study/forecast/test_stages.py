"""Whoever waits for a forecast is told what it is at, and whom to tell its steps to is asked as each solve begins."""

from __future__ import annotations

from typing import Any

import pytest

from fabricsim.study.forecast import forecast as forecasting
from fabricsim.study.forecast.forecast import forecast
from tests.support.scenes import scene_of

SCENE = scene_of(("#.....", "..#...", "......"), -0.05, chart={"across": 3})


@pytest.mark.parametrize("band", [False, True])
def test_each_solve_is_announced_and_tells_its_steps(monkeypatch: pytest.MonkeyPatch, band: bool) -> None:
    monkeypatch.setattr(forecasting, "usable_cores", lambda: 1)
    told: list[tuple[str, int, int]] = []
    steps: list[list[float]] = []

    def stage(name: str, number: int, of: int) -> Any:
        told.append((name, number, of))
        steps.append([])
        return lambda step, force: steps[-1].append(force)

    forecast(SCENE, "round", band=band, starts=1, stage=stage)
    assert [name for name, _, _ in told][:3] == ["forecast", "from loose to tight", "random start 1"]
    numbers, of = [number for _, number, _ in told], {of for _, _, of in told}
    assert numbers == list(range(len(told)))
    assert of == {len(told)}
    assert len(told) > 3 if band else len(told) == 3
    assert all(steps)
    assert all(one[-1] < 1e-9 for one in steps)  # as a share of the force scale, down to rest
