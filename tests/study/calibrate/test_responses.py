"""What hands would measure, from made-up fabrics at rest: what is asked for, of what, from where, and how often."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.swatch.measured import Measured
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.cell import copied
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.study.calibrate import responses as asking
from fabricsim.study.calibrate.measurements import measurements
from fabricsim.study.calibrate.responses import KEPT, MANY, TELLING, Guess, Responses, too_tight
from fabricsim.study.forecast.forecast import SEED
from fabricsim.study.hands.hand import typical
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import hands_of
from tests.recovery.trials import CHART
from tests.support.scenes import scene_of

SCENE = scene_of(CHART, floats={"unevenness": 0.0, "short_mm": 0.0})
"""Every float as it is told."""
TIGHT = Guess(-0.1, (-0.12, -0.08))
LIES = {"colourwork": {"stitches": 20, "width_cm": 9.0, "rows": 20, "height_cm": 8.0, "pucker_mm": 3.0}}
HUNG = {"stretched": {"stitches": 20, "width_cm": 12.0, "grams": 50.0, "strip_cm": 4.0}}


@dataclass
class Knitted:
    """A made-up rest: the fabric that was asked about, and from where it was to start."""

    fabric: Fabric
    start: Any
    load: float | None = None
    period_a: Any = None

    @property
    def mesh(self) -> Any:
        return self.fabric.mesh


@dataclass
class Needles:
    """Stands for all that brings fabrics to rest, and answers what they measure by a formula."""

    asked: list[Knitted] = field(default_factory=list)
    lost: Callable[[Knitted], float] = lambda rest: -float(rest.mesh.floats.slack_f.min())
    taller: Callable[[Knitted], float] = lambda rest: 0.01
    high: Callable[[Knitted], float] = lambda rest: 2e-3

    def come_to_rest(self, fabric: Fabric, start: Any, progress: Any) -> Knitted:
        self.asked.append(Knitted(fabric, start))
        return self.asked[-1]

    def pulled(self, fabric: Fabric, along: str, load: float, start: Any, progress: Any) -> Knitted:
        assert along == "across"
        assert fabric.mesh.period_a is not None
        longer = np.array([1.0 + load / 100.0, 0.9])
        self.asked.append(Knitted(fabric, start, load, longer * fabric.mesh.period_a))
        return self.asked[-1]


@pytest.fixture
def needles(monkeypatch: pytest.MonkeyPatch) -> Needles:
    made = Needles()
    for name, stands_in in (
        ("come_to_rest", made.come_to_rest),
        ("pulled", made.pulled),
        ("widths", lambda rest: SimpleNamespace(overall=made.lost(rest))),
        ("height_change", lambda rest: made.taller(rest)),
        ("pucker", lambda rest: SimpleNamespace(peak_to_valley=made.high(rest))),
    ):
        monkeypatch.setattr(asking, name, stands_in)
    return made


def responses(*given: dict[str, Any], case: Any = "repeat") -> Responses:
    measured: dict[str, Any] = {}
    for one in given:
        measured |= one
    return Responses(SCENE, case, Measured.model_validate(measured))


def test_every_number_comes_with_its_key_its_unit_and_how_far_it_may_be_off() -> None:
    whole = Measured.model_validate(
        {
            "plain": {"stitches": 9, "width_cm": 10.0, "rows": 9, "height_cm": 11.0, "uncertain_cm": 0.1},
            "colourwork": LIES["colourwork"] | {"uncertain_cm": 0.2, "pucker_uncertain_mm": 0.3},
            "stretched": HUNG["stretched"] | {"uncertain_cm": 0.4},
            "weighed": {"grams": 30.0, "uncertain_grams": 0.5},
            "floats": [
                {"gap": 4, "yarn_cm": 2.5, "uncertain_cm": 0.6},
                {"gap": 5, "yarn_cm": 3.5, "uncertain_cm": 0.7},
            ],
        }
    )
    assert [(one.key, one.value, one.uncertain, one.unit) for one in measurements(whole, SCENE, 1.0)] == [
        ("plain.width_cm", 10.0, 0.1, "cm"),
        ("plain.height_cm", 11.0, 0.1, "cm"),
        ("colourwork.width_cm", 9.0, 0.2, "cm"),
        ("colourwork.height_cm", 8.0, 0.2, "cm"),
        ("colourwork.pucker_mm", 3.0, 0.3, "mm"),
        ("stretched.width_cm", 12.0, 0.4, "cm"),
        ("weighed.grams", 30.0, 0.5, "g"),
        ("floats (no. 1).yarn_cm", 2.5, 0.6, "cm"),
        ("floats (no. 2).yarn_cm", 3.5, 0.7, "cm"),
    ]
    assert measurements(Measured(), SCENE, 1.0) == ()
    assert Responses(SCENE, "repeat", Measured()).of(TIGHT) == ()


def test_a_lying_fabric_is_asked_about_once_with_its_slacks_and_the_ratio_of_its_stiffnesses(needles: Needles) -> None:
    asked = responses(LIES)
    hands = replace(TIGHT, stretch=2.0, bending=3.0, weight=5.0, gauge=1.1)
    width, height = SCENE.gauge.stitch_width * 100.0, SCENE.gauge.row_height * 100.0
    for _ in range(2):
        want = (20 * width * 1.1 * (1.0 - 0.12), 20 * height * 1.01, 2.0)
        assert asked.of(hands) == pytest.approx(want)
    (rest,) = needles.asked
    assert rest.start is None
    table, plain = rest.mesh.floats, asked._repeat.stiffness
    np.testing.assert_allclose(table.slack_f, np.array(TIGHT.slack_y)[table.yarn_f])
    np.testing.assert_allclose(table.length_f, table.span_f * (1.0 + table.slack_f))
    # all divided by the stretch stiffness, which stays; weight is nothing to a repeat without a table
    assert rest.fabric.stiffness.stretch_across == plain.stretch_across
    assert rest.fabric.stiffness.bend_up == pytest.approx(1.5 * plain.bend_up)
    assert asked.solves == 1
    # neither gauge nor weight makes another fabric, nor both stiffnesses alike
    asked.of(replace(hands, stretch=4.0, bending=6.0, weight=1.0, gauge=0.9))
    assert len(needles.asked) == 1
    asked.of(replace(hands, bending=4.0))
    assert len(needles.asked) == asked.solves == 2


def test_each_starts_from_the_nearest_of_the_last_ones(needles: Needles) -> None:
    asked = responses(LIES)
    at = [-0.10, -0.02, -0.06, -0.095, -0.03]
    for slack in at:
        asked.flat(Guess(slack, (slack, slack)))
    first, second, third, fourth, fifth = needles.asked
    assert [one.start for one in needles.asked] == [None, first, second, first, second]
    for number in range(KEPT):  # as many others, after which the first ones are forgotten
        asked.flat(Guess(-0.2, (-0.2 - 0.001 * number,) * 2))
    asked.flat(Guess(-0.101, (-0.101, -0.101)))
    assert needles.asked[-1].start not in (first, second, third, fourth, fifth)
    assert needles.asked[-1].start is needles.asked[5]  # of -0.200, the oldest and the nearest of those kept
    assert asked.solves == len(at) + KEPT + 1


def test_floats_too_tight_are_told_by_the_tightest_yarn(monkeypatch: pytest.MonkeyPatch) -> None:
    def no_rest(*_: object) -> None:
        raise NoEquilibriumError("try a looser slack")

    monkeypatch.setattr(asking, "come_to_rest", no_rest)
    with pytest.raises(NoEquilibriumError) as why:
        responses(LIES).of(Guess(-0.2, (-0.15, -0.254)))
    assert str(why.value) == too_tight(-0.254)
    assert too_tight(-0.254) == (
        "what was measured asks for floats 25 % too short, with which the fabric finds no rest; "
        "measure the colourwork again, width and pucker, and count its stitches"
    )


@pytest.mark.parametrize("slack", [-0.12, -0.06, 0.05])
def test_the_piece_is_looked_at_where_floats_pull(needles: Needles, slack: float) -> None:
    """And what it differs by is a slack, a share of the height and a height that are added from then on."""
    asked = responses(LIES, case="swatch")
    needles.lost = lambda rest: (0.0 if rest.mesh.case == "repeat" else -0.03) - float(rest.mesh.floats.slack_f.min())
    needles.taller = lambda rest: 0.01 if rest.mesh.case == "repeat" else 0.05
    needles.high = lambda rest: 2e-3 if rest.mesh.case == "repeat" else 1.5e-3
    hands = Guess(slack, (slack, slack - 0.01), stretch=2.0, bending=3.0, weight=5.0)
    asked.correct(hands)
    whole = needles.asked[0]
    assert whole.mesh.case == "swatch"
    # both yarns as much tighter, so that the tighter of them tells anything
    tight = min(0.0, TELLING - (slack - 0.01))
    want_y = np.array([slack, slack - 0.01]) + tight
    np.testing.assert_allclose(whole.mesh.floats.slack_f, want_y[whole.mesh.floats.yarn_f], atol=1e-12)
    plain = set_up(SCENE, "swatch").stiffness
    assert stiffness_ratios(whole.fabric.stiffness, plain) == pytest.approx((1.0, 1.5, 2.5))
    assert (asked.looser, asked.taller, asked.higher) == pytest.approx((0.03, 0.04, -0.5e-3))
    found = asked.flat(hands)
    flat = needles.asked[-1].mesh.floats
    np.testing.assert_allclose(flat.slack_f, np.array(hands.slack_y)[flat.yarn_f] + 0.03, atol=1e-12)
    assert (found.taller, found.pucker) == pytest.approx((0.05, 1.5e-3))
    assert asked.solves == len(needles.asked)
    needles.high = lambda rest: 0.1e-3
    assert asked.flat(Guess(-0.3, (-0.3, -0.3))).pucker == 0.0  # never less than flat


def stiffness_ratios(one: Stiffness, other: Stiffness) -> tuple[float, float, float]:
    return (
        one.stretch_across / other.stretch_across,
        one.bend_across / other.bend_across,
        one.areal_mass / other.areal_mass,
    )


def test_a_piece_looked_at_twice_is_looked_at_from_where_it_was(needles: Needles) -> None:
    """What it differs by is added up: the second look finds nothing more."""
    asked = responses(LIES, case="swatch")
    needles.lost = lambda rest: (0.0 if rest.mesh.case == "repeat" else -0.03) - float(rest.mesh.floats.slack_f.min())
    needles.taller = lambda rest: 0.01 if rest.mesh.case == "repeat" else 0.05
    needles.high = lambda rest: 2e-3 if rest.mesh.case == "repeat" else 3e-3
    for _ in range(2):
        asked.correct(TIGHT)
        assert (asked.looser, asked.taller, asked.higher) == pytest.approx((0.03, 0.04, 1e-3))


@pytest.mark.parametrize("section", ["plain", "colourwork"])
def test_a_strip_is_pulled_by_its_weight_over_its_width(needles: Needles, section: str) -> None:
    """50 g on 4 cm are 12.3 N/m; fabric twice as stiff is at twice the load what this one is at it."""
    asked = responses({"stretched": HUNG["stretched"] | {"section": section}})
    load = 0.050 * 9.81 / 0.04 / 2.0
    hands = replace(TIGHT, stretch=2.0, bending=3.0, weight=5.0, gauge=1.1)
    width = SCENE.gauge.stitch_width * 100.0
    for _ in range(2):
        assert asked.of(hands) == pytest.approx((20 * width * 1.1 * (1.0 + load / 100.0),))
    (rest,) = needles.asked
    assert rest.load == pytest.approx(load)
    assert len(rest.mesh.floats) == (0 if section == "plain" else len(asked._repeat.floats))
    if section == "colourwork":
        np.testing.assert_allclose(rest.mesh.floats.slack_f, np.array(TIGHT.slack_y)[rest.mesh.floats.yarn_f])
        assert stiffness_ratios(rest.fabric.stiffness, asked._repeat.stiffness) == pytest.approx((1.0, 1.5, 1.0))
    asked.of(replace(hands, slack_y=(-0.05, -0.05), bending=4.0))
    assert len(needles.asked) == asked.solves == (1 if section == "plain" else 2)  # plain fabric has no floats
    asked.of(replace(hands, stretch=1.0))
    assert needles.asked[-1].load == pytest.approx(2.0 * load)
    assert needles.asked[-1].start is needles.asked[-2]  # bending over stretch is 3 now, and 2 is nearer to it than 1.5


def test_fabrics_that_lie_and_that_hang_start_from_their_like(needles: Needles) -> None:
    asked = responses(LIES, HUNG)
    asked.of(TIGHT)
    lying, hanging = needles.asked
    assert (lying.load, lying.start, hanging.start) == (None, None, None)
    asked.of(replace(TIGHT, bending=2.0))
    assert [one.start for one in needles.asked[2:]] == [lying, hanging]


def test_a_swatch_is_knitted_by_the_hand_of_the_piece_that_a_forecast_shows(needles: Needles) -> None:
    """Else the slack that is learnt would be another than forecasts ask for."""
    scene = scene_of(CHART)
    asked = Responses(scene, "repeat", Measured.model_validate(LIES))
    asked.of(TIGHT)
    once = set_up(scene, "repeat")
    plain = copied(once, needles.asked[0].mesh.rows, needles.asked[0].mesh.stitches).with_slack_of_yarns(TIGHT.slack_y)
    assert len(plain.floats) >= MANY > 5 * len(once.floats)  # enough of them to be uneven in every way
    told = in_hand(plain, typical(plain, SEED), hands_of(scene)).mesh.floats
    np.testing.assert_allclose(needles.asked[0].mesh.floats.length_f, told.length_f, rtol=1e-12)
    assert np.ptp(told.slack_f[told.yarn_f == 0]) > 0.01


def test_yarn_drawn_out_of_a_float_is_short_by_what_floats_fall_short(needles: Needles) -> None:
    floats = [{"gap": 4, "yarn_cm": 2.5}, {"gap": 9, "yarn_cm": 2.5}]
    scene = scene_of(CHART, floats={"short_mm": 0.6})
    short, just_so = (
        Responses(one, "repeat", Measured.model_validate({"floats": floats})).of(Guess(0.1, (0.1, 0.1)))
        for one in (scene, SCENE)
    )
    assert np.array(just_so) - short == pytest.approx([0.06, 0.06])


def test_weight_and_floats_take_no_fabric_at_all(needles: Needles) -> None:
    floats = [
        {"gap": 4, "yarn_cm": 2.5},
        {"gap": 6, "yarn_cm": 2.5, "yarn": "."},
        {"gap": 2, "yarn_cm": 2, "yarn": "#"},
    ]
    asked = responses({"weighed": {"grams": 20.0}, "floats": floats})
    width = SCENE.gauge.stitch_width * 100.0 * 1.1
    none, some, more = (asked.of(Guess(s, (-0.05, 0.07), gauge=1.1, weight=w)) for s, w in ((0, 1), (0.1, 1), (0.2, 3)))
    # of the whole swatch, in grams
    assert some[0] == pytest.approx(1e3 * sum(one.mass for one in yarn_amounts(SCENE, slack=0.1).yarns), rel=1e-9)
    assert none[0] < some[0]
    assert more[0] == pytest.approx(3.0 * (2.0 * some[0] - none[0]))  # straight in the slack, times the weight
    assert some[1:] == pytest.approx((5 * width * 1.1, 7 * width * 0.95, 3 * width * 1.07))
    assert needles.asked == []
