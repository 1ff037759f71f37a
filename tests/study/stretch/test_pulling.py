"""Curves of made-up fabric, whose stretch at every load is known: where they are looked at, what is read off."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.stretching import PRETENSION, Along
from fabricsim.study.stretch import pulling
from fabricsim.study.stretch.pulling import BENT, FINE, LEAST_PART, LOOKS, Curve, Point, curve_of


def straight(load: float) -> float:
    """4 % at 10 N/m."""
    return 0.004 * load


def kinked(load: float) -> float:
    """Four times as stiff beyond 7.3 N/m."""
    return 0.004 * min(load, 7.3) + 0.001 * max(0.0, load - 7.3)


def jumping(load: float) -> float:
    """It gives all at once at 6 N/m, by more than is fine."""
    return 0.004 * load + (0.2 if load > 6.0 else 0.0)


@dataclass
class MadeUp:
    """Fabric that stretches by ``law`` of the load, and gets half as much narrower; floats as long as ``slack_f`` says
    over its width. A step of more than ``farthest`` N/m finds no rest, nor does any load from ``ends`` on."""

    law: Callable[[float], float] = straight
    slack_f: tuple[float, ...] = ()
    farthest: float = np.inf
    ends: float = np.inf
    asked: list[float] = field(default_factory=list)
    begun: list[float] = field(default_factory=list)

    def at(self, load: float, size: float | None = None) -> Any:
        strain = self.law(load)
        slack_f = np.array(self.slack_f)
        grip = SimpleNamespace(load=0.0 if size is not None else load, size=size)
        floats = SimpleNamespace(length_f=2.0 * (1.0 + slack_f))
        return SimpleNamespace(
            own=load,
            strain={"across": strain, "up": -0.5 * strain},
            way_f=2.0 * (1.0 + strain) * np.ones(len(slack_f)),
            taut_f=slack_f < strain,
            mesh=SimpleNamespace(grip=grip, floats=floats),
        )

    def relaxed(self) -> Any:
        rest = self.at(0.0)
        rest.mesh.grip = None
        return rest

    def pulled(self, fabric: object, along: Along, load: float, start: Any, progress: object) -> Any:
        self.asked.append(load)
        self.begun.append(start.own)
        if load - start.own > self.farthest or load >= self.ends:
            raise NoEquilibriumError("no rest here")
        return self.at(load)

    def stretched(self, fabric: object, along: Along, strain: float, start: Any, progress: object) -> Any:
        load = brentq(lambda one: self.law(one) - strain, 0.0, 1e3, xtol=1e-12)
        return self.at(float(load), size=1.0 + strain)

    def curve(self, loads: Iterable[float], rough: bool = False, rest: Any = None) -> Curve:
        fabric: Any = SimpleNamespace(mesh=SimpleNamespace(floats=self.slack_f))
        return curve_of(fabric, "across", loads, rough=rough, rest=rest)


@pytest.fixture
def made_up(monkeypatch: pytest.MonkeyPatch) -> MadeUp:
    fabric = MadeUp()
    for name, stands_in in (
        ("come_to_rest", lambda *_, **__: fabric.relaxed()),
        ("pulled", fabric.pulled),
        ("stretched", fabric.stretched),
        ("strain_of", lambda rest, along: rest.strain[along]),
        ("load_of", lambda rest, along: rest.own),
        ("taut", lambda rest: rest.taut_f),
        ("relaxed_of", lambda rest: (0.2, 0.1)),
    ):
        monkeypatch.setattr(pulling, name, stands_in)
    return fabric


def test_a_straight_curve_has_the_points_that_were_asked_for_and_no_more(made_up: MadeUp) -> None:
    found = made_up.curve([10.0, 5.0, 5.0])
    assert found.loads.tolist() == [0.0, PRETENSION, 5.0, 10.0]
    assert found.strains.tolist() == [straight(load) for load in found.loads]
    assert [one.other for one in found.points] == pytest.approx([-0.002 * load for load in found.loads])
    assert made_up.asked == [PRETENSION, 5.0, 10.0]
    assert made_up.begun == [0.0, PRETENSION, 5.0]  # each from the one before, as a strip is loaded
    assert (found.along, found.relaxed, found.floats) == ("across", (0.2, 0.1), 0)
    assert (found.first_taut, found.half_taut, found.most) == (None, None, 10.0)
    assert found.taut.tolist() == [0.0] * 4


def test_loads_are_put_between_where_it_stretches_far(made_up: MadeUp) -> None:
    """40 % at 100 N/m: no two points are farther apart than is fine, and none is nearer than it must be."""
    found = made_up.curve([100.0])
    steps = np.diff(found.strains[1:])
    assert steps.max() <= FINE
    assert steps.min() > 0.5 * FINE
    assert made_up.curve([100.0], rough=True).loads.tolist() == [0.0, PRETENSION, 100.0]


def test_a_kink_is_looked_at_until_the_straight_between_points_will_do(made_up: MadeUp) -> None:
    made_up.law = kinked
    found = made_up.curve([50.0])
    load_k = np.linspace(0.0, 50.0, 2001)
    off = max(abs(found.at(load) - kinked(load)) for load in load_k.tolist())
    assert off <= 2.0 * BENT
    assert len(found.points) <= 3 + 2 * LOOKS
    assert np.diff(found.loads).min() > 0.1  # not looked at where there is nothing to see
    rough = made_up.curve([50.0], rough=True)
    assert rough.loads.tolist() == [0.0, PRETENSION, 50.0]


def test_where_slopes_hardly_differ_it_is_not_looked_at_again(made_up: MadeUp) -> None:
    """Slopes d apart put a kink between points w apart at most d w / 4 off the straight (derived)."""
    for by, looked in ((0.98, False), (1.02, True)):
        d = by * 4.0 * BENT / 10.0
        made_up.law = lambda load, d=d: 0.001 * load + d * max(0.0, load - 10.0)  # type: ignore[misc]
        found = made_up.curve([10.0, 20.0])
        assert (len(found.points) > 4) == looked, by


def test_where_it_jumps_points_come_no_nearer_than_the_least_part_of_a_step(made_up: MadeUp) -> None:
    made_up.law = jumping
    found = made_up.curve([8.0], rough=False)
    least = LEAST_PART * (8.0 - PRETENSION)
    jump = [(one, other) for one, other in pairwise(found.points) if other.strain - one.strain > FINE]
    ((before, after),) = jump
    assert before.load <= 6.0 < after.load
    assert after.load - before.load <= least
    first = [load for load in made_up.asked if load not in (PRETENSION, 8.0)]
    assert min(np.diff(sorted(set(first)))) >= 0.5 * least / 2**LOOKS


def test_a_step_that_finds_no_rest_is_made_in_parts(made_up: MadeUp) -> None:
    made_up.farthest = 1.3
    found = made_up.curve([8.0])
    assert np.diff(found.loads).max() <= 1.3
    assert found.loads[-1] == 8.0
    assert found.strains.tolist() == [straight(load) for load in found.loads]
    made_up.farthest = 0.5 * LEAST_PART * 7.5
    with pytest.raises(NoEquilibriumError, match="no rest here"):
        made_up.curve([8.0])
    made_up.farthest = np.inf
    made_up.ends = 7.0
    made_up.asked.clear()
    with pytest.raises(NoEquilibriumError, match="no rest here"):
        made_up.curve([8.0])
    assert len(made_up.asked) < 20  # it does not try for ever


def test_a_rest_that_is_known_is_not_sought_again(made_up: MadeUp, monkeypatch: pytest.MonkeyPatch) -> None:
    def asked(*_: object, **__: object) -> None:
        raise AssertionError("it is known")

    monkeypatch.setattr(pulling, "come_to_rest", asked)
    assert made_up.curve([5.0], rest=made_up.relaxed()).strains[0] == 0.0


def test_floats_go_taut_where_the_fabric_is_as_wide_as_they_are_long(made_up: MadeUp) -> None:
    """Of six the third is the first of half of them, of seven the fourth; each is a point, at the load felt there."""
    for slack_f, half in (
        ((0.032, 0.011, 0.021, 0.036, 0.5, 0.6), 0.032),
        ((0.031, 0.011, 0.021, 0.034, 0.036, 0.5, 0.6), 0.034),
        ((0.013,), 0.013),
        ((0.013, 0.02), 0.013),
    ):
        made_up.slack_f = slack_f
        found = made_up.curve([10.0])
        assert found.first_taut == pytest.approx(min(slack_f), abs=1e-8)
        assert found.half_taut == pytest.approx(half, abs=1e-8)
        assert found.floats == len(slack_f)
        for strain in {min(slack_f), half}:
            assert np.abs(found.loads - strain / 0.004).min() < 1e-5
        assert found.taut[-1] == pytest.approx(sum(one < 0.04 for one in slack_f) / len(slack_f))
        rough = made_up.curve([10.0], rough=True)
        assert (rough.first_taut, rough.half_taut) == (pytest.approx(min(slack_f), abs=1e-8), None)


def test_floats_that_are_taut_at_rest_or_never(made_up: MadeUp) -> None:
    made_up.slack_f = (-0.01, -0.02, 0.9, 0.8)
    found = made_up.curve([10.0])
    assert (found.first_taut, found.half_taut) == (0.0, 0.0)
    assert found.taut.tolist() == [0.5] * 3
    made_up.slack_f = (-0.01, 0.7, 0.9, 0.8)
    found = made_up.curve([10.0])
    assert (found.first_taut, found.half_taut) == (0.0, None)
    made_up.slack_f = (0.7, 0.9)
    found = made_up.curve([10.0])
    assert (found.first_taut, found.half_taut) == (None, None)
    made_up.slack_f = (0.0, 0.9)  # just so at rest: from there on
    assert made_up.curve([10.0]).first_taut == 0.0


def test_a_kink_of_floats_going_taut_is_known_and_not_looked_at(made_up: MadeUp) -> None:
    made_up.slack_f = (0.0292,)
    made_up.law = kinked  # stiffer from where the float is taut
    found = made_up.curve([25.0])
    assert found.loads.tolist() == pytest.approx([0.0, PRETENSION, 7.3, 25.0])


@pytest.mark.parametrize("loads", [[-0.1], [float("inf")], [1.0, float("nan")]])
def test_loads_that_there_are_none_of_are_one_line(made_up: MadeUp, loads: list[float]) -> None:
    with pytest.raises(InputError) as why:
        made_up.curve(loads)
    assert made_up.asked == []
    given = next(load for load in loads if not 0.0 <= load < np.inf)
    assert str(why.value) == f"load: given {given:g} N/m; allowed: loads of 0 and more; leave it out"


CURVE = Curve(
    "across",
    (0.2, 0.1),
    (Point(0.0, 0.0, 0.0, 0.0), Point(0.5, 0.02, -0.01, 0.2), Point(4.0, 0.16, -0.08, 1.0)),
    5,
    0.0,
    0.01,
)


def test_between_points_it_is_straight() -> None:
    assert CURVE.at(0.0) == 0.0
    assert CURVE.at(4.0) == 0.16
    assert CURVE.at(2.25) == pytest.approx(0.09)
    assert CURVE.taut_at(2.25) == pytest.approx(0.6)
    assert CURVE.other_at(2.25) == pytest.approx(-0.045)
    assert CURVE.from_pretension(2.25) == pytest.approx(1.09 / 1.02 - 1.0)
    assert CURVE.most == 4.0
    for load in (-1e-9, 4.0 + 1e-9, float("nan")):
        with pytest.raises(InputError) as why:
            CURVE.at(load)
        assert str(why.value) == (f"load: given {load:g} N/m; allowed: 0 to 4 N/m; ask for a curve that goes so far")
