"""How slack floats must be, held against equilibria at the slack that is found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.cli.commands.slack.options import USUAL_LOSS
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.measures import pull, widths
from fabricsim.fabric.relax import relax
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.study.forecast import loosening
from fabricsim.study.forecast.doubt import SLACK_DOUBT, STIFFNESS_DOUBT
from fabricsim.study.forecast.forecast import Band
from fabricsim.study.forecast.loosening import EXACT, FIRST_STEP, LOOSEST, MOST_LOST, TIGHTEST, HowLoose, how_loose
from fabricsim.units import PER_CENT
from tests.support.scenes import scene_of

RINGS = ["..b...", ".b.b..", "b...b.", ".b.b..", "..b..."]


def rings(across: int = 1) -> Scene:
    return scene_of(["".join("#" if s == "b" else s for s in row) for row in RINGS], 0.05, chart={"across": across})


@pytest.mark.parametrize(("case", "across"), [("repeat", 1), ("round", 6)])
def test_the_least_slack_loses_just_what_may_be_lost(case: str, across: int) -> None:
    found = how_loose(rings(across), case, most_lost=0.02)
    at = widths(relax(rings(across), case, slack=found.for_width.nominal)).overall
    # a per cent of slack is about a per cent of width
    assert at == pytest.approx(0.02, abs=1.5 * EXACT)
    assert found.for_width.low <= found.for_width.nominal <= found.for_width.high
    assert all(looser.lost <= tighter.lost + 1e-9 for looser, tighter in pairwise(found.trials))
    assert not found.any_will_do


def test_in_a_tube_floats_may_be_tighter_and_outside_it_less_so() -> None:
    flat, tube = (how_loose(rings(6), case).for_width.nominal for case in ("repeat", "round"))
    turned = how_loose(rings(6), "round", inside_out=True).for_width.nominal
    assert turned < tube < flat < 0.0


@pytest.mark.parametrize(("case", "across"), [("repeat", 1), ("round", 6)])
def test_fabric_of_the_slack_for_stretch_has_just_that_to_spare(case: str, across: int) -> None:
    found = how_loose(rings(across), case, stretch=0.12)
    rest = relax(rings(across), case, slack=found.for_stretch)
    assert pull(rest).spare_f.min() == pytest.approx(0.12, rel=1e-9)
    assert found.slack == max(found.for_width.high, found.for_stretch)
    if case == "repeat":
        assert found.for_stretch == pytest.approx(0.12, rel=1e-9)  # no thickness to cut the corner by


def test_the_band_comes_from_other_stiffnesses() -> None:
    found = how_loose(rings(6), "round", most_lost=0.02)
    fabric_slacks = []
    for factor in (0.5, 2.0):
        bent = found.rest.stiffness.bent(factor)
        scene = rings(6)
        overrides = {
            "bending_across_uNm": bent.bend_across * 1e6,
            "bending_up_uNm": bent.bend_up * 1e6,
            "twist_uNm": bent.twist * 1e6,
        }
        other = scene.model_copy(update={"fabric": scene.fabric.model_copy(update=overrides)})
        fabric_slacks.append(how_loose(other, "round", most_lost=0.02).for_width.nominal)
    # one step along the slope, against a search of its own
    assert (found.for_width.low, found.for_width.high) == pytest.approx(
        (min(fabric_slacks), max(fabric_slacks)), abs=2 * EXACT
    )


def test_where_nothing_pulls_much_any_slack_will_do() -> None:
    found = how_loose(rings(), "repeat", most_lost=0.5)
    assert found.any_will_do
    assert found.for_width.nominal == TIGHTEST
    assert np.isfinite(found.aim)


def test_the_command_asks_for_what_is_usual_here() -> None:
    # the command names the figure without loading what is heavy
    assert USUAL_LOSS * PER_CENT == MOST_LOST


# ---- the search, on made-up fabrics whose loss at every slack is known ---------------------------------

SCENE = scene_of(["#..#..", ".##..."], chart={"across": 2})


@dataclass
class Rest:
    """A made-up rest of a fabric, that was let in from another."""

    fabric: Fabric
    start: Any
    told: Any
    slack: float
    lost: float

    @property
    def way_f(self) -> Any:
        """At slack 0 every float's way is 2 % shorter than the fabric that it bridges."""
        return 0.98 * self.fabric.mesh.floats.span_f


@dataclass
class MadeUp:
    """Loses ``law`` of its width at a slack, stiffer by a factor to bend."""

    law: Callable[[float, float], float]
    rests: list[Rest] = field(default_factory=list)

    def come_to_rest(self, fabric: Fabric, start: Any, told: Any) -> Rest:
        (slack,) = set(fabric.mesh.floats.slack_f.round(12).tolist())
        stiffer = fabric.stiffness.bend_up / set_up(SCENE).stiffness.bend_up
        self.rests.append(Rest(fabric, start, told, slack, self.law(slack, stiffer)))
        return self.rests[-1]


def searched(
    monkeypatch: pytest.MonkeyPatch, law: Callable[[float, float], float], **more: Any
) -> tuple[HowLoose, list[Rest]]:
    fabric = MadeUp(law)
    monkeypatch.setattr(loosening, "settled", fabric.come_to_rest)
    monkeypatch.setattr(loosening, "widths", lambda rest: SimpleNamespace(overall=rest.lost))
    return how_loose(SCENE, **more), fabric.rests


def straight(slack: float, stiffer: float) -> float:
    """Loses what floats are too short, less a per cent and less as it is stiffer; nothing where they are loose."""
    return max(0.0, -0.01 * stiffer - slack)


def test_it_finds_the_slack_and_the_band_of_stiffnesses_along_the_slope(monkeypatch: pytest.MonkeyPatch) -> None:
    found, rests = searched(monkeypatch, straight, most_lost=0.05)
    assert found.for_width.nominal == pytest.approx(-0.06, abs=EXACT)
    at = found.for_width.nominal
    # a straight law is followed exactly: half as stiff -0.055, twice -0.07, from where the nominal one was found
    assert (found.for_width.low, found.for_width.high) == pytest.approx((-0.07, -0.055), abs=1e-6)
    assert rests[-1].slack == rests[-2].slack == at
    stiffer = [one.fabric.stiffness.bend_up / set_up(SCENE).stiffness.bend_up for one in rests[-2:]]
    assert stiffer == pytest.approx([1.0 / STIFFNESS_DOUBT, STIFFNESS_DOUBT])
    assert found.rest.slack == at  # type: ignore[attr-defined]
    assert [one.slack for one in found.trials] == pytest.approx(sorted({one.slack for one in rests}, reverse=True))
    assert all(one.lost == pytest.approx(straight(one.slack, 1.0), abs=1e-9) for one in found.trials)
    assert not found.any_will_do
    assert (found.most_lost, found.stretch) == (0.05, 0.0)


def test_it_steps_from_loose_to_tight_ever_farther_each_from_the_nearest_looser(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    _, rests = searched(monkeypatch, lambda slack, stiffer: max(0.0, -slack - 0.2), most_lost=0.0101)
    assert [one.slack for one in rests[:4]] == pytest.approx([0.0, -FIRST_STEP, -3 * FIRST_STEP, -7 * FIRST_STEP])
    seen: list[Rest] = []
    for one in rests[:-2]:
        looser = [other for other in seen if other.slack > one.slack]
        assert one.start is (min(looser, key=lambda other: other.slack) if looser else None)
        assert one.slack not in [other.slack for other in seen]  # nothing is brought to rest twice
        seen.append(one)
    for one in rests[-2:]:  # of another stiffness, from the nearest looser of the nominal one
        assert one.start is min((other for other in seen if other.slack > one.slack), key=lambda other: other.slack)


def test_where_slack_nought_is_too_tight_it_is_sought_above(monkeypatch: pytest.MonkeyPatch) -> None:
    found, rests = searched(monkeypatch, lambda slack, stiffer: max(0.0, 0.3 - slack), most_lost=0.02)
    assert found.for_width.nominal == pytest.approx(0.28, abs=EXACT)
    assert [one.slack for one in rests[:4]] == pytest.approx([0.0, 0.04, 0.08, 0.12])
    assert min(one.slack for one in rests) == 0.0


def test_where_no_slack_keeps_the_width_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(NoEquilibriumError, match=r"^even at slack 1 more than that is lost$"):
        searched(monkeypatch, lambda slack, stiffer: 0.5)
    found, _ = searched(monkeypatch, lambda slack, stiffer: 0.5 if slack < LOOSEST else 0.0)
    assert found.for_width.nominal == pytest.approx(LOOSEST, abs=EXACT)


def test_where_the_tightest_loses_no_more_any_will_do_and_has_no_band(monkeypatch: pytest.MonkeyPatch) -> None:
    found, rests = searched(monkeypatch, lambda slack, stiffer: MOST_LOST)
    assert found.any_will_do
    assert found.for_width == Band(TIGHTEST, TIGHTEST, TIGHTEST)
    assert rests[-1].slack == TIGHTEST == found.rest.slack  # type: ignore[attr-defined]
    just, _ = searched(monkeypatch, lambda slack, stiffer: 0.0 if slack > TIGHTEST else 0.5)
    assert not just.any_will_do
    assert just.for_width.nominal == pytest.approx(TIGHTEST, abs=EXACT)


def test_slack_for_a_stretch_is_the_way_at_that_width_over_the_yarn(monkeypatch: pytest.MonkeyPatch) -> None:
    """And both are needed: what to aim at is the greater of them, and what hands are known to more."""
    for stretch in (0.0, 0.12):
        found, _ = searched(monkeypatch, straight, stretch=stretch)
        assert found.for_stretch == pytest.approx(0.98 * (1.0 + stretch) - 1.0)
        assert found.stretch == stretch
        assert found.slack == max(found.for_width.high, found.for_stretch)
        assert found.aim == pytest.approx(found.slack + SLACK_DOUBT)
    table = set_up(SCENE).mesh.floats
    assert np.unique(table.span_f).size > 1  # of floats of several spans


def test_each_solve_is_announced(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []

    def stage(name: str) -> Any:
        told.append(name)
        return name

    _, rests = searched(monkeypatch, straight, most_lost=0.05, stage=stage)
    assert told[:3] == ["slack +0.00 %", "slack -4.00 %", "slack -12.00 %"]
    assert [one.told for one in rests] == told
    _, silent = searched(monkeypatch, straight)
    assert {one.told for one in silent} == {None}


def test_a_fabric_without_floats_is_one_line() -> None:
    with pytest.raises(InputError) as why:
        how_loose(scene_of(["......"] * 3), "repeat")
    assert str(why.value) == (
        "small: given a fabric without floats; allowed: a chart with two yarns in a row; nothing can pull"
    )
