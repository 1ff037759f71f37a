"""How slack floats must be, held against equilibria at the slack that is found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
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
from fabricsim.fabric.whole import is_whole
from fabricsim.study.forecast import loosening
from fabricsim.study.forecast.forecast import SEED, Band, KnitPiece, Labour
from fabricsim.study.forecast.loosening import (
    EXACT,
    FIRST_STEP,
    LOOSEST,
    MOST_LOST,
    TIGHTEST,
    HowLoose,
    Trial,
    how_loose,
    needed,
)
from fabricsim.study.hands.hand import typical
from fabricsim.study.hands.prior import SLACK_DOUBT, hands_of
from fabricsim.units import PER_CENT
from tests.support.scenes import scene_of

RINGS = ["..b...", ".b.b..", "b...b.", ".b.b..", "..b..."]


EXACT_HANDS = {"unevenness": 0.0, "short_mm": 0.0}
"""Every float just as it is told: what is found can then be held against that fabric."""


def rings(across: int = 1) -> Scene:
    rows = ["".join("#" if s == "b" else s for s in row) for row in RINGS]
    return scene_of(rows, 0.05, chart={"across": across}, floats=EXACT_HANDS)


@pytest.fixture
def no_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    """A search alone, without the pieces of its band."""
    monkeypatch.setattr(loosening, "forecast_of", lambda *_, **__: SimpleNamespace(pieces=()))


@pytest.mark.parametrize(("case", "across"), [("repeat", 1), ("round", 6)])
def test_the_least_slack_loses_just_what_may_be_lost(no_pieces: None, case: str, across: int) -> None:
    found = how_loose(rings(across), case, most_lost=0.02)
    at = widths(relax(rings(across), case, slack=found.for_width.nominal)).overall
    # a per cent of slack is about a per cent of width
    assert at == pytest.approx(0.02, abs=1.5 * EXACT)
    assert found.for_width.low <= found.for_width.nominal <= found.for_width.high
    assert all(looser.lost <= tighter.lost + 1e-9 for looser, tighter in pairwise(found.trials))
    assert not found.any_will_do


def test_in_a_tube_floats_may_be_tighter_and_outside_it_less_so(no_pieces: None) -> None:
    flat, tube = (how_loose(rings(6), case).for_width.nominal for case in ("repeat", "round"))
    turned = how_loose(rings(6), "round", inside_out=True).for_width.nominal
    assert turned < tube < flat < 0.0


@pytest.mark.parametrize(("case", "across"), [("repeat", 1), ("round", 6)])
def test_fabric_of_the_slack_for_stretch_has_just_that_to_spare(no_pieces: None, case: str, across: int) -> None:
    found = how_loose(rings(across), case, stretch=0.12)
    rest = relax(rings(across), case, slack=found.for_stretch)
    assert pull(rest).spare_f.min() == pytest.approx(0.12, rel=1e-9)
    assert found.slack == max(found.for_width.high, found.for_stretch)
    if case == "repeat":
        assert found.for_stretch == pytest.approx(0.12, rel=1e-9)  # no thickness to cut the corner by


def test_the_band_is_that_of_hands_which_may_carry_every_float_tighter_or_looser() -> None:
    """In flat fabric with floats as wide as the repeat, what is lost is what the floats lack: whatever the hand, the
    floats themselves need one slack, and no doubt of the hands widens it (exact); stiffness widens nothing either."""
    scene = scene_of(["#....."], 0.0, floats=EXACT_HANDS)
    found = how_loose(scene, "repeat", most_lost=0.02)
    band = found.for_width
    assert band.high - band.low < EXACT
    assert band.low <= band.nominal <= band.high


def test_where_nothing_pulls_much_any_slack_will_do() -> None:
    found = how_loose(rings(), "repeat", most_lost=0.5)
    assert found.any_will_do
    assert found.for_width.nominal == TIGHTEST
    assert np.isfinite(found.aim)


def test_the_command_asks_for_what_is_usual_here() -> None:
    # the command names the figure without loading what is heavy
    assert USUAL_LOSS * PER_CENT == MOST_LOST


# ---- the search, on made-up fabrics whose loss at every slack is known ---------------------------------

SCENE = scene_of(["#..#..", ".##..."], chart={"across": 2}, floats=EXACT_HANDS, simulation={"case": "repeat"})


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

    @property
    def state(self) -> Any:
        return ("the shape at", self.slack)


@dataclass
class MadeUp:
    """Loses ``law`` of its width at a slack; whose hands knit it then: ``pieces``."""

    law: Callable[[float], float]
    pieces: tuple[KnitPiece, ...] = ()
    rests: list[Rest] = field(default_factory=list)
    asked: list[Any] = field(default_factory=list)

    def come_to_rest(self, fabric: Fabric, start: Any, told: Any) -> Rest:
        slack = round(float(fabric.mesh.floats.slack_f.mean()), 12)
        self.rests.append(Rest(fabric, start, told, slack, self.law(slack)))
        return self.rests[-1]

    def forecast_of(self, *given: Any, **more: Any) -> Any:
        self.asked.append((*given, more))
        return SimpleNamespace(pieces=self.pieces)


def searched(
    monkeypatch: pytest.MonkeyPatch,
    law: Callable[[float], float],
    pieces: tuple[KnitPiece, ...] = (),
    scene: Scene = SCENE,
    **more: Any,
) -> tuple[HowLoose, MadeUp]:
    made = MadeUp(law, pieces)
    monkeypatch.setattr(loosening, "settled", made.come_to_rest)
    monkeypatch.setattr(loosening, "forecast_of", made.forecast_of)
    monkeypatch.setattr(loosening, "widths", lambda rest: SimpleNamespace(overall=rest.lost))
    return how_loose(scene, **more), made


def straight(slack: float) -> float:
    """Loses what floats are too short, less a per cent; nothing where they are loose."""
    return max(0.0, -0.01 - slack)


def piece(slack: float, lost: float | None) -> KnitPiece:
    """A piece whose floats are all slacker by so much, and what it loses; None: no rest."""
    measures: Any = None if lost is None else SimpleNamespace(widths=SimpleNamespace(overall=lost))
    return KnitPiece(slack, 0.03, 0.0, 1.0, 1.0, measures)


def test_of_a_whole_piece_every_round_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    shaped = {"spread": [{"row": 3, "every": 6}]}
    scene = scene_of(["#..#..", ".##..."] * 3, chart={"across": 4}, floats=EXACT_HANDS, shaping=shaped)
    for whole in (True, False):
        found, made = searched(monkeypatch, straight, (piece(0.0, 0.01),), scene, whole=whole)
        assert made.rests
        assert all(is_whole(one.fabric.mesh) == whole for one in made.rests)
        assert found.for_width.nominal == pytest.approx(-0.02, abs=1e-3)


def test_it_finds_the_slack_and_asks_there_what_other_hands_need(monkeypatch: pytest.MonkeyPatch) -> None:
    """A straight law has the slope -1: a piece that loses 2 % too much needs 2 % more than it has."""
    pieces = (piece(0.01, 0.05), piece(-0.01, 0.08), piece(0.0, 0.05))
    found, made = searched(monkeypatch, straight, pieces, most_lost=0.05, processes=3, counted=print)
    (at,) = {one.slack for one in made.rests if one is found.rest}
    assert at == pytest.approx(-0.06, abs=EXACT)
    # what they need: 1 % more as they are so much slacker, 1 % less and 3 % more, and none: the middle is 1 %
    assert found.for_width == Band(*(pytest.approx(at + more, abs=1e-6) for more in (0.0, 0.01, 0.02)))
    ((fabric, hands, labour, more),) = made.asked
    np.testing.assert_allclose(fabric.mesh.floats.slack_f, at, atol=1e-12)
    # how far the slack of all floats may be off is no need of theirs: it is what to aim at the more
    assert replace(hands, slack=0.0) == replace(hands_of(SCENE, other_slack=True), slack=0.0)
    assert labour == Labour(processes=3)
    assert more == {"rest": found.rest, "counted": print}
    assert [one.slack for one in found.trials] == pytest.approx(sorted({one.slack for one in made.rests}, reverse=True))
    assert all(one.lost == pytest.approx(straight(one.slack), abs=1e-9) for one in found.trials)
    assert not found.any_will_do
    assert (found.most_lost, found.stretch) == (0.05, 0.0)


def test_what_is_sought_is_the_piece_that_a_forecast_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its floats are uneven as is usual, and fall short; or all alike, and fall short as much."""
    scene = scene_of(["#..#..", ".##..."], chart={"across": 2})
    plain = set_up(scene, slack=0.0)
    for even in (False, True):
        _, made = searched(monkeypatch, straight, scene=scene, most_lost=0.05, even=even)
        first = made.rests[0].fabric.mesh.floats
        short_f = 0.45e-3 / first.span_f
        rows_f = typical(plain, SEED).rows[[one.row for one in plain.floats]]
        uneven_f = 0.0 if even else 0.03 * typical(plain, SEED).floats + 0.015 * rows_f
        np.testing.assert_allclose(first.slack_f, uneven_f - short_f, atol=1e-12)
        known = hands_of(scene, other_slack=True)
        assert replace(made.asked[0][1], slack=0.0) == replace(known.even() if even else known, slack=0.0)


def test_it_steps_from_loose_to_tight_ever_farther_each_from_the_nearest_looser(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    _, made = searched(monkeypatch, lambda slack: max(0.0, -slack - 0.2), most_lost=0.0101)
    rests = made.rests
    assert [one.slack for one in rests[:4]] == pytest.approx([0.0, -FIRST_STEP, -3 * FIRST_STEP, -7 * FIRST_STEP])
    seen: list[Rest] = []
    for one in rests:
        looser = [other for other in seen if other.slack > one.slack]
        assert one.start is (min(looser, key=lambda other: other.slack) if looser else None)
        assert one.slack not in [other.slack for other in seen]  # nothing is brought to rest twice
        seen.append(one)


def test_where_slack_nought_is_too_tight_it_is_sought_above(monkeypatch: pytest.MonkeyPatch) -> None:
    found, made = searched(monkeypatch, lambda slack: max(0.0, 0.3 - slack), most_lost=0.02)
    assert found.for_width.nominal == pytest.approx(0.28, abs=EXACT)
    assert [one.slack for one in made.rests[:4]] == pytest.approx([0.0, 0.04, 0.08, 0.12])
    assert min(one.slack for one in made.rests) == 0.0


def test_where_no_slack_keeps_the_width_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(NoEquilibriumError, match=r"^even at slack 1 more than that is lost$"):
        searched(monkeypatch, lambda slack: 0.5)
    found, _ = searched(monkeypatch, lambda slack: 0.5 if slack < LOOSEST else 0.0)
    assert found.for_width.nominal == pytest.approx(LOOSEST, abs=EXACT)


def test_where_the_tightest_loses_no_more_any_will_do_and_has_no_band(monkeypatch: pytest.MonkeyPatch) -> None:
    found, made = searched(monkeypatch, lambda slack: MOST_LOST)
    assert found.any_will_do
    assert found.for_width == Band(TIGHTEST, TIGHTEST, TIGHTEST)
    assert made.rests[-1].slack == TIGHTEST == found.rest.slack  # type: ignore[attr-defined]
    just, _ = searched(monkeypatch, lambda slack: 0.0 if slack > TIGHTEST else 0.5)
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

    _, made = searched(monkeypatch, straight, most_lost=0.05, stage=stage)
    assert told[:3] == ["slack +0.00 %", "slack -4.00 %", "slack -12.00 %"]
    assert [one.told for one in made.rests] == told
    _, silent = searched(monkeypatch, straight)
    assert {one.told for one in silent.rests} == {None}


# ---- what hands need, from made-up pieces -----------------------------------------------------------


def test_what_a_piece_loses_too_much_is_made_up_for_along_the_slope() -> None:
    """Per cent of slack give half as much of width: 2 % too much want 4 % more; what hands are slacker counts."""
    pieces = [piece(0.0, 0.01), piece(-0.03, 0.03), piece(0.02, 0.0)]
    # 5, 5 - 3 + 4 = 6 and 5 + 2 - 2 = 5 %
    assert needed(pieces, 0.05, 0.01, -0.5) == Band(*(pytest.approx(one) for one in (0.05, 0.05, 0.06)))


def test_needed_is_the_middle_and_between_what_nine_in_ten_lie() -> None:
    pieces = [piece(0.0, 0.001 * number) for number in range(1, 40)]
    told = needed(pieces, 0.0, 0.0, -1.0)
    assert (told.low, told.nominal, told.high) == pytest.approx((0.002, 0.020, 0.038))
    crumpled = needed([piece(0.0, None), *pieces], 0.0, 0.0, -1.0)  # it would need more than any other
    assert (crumpled.nominal, crumpled.high) == pytest.approx((0.020, 0.03895))


def test_where_no_piece_rests_it_is_the_slack_that_was_found() -> None:
    assert needed([piece(0.01, None)] * 3, 0.04, 0.01, -1.0) == needed([], 0.04, 0.01, -1.0) == Band(0.04, 0.04, 0.04)


def test_the_slope_is_that_between_the_two_trials_nearest_to_it() -> None:
    trials = (Trial(0.1, 0.0), Trial(-0.02, 0.02), Trial(-0.04, 0.05), Trial(-0.3, 0.9))
    assert loosening._slope(trials, -0.03) == pytest.approx(-1.5)


def test_a_fabric_without_floats_is_one_line() -> None:
    with pytest.raises(InputError) as why:
        how_loose(scene_of(["......"] * 3), "repeat")
    assert str(why.value) == (
        "small: given a fabric without floats; allowed: a chart with two yarns in a row; nothing can pull"
    )


def test_edges_that_curl_are_taken_pinned(monkeypatch: pytest.MonkeyPatch) -> None:
    """Rolled up a swatch is narrower whatever its floats do, so that no slack would ever be enough."""
    asked: list[Scene] = []

    def setting_up(scene: Scene, *_: object, **__: object) -> Fabric:
        asked.append(scene)
        raise NoEquilibriumError("not to be solved")

    monkeypatch.setattr(loosening, "set_up_seen", setting_up)
    curling = scene_of(["#....", "..#.."], worked="flat", fabric={"edges": "curl"})
    with pytest.raises(NoEquilibriumError, match="not to be solved"):
        how_loose(curling, "swatch")
    assert asked[0].fabric.edges == "flat"
