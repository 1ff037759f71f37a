"""One slack after the other, from made-up rests: from loose to tight, each from the one before, the lost ones told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.relax import Patience
from fabricsim.fabric.setup import Fabric
from fabricsim.study.forecast import sweep as sweeping
from fabricsim.study.forecast.sweep import Sweep, carried_unevenly, sweep
from tests.support.scenes import scene_of

SCENE = scene_of(["#..#.."] * 2, 0.5, chart={"across": 2})


@dataclass
class Knitted:
    """A made-up rest: of which fabric, from where, and whom it told its steps."""

    fabric: Fabric
    start: Any
    progress: Any


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[Knitted]:
    """What is brought to rest; at the slacks -0.2 and 0.3 there is none."""
    made: list[Knitted] = []

    def come_to_rest(fabric: Fabric, start: Any, progress: Any) -> Knitted:
        made.append(Knitted(fabric, start, progress))
        slack = float(fabric.mesh.floats.slack_f[0])
        if slack in (-0.2, 0.3):
            raise NoEquilibriumError(f"no rest at {slack:g}")
        return made[-1]

    monkeypatch.setattr(sweeping, "settled", come_to_rest)
    monkeypatch.setattr(sweeping, "measure", lambda rest: ("measures of", rest))
    return made


def test_slacks_come_once_from_loose_to_tight_each_from_the_one_before(asked: list[Knitted]) -> None:
    found = sweep(SCENE, None, [0.0, -0.1, 0.1, 0.0])
    assert [one.slack for one in found.steps] == [0.1, 0.0, -0.1]
    assert [one.start for one in asked] == [None, asked[0], asked[1]]
    assert [one.rest for one in found.steps] == asked
    assert [one.measures for one in found.steps] == [("measures of", one) for one in asked]
    assert found.lost == ()
    for step, one in zip(found.steps, asked, strict=True):
        assert set(one.fabric.mesh.floats.slack_f.tolist()) == {step.slack}  # in place of every slack of the scene


def test_what_finds_no_rest_is_told_and_the_next_starts_from_the_last_that_did(asked: list[Knitted]) -> None:
    found = sweep(SCENE, None, [-0.3, -0.2, -0.1, 0.3])
    assert [one.slack for one in found.steps] == [-0.1, -0.3]
    assert found.lost == ((0.3, "no rest at 0.3"), (-0.2, "no rest at -0.2"))
    assert [one.start for one in asked] == [None, None, asked[1], asked[1]]


def test_if_none_rests_it_is_said_of_the_loosest(asked: list[Knitted]) -> None:
    with pytest.raises(NoEquilibriumError, match=r"^no rest at 0\.3$"):
        sweep(SCENE, None, [-0.2, 0.3])


def test_each_solve_is_announced_and_told_its_steps(asked: list[Knitted]) -> None:
    told: list[tuple[str, int, int]] = []

    def stage(name: str, number: int, of: int) -> Any:
        told.append((name, number, of))
        return lambda step, force: None

    sweep(SCENE, None, [0.3, 0.125, -0.0525], stage=stage)
    assert told == [("slack +30 %", 0, 3), ("slack +12.5 %", 1, 3), ("slack -5.25 %", 2, 3)]
    assert all(callable(one.progress) for one in asked)
    asked.clear()
    sweep(SCENE, None, [0.0])
    assert asked[0].progress is None


def test_case_and_turning_are_those_asked_for(asked: list[Knitted]) -> None:
    sweep(SCENE, "round", [0.0], inside_out=True)
    sweep(SCENE, "round", [0.0])
    sweep(SCENE, None, [0.0])
    assert [one.fabric.mesh.case for one in asked] == ["round", "round", "round"]
    assert asked[0].fabric.mesh.floats_longer > 1.0 == asked[1].fabric.mesh.floats_longer
    with pytest.raises(InputError):
        sweep(SCENE, None, [-1.5])


def test_the_step_nearest_to_no_slack_is_carried_unevenly_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """From that step's rest, right on average, and nothing else that hands do."""
    steps = sweep(SCENE, "repeat", [0.3, 0.05, -0.1]).steps
    knitted: list[tuple[Fabric, Any, Any]] = []

    def at_rest(fabric: Fabric, start: Any, progress: Any) -> Any:
        knitted.append((fabric, start, progress))
        return start

    monkeypatch.setattr(sweeping, "at_rest", at_rest)
    both = carried_unevenly(Sweep(steps), "told")  # type: ignore[arg-type]
    assert both is not None
    even, uneven = both
    assert (even, uneven.slack) == (steps[1], 0.05)
    ((fabric, start, progress),) = knitted
    assert (start, progress) == (even.rest, "told")
    slack_f = fabric.mesh.floats.slack_f
    assert slack_f.std() > 0.01
    row_f = np.array([one.row for one in fabric.floats])
    by_row = [slack_f[row_f == row].mean() for row in np.unique(row_f)]
    assert np.mean(by_row) == pytest.approx(0.05, abs=0.03)  # each row is off by half as much as a float
    assert fabric.stiffness == even.rest.stiffness

    def crumples(*given: Any) -> Any:
        raise NoEquilibriumError("it crumples")

    monkeypatch.setattr(sweeping, "at_rest", crumples)
    assert carried_unevenly(Sweep(steps)) is None


def test_a_whole_piece_is_let_in_at_once_and_given_up_in_time(
    asked: list[Knitted], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its steps are parts already: what crumples would take many minutes more to find no rest in smaller ones."""
    patience: list[Patience] = []

    def come_to_rest(fabric: Fabric, start: Any, progress: Any, patient: Patience) -> Knitted:
        patience.append(patient)
        return Knitted(fabric, start, progress)

    monkeypatch.setattr(sweeping, "come_to_rest", come_to_rest)
    found = sweep(SCENE, "round", [0.1, -0.1], whole=True)
    assert asked == []
    assert [one.slack for one in found.steps] == [0.1, -0.1]
    assert {(one.steps, one.ramps) for one in patience} == {(100, (1,))}
