"""What measurements tell of hands and fabric, where the answer is known."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.knitter import LearntFactor, LearntSlack
from fabricsim.design.swatch.measured import Measured
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.measures import height_change, pucker, widths
from fabricsim.fabric.relax import come_to_rest, relax
from fabricsim.fabric.setup import set_up
from fabricsim.study.calibrate import learning
from fabricsim.study.calibrate.learning import Fitted, _bare, _factor, _slack, calibrate, wider_than_plain
from fabricsim.study.calibrate.measurements import Measurement, measurements
from fabricsim.study.calibrate.misfit import FAR
from fabricsim.study.calibrate.posterior import Span
from fabricsim.study.calibrate.prior import Prior
from fabricsim.study.calibrate.responses import Guess, Responses
from tests.recovery.trials import CHART, MORE, WIDTHS, made_up
from tests.support.scenes import scene_of

JUST_SO = {"unevenness": 0.0, "short_mm": 0.0}
"""Every float as it is told, so that what is asked can be held against that fabric."""
ENDLESS = scene_of(CHART, floats=JUST_SO, simulation={"case": "repeat"})
WEAK = Prior(slack_doubt=10.0, stiffness=1e3, gauge=5.0)


@pytest.mark.parametrize("slack", [-0.09, -0.02, 0.04])
def test_without_noise_the_truth_comes_back(slack: float) -> None:
    hands = Guess(slack, (slack, slack), stretch=1.3, gauge=1.02)
    learnt = calibrate(ENDLESS, made_up(MORE, hands), prior=WEAK).knitter
    assert learnt.slack.value == pytest.approx(slack, abs=1e-3)
    assert learnt.stretch.value == pytest.approx(1.3, rel=1e-2)
    assert learnt.slack.low < slack < learnt.slack.high


def test_fabric_too_tight_to_find_a_rest_is_told_by_what_was_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    def no_rest(*_: object) -> None:
        raise NoEquilibriumError("try a looser slack")

    monkeypatch.setattr("fabricsim.study.calibrate.responses.come_to_rest", no_rest)
    narrow = Measured.model_validate({"colourwork": {"stitches": 36, "width_cm": 0.75 * 36 / 19 * 10.0}})
    with pytest.raises(NoEquilibriumError, match=r"asks for floats 2\d % too short.*measure the colourwork again"):
        calibrate(ENDLESS, narrow)


def test_stiffness_is_not_told_by_widths() -> None:
    learnt = calibrate(ENDLESS, made_up(WIDTHS, Guess(-0.08, (-0.08, -0.08)))).knitter
    assert learnt.slack.known == "measured"
    assert (learnt.stretch.known, learnt.bending.known, learnt.weight.known) == ("not told",) * 3
    assert (learnt.stretch.used, learnt.bending.used, learnt.weight.used) == (1.0, 1.0, 1.0)


def test_from_widths_alone_loose_floats_have_no_upper_end() -> None:
    scene = scene_of(CHART, floats=JUST_SO, simulation={"case": "repeat"})
    # so loose that not the tightest of uneven floats pulls
    loose, looser = (calibrate(scene, made_up(WIDTHS, Guess(s, (s, s)))).knitter.slack for s in (0.2, 0.3))
    assert loose.known == looser.known == "at least"
    assert loose == looser  # the same widths, so the same answer
    assert -0.06 < loose.low < 0.0
    # by hand: from 0 up the measurements fit alike, and of what was likely before, 1.96 deviations up are left
    assert loose.high == pytest.approx(1.96 * 0.10, abs=1e-3)


def test_measured_floats_tell_yarns_apart() -> None:
    floats = [{"gap": 5, "yarn_cm": 1.0, "yarn": symbol} for symbol in (".", "#") for _ in range(4)]
    shape = {**WIDTHS, "floats": floats}
    learnt = calibrate(ENDLESS, made_up(shape, Guess(0.06, (0.02, 0.10)))).knitter
    tight, loose = learnt.slack_by_yarn["."], learnt.slack_by_yarn["#"]
    assert tight.value < learnt.slack.value < loose.value
    assert tight.low < 0.02 < tight.high
    assert loose.low < 0.10 < loose.high


def test_the_interval_of_a_straight_response_by_hand() -> None:
    """Floats alone, at a known gauge: the mean of normal numbers and a normal before."""
    scene = scene_of(CHART, floats=JUST_SO)
    span = 6 * scene.gauge.stitch_width * 100.0
    floats = [{"gap": 5, "yarn_cm": span * (1.0 + slack), "uncertain_cm": 0.02 * span} for slack in (0.02, 0.04, 0.09)]
    measured = Measured.model_validate({"floats": floats})
    learnt = calibrate(scene, measured, prior=Prior(gauge=1e-6)).knitter.slack
    weights = np.array([3 / 0.02**2, 1 / 0.10**2])
    assert learnt.value == pytest.approx(float(weights @ [0.05, 0.0] / weights.sum()), abs=1e-4)
    assert learnt.high - learnt.low == pytest.approx(2 * 1.96 * weights.sum() ** -0.5, rel=1e-3)


def test_the_whole_piece_corrects_the_repeat() -> None:
    scene = scene_of(CHART, chart={"across": 3, "up": 6}, floats=JUST_SO)
    measured = Measured.model_validate({**WIDTHS})
    hands = Guess(-0.08, (-0.08, -0.08))
    tube = Responses(scene, "round", measured)
    before = tube.of(hands)[1]
    tube.correct(hands)
    exact = 1.0 - widths(relax(scene, "round", slack=-0.08)).overall
    plain = 36 * scene.gauge.stitch_width * 100.0
    assert abs(tube.of(hands)[1] / plain - exact) < 0.1 * abs(before / plain - exact)
    assert tube.looser > 0.01  # floats inside a tube are chords


def test_after_that_height_and_pucker_are_those_of_the_piece() -> None:
    """At the slack that it was looked at, to the last digits: what the repeat lacks is added, and not taken away."""
    scene = scene_of(["#" * 3 + "." * 9, "." * 12, "." * 12], chart={"up": 4}, floats=JUST_SO)
    shape = {"colourwork": {"stitches": 12, "width_cm": 6.0, "rows": 12, "height_cm": 5.0, "pucker_mm": 1.0}}
    piece = Responses(scene, "swatch", Measured.model_validate(shape))
    hands = Guess(-0.08, (-0.08, -0.08))
    piece.correct(hands)
    rest = come_to_rest(set_up(scene, "swatch").with_slack_of_yarns((-0.08, -0.08)))
    learnt = piece.flat(hands)
    assert learnt.taller == pytest.approx(height_change(rest), abs=1e-9)
    assert learnt.pucker == pytest.approx(pucker(rest).peak_to_valley, abs=1e-9)
    assert abs(piece.taller) > 1e-3
    assert piece.higher > 1e-4
    assert piece.of(hands)[1] == pytest.approx(12 * scene.gauge.row_height * 100.0 * (1.0 + learnt.taller))


def test_every_number_is_asked_and_answered_in_order() -> None:
    shape = {
        "plain": {"stitches": 20, "width_cm": 10.0, "rows": 10, "height_cm": 4.0},
        "colourwork": {"stitches": 20, "width_cm": 10.0, "rows": 12, "height_cm": 5.0, "pucker_mm": 0},
        "stretched": {"stitches": 20, "width_cm": 12.0, "grams": 20, "strip_cm": 5.0},
        "weighed": {"grams": 10.0},
        "floats": [{"gap": 4, "yarn_cm": 2.5}],
    }
    scene = scene_of(CHART, floats=JUST_SO)
    measured = Measured.model_validate(shape)
    asked = measurements(measured, scene, 1.0)
    values = Responses(scene, "repeat", measured).of(Guess(0.1, (0.1, 0.1), gauge=1.1, row_gauge=0.9, weight=2.0))
    said = dict(zip([one.key for one in asked], values, strict=True))
    width, height = scene.gauge.stitch_width * 100.0, scene.gauge.row_height * 100.0
    assert said["plain.width_cm"] == pytest.approx(22.0 * width)
    assert said["plain.height_cm"] == pytest.approx(9.0 * height)
    assert said["colourwork.width_cm"] == pytest.approx(22.0 * width)  # slack enough: nothing drawn in
    assert said["colourwork.height_cm"] == pytest.approx(10.8 * height)
    assert said["colourwork.pucker_mm"] == pytest.approx(0.0, abs=1e-6)
    assert said["stretched.width_cm"] > 22.0 * width
    assert said["floats (no. 1).yarn_cm"] == pytest.approx(5 * 1.1 * width * 1.1)
    light = Responses(scene, "repeat", measured).of(Guess(0.1, (0.1, 0.1)))[-2]
    assert said["weighed.grams"] == pytest.approx(2.0 * light)


# ---- what becomes a knitter's file, from made-up fits -------------------------------------------------


def test_a_slack_and_a_factor_are_written_as_a_file_can_hold_them() -> None:
    assert _slack(Span(-0.0512345678, -1.4, 1.7, "measured")) == LearntSlack(
        value=-0.051235, low=-0.99, high=1.0, known="measured"
    )
    assert _slack(Span(0.1, -0.2, 0.3, "at least")) == LearntSlack(value=0.1, low=-0.2, high=0.3, known="at least")
    factor = _factor(Span(np.log(1.2345678), -9.0, 9.0, "not told"))
    far = float(f"{np.exp(FAR):.5g}")
    assert factor == LearntFactor(value=1.2346, low=float(f"{np.exp(-FAR):.5g}"), high=far, known="not told")


def test_how_far_a_measurement_is_off_is_counted_in_its_uncertainty() -> None:
    above = Fitted(Measurement("plain.width_cm", 10.6, 0.3, "cm"), 10.0)
    assert above.off == pytest.approx(2.0)


def test_what_is_sought_is_left_out_of_the_scene_and_told() -> None:
    plain = scene_of(CHART)
    assert _bare(plain) == (plain, ())
    given = {"shear_N_per_m": 4.0, "areal_mass_g_per_m2": 300.0, "thickness_mm": 2.0}
    bare, left_out = _bare(scene_of(CHART, fabric=given))
    assert left_out == ("shear_N_per_m", "areal_mass_g_per_m2")
    assert bare == scene_of(CHART, fabric={"thickness_mm": 2.0})
    assert bare.hands is None


STITCH = scene_of(CHART).gauge.stitch_width * 100.0


@pytest.mark.parametrize(
    ("measured", "wider"),
    [
        ({"colourwork": {"stitches": 30, "width_cm": 30 * STITCH * 1.01}}, True),
        ({"colourwork": {"stitches": 30, "width_cm": 30 * STITCH * 0.99}}, False),
        ({"plain": {"stitches": 20, "width_cm": 9.0}, "colourwork": {"stitches": 30, "width_cm": 13.6}}, True),
        ({"plain": {"stitches": 20, "width_cm": 9.0}, "colourwork": {"stitches": 30, "width_cm": 13.5}}, False),
        ({"plain": {"stitches": 20, "width_cm": 9.0}}, False),
        (
            {"plain": {"rows": 20, "height_cm": 9.0}, "colourwork": {"stitches": 30, "width_cm": 30 * STITCH * 1.01}},
            True,
        ),
    ],
)
def test_colourwork_is_wider_than_the_plain_part_or_than_the_gauge(measured: dict[str, object], wider: bool) -> None:
    assert wider_than_plain(scene_of(CHART), Measured.model_validate(measured)) is wider


@pytest.mark.parametrize(("case", "looked"), [("repeat", 0), ("swatch", 1)])
def test_a_whole_piece_that_lies_is_looked_at_once_at_the_best_fit(
    monkeypatch: pytest.MonkeyPatch, case: Case, looked: int
) -> None:
    """And the fit is made again with what that tells: here that everything lies 3 % wider than the repeat."""
    at: list[float] = []

    class MadeUp(Responses):
        def of(self, hands: Guess) -> tuple[float, ...]:
            lying = (10.0 * (1.0 + hands.slack + self.looser),)
            return (*lying, 3.0) if self.measured.lies else (3.0,)

        def correct(self, hands: Guess) -> None:
            at.append(hands.slack)
            self.looser = 0.03

    monkeypatch.setattr(learning, "Responses", MadeUp)
    shape = {"colourwork": {"stitches": 20, "width_cm": 9.2, "uncertain_cm": 0.02}, "weighed": {"grams": 3.0}}
    found = calibrate(ENDLESS, Measured.model_validate(shape), case)
    assert len(at) == looked
    assert at == pytest.approx([-0.08] * looked, abs=1e-3)
    assert found.knitter.slack.value == pytest.approx(-0.08 - 0.03 * looked, abs=1e-3)
    assert found.case == case
    assert [one.measurement.key for one in found.fitted] == ["colourwork.width_cm", "weighed.grams"]
    assert [one.fitted for one in found.fitted] == pytest.approx([9.2, 3.0], abs=5e-3)
    assert (found.wider, found.left_out, found.solves) == (False, (), 0)
    assert found.knitter.swatch == "small"
    assert found.knitter.slack_by_yarn == {}
    # nothing was told of stiffness, so bending against stretch is as it was: 1.96 sqrt 2 times log 2
    assert found.knitter.bending_against_stretch == pytest.approx(2.0 ** (1.96 * 2.0**0.5), rel=1e-3)
    hung = calibrate(ENDLESS, Measured.model_validate({"weighed": {"grams": 3.0}}), "swatch")
    assert len(at) == looked  # nothing that lies was measured
    assert hung.knitter.weight.known == "not told"
    own = scene_of(CHART, simulation={"case": case})  # unasked it lies as the scene says
    assert calibrate(own, Measured.model_validate(shape)).case == case
