"""What calibrating says of a swatch that can't be, from a made-up answer."""

from __future__ import annotations

import pytest

from fabricsim.cli.commands.calibrate.data import for_programs
from fabricsim.cli.commands.calibrate.words import learnt, scene_lines, tell
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntLength, LearntShare, LearntSlack, SlackGoes
from fabricsim.design.scene.read import scene_hash
from fabricsim.design.swatch.measured import Measured
from fabricsim.study.calibrate.learning import Calibration, Fitted, wider_than_plain
from fabricsim.study.calibrate.measurements import Measurement
from fabricsim.study.calibrate.prior import Prior
from fabricsim.study.calibrate.responses import too_tight
from tests.cli.printed import printed, rounded
from tests.support.scenes import scene_of

SCENE = scene_of(["#..#..", ".##..."])
FACTOR = LearntFactor(value=1.0, low=0.5, high=2.0, known="not told")
HANDS = Knitter(
    slack=LearntSlack(value=0.03, low=-0.01, high=0.2, known="measured"),
    stretch=FACTOR,
    bending=FACTOR,
    bending_against_stretch=2.0,
    weight=FACTOR,
)


@pytest.mark.parametrize("wider", [False, True])
def test_a_swatch_wider_than_plain_knitting_is_remarked_upon(wider: bool) -> None:
    said = learnt(SCENE, Calibration(HANDS, (), "repeat", 0, (), Prior(), wider))
    assert (
        "The colourwork was measured wider than plain knitting, which no floats make it." in " ".join(said)
    ) == wider


@pytest.mark.parametrize(
    ("plain", "width_cm", "wider"),
    [({}, 20.1, True), ({}, 19.9, False), ({"stitches": 19, "width_cm": 10.2}, 20.3, False)],
)
def test_wider_by_the_plain_part_else_by_the_gauge(plain: dict[str, float], width_cm: float, wider: bool) -> None:
    measured = Measured.model_validate({"plain": plain, "colourwork": {"stitches": 38, "width_cm": width_cm}})
    assert wider_than_plain(SCENE, measured) == wider


def test_too_tight_a_swatch_is_said_in_what_was_measured() -> None:
    assert too_tight(-0.371) == (
        "what was measured asks for floats 37 % too short, with which the fabric finds no rest; measure the colourwork "
        "again, width and pucker, and count its stitches"
    )


def fitted(key: str, value: float, unit: str, fit: float, uncertain: float = 0.2) -> Fitted:
    return Fitted(Measurement(key, value, uncertain, unit), fit)


FITTED = (
    fitted("plain.width_cm", 20.0, "cm", 20.04),
    fitted("colourwork.width_cm", 19.2, "cm", 19.31),
    fitted("colourwork.pucker_mm", 4.0, "mm", 1.4, 1.0),
    fitted("stretched.width_cm", 24.0, "cm", 23.5),
    fitted("weighed.grams", 31.0, "g", 30.5, 1.0),
    fitted("floats (no. 2).yarn_cm", 3.4, "cm", 3.2, 0.05),
)
SURELY = Knitter(
    slack=LearntSlack(value=-0.062, low=-0.09, high=-0.03, known="measured"),
    slack_by_yarn={"#": LearntSlack(value=0.02, low=-0.01, high=0.05, known="measured")},
    stretch=LearntFactor(value=1.31, low=0.92, high=1.9, known="measured"),
    bending=LearntFactor(value=0.8, low=0.45, high=1.4, known="measured"),
    bending_against_stretch=2.0,
    weight=LearntFactor(value=1.08, low=1.02, high=1.14, known="measured"),
)


def test_all_that_a_telling_swatch_says() -> None:
    scene = SCENE.model_copy(update={"knitter": "mine.toml"})
    found = Calibration(SURELY, FITTED, "swatch", 24, ("mass", "stretch_across_N_per_m"), Prior())
    assert (
        printed(lambda page: tell(page, scene, found))
        == """\
**small**
The swatch is seen as a swatch on a table, free to draw in, held down by its own weight.

Your floats come out 6 % too short (3 to 9 %, 95 times in 100).
Those of # come out 2 % slack (1 % too short to 5 % slack).
Against stretch your fabric is 1.3 times as stiff as was assumed (0.92 to 1.9, 95 times in 100).
Against bending your fabric is 0.8 times as stiff as was assumed (0.45 to 1.4, 95 times in 100).
It weighs 1.1 times (1 to 1.1) what was reckoned from the yarns.
Left out here, since it is what is sought: mass, stretch_across_N_per_m under [fabric].
The scene's knitter's file, mine.toml, is left out here too.

**What was measured, and what such hands would measure**
                             measured  give or take     fits  off
---------------------------  --------  ------------  -------  -----------------------
width, plain                  20.0 cm           0.2  20.0 cm
width, colourwork             19.2 cm           0.2  19.3 cm
**pucker, from peak to valley      4 mm             1     1 mm  doubtful: measure again**
width, stretched              24.0 cm           0.2  23.5 cm
weight of the swatch           31.0 g             1   30.5 g
**yarn of float 2                3.4 cm          0.05   3.2 cm  doubtful: measure again**

2 measurements can't be made to fit the others; don't trust the answer until that is cleared up.
Before anything was measured, slack was taken as 0 % give or take 10 %, floats as uneven by 3 % up to 2 times
more or less and as 0.5 mm short give or take 0.3 mm, and stiffness as known to a factor of 2. What comes out
is the knitter and the yarn of this one swatch, by a mechanics that is checked against exact solutions, not
against hand-knits: knit another swatch and see whether it comes out so.

To use it without the file, write into a scene:

    [floats]
    slack = -0.062"""
    )
    told = for_programs(SCENE, found)
    assert told.pop("scene_hash") == scene_hash(SCENE)
    assert rounded(told) == {
        "schema_version": 1,
        "command": "calibrate",
        "title": "small",
        "case": "swatch",
        "second_title": None,
        "interval_percent": 95,
        "knitter": {
            "swatch": "",
            "slack": {"percent": -6.2, "low_percent": -9.0, "high_percent": -3.0, "known": "measured"},
            "slack_by_yarn": {"#": {"percent": 2.0, "low_percent": -1.0, "high_percent": 5.0, "known": "measured"}},
            "unevenness": None,
            "short": None,
            "stretch": {"factor": 1.31, "low_factor": 0.92, "high_factor": 1.9, "known": "measured"},
            "bending": {"factor": 0.8, "low_factor": 0.45, "high_factor": 1.4, "known": "measured"},
            "bending_against_stretch_factor": 2.0,
            "weight": {"factor": 1.08, "low_factor": 1.02, "high_factor": 1.14, "known": "measured"},
        },
        "measurements": [
            {
                "key": "plain.width_cm",
                "unit": "cm",
                "measured": 20.0,
                "uncertain": 0.2,
                "fitted": 20.04,
                "uncertainties_off": -0.2,
            },
            {
                "key": "colourwork.width_cm",
                "unit": "cm",
                "measured": 19.2,
                "uncertain": 0.2,
                "fitted": 19.31,
                "uncertainties_off": -0.55,
            },
            {
                "key": "colourwork.pucker_mm",
                "unit": "mm",
                "measured": 4.0,
                "uncertain": 1.0,
                "fitted": 1.4,
                "uncertainties_off": 2.6,
            },
            {
                "key": "stretched.width_cm",
                "unit": "cm",
                "measured": 24.0,
                "uncertain": 0.2,
                "fitted": 23.5,
                "uncertainties_off": 2.5,
            },
            {
                "key": "weighed.grams",
                "unit": "g",
                "measured": 31.0,
                "uncertain": 1.0,
                "fitted": 30.5,
                "uncertainties_off": 0.5,
            },
            {
                "key": "floats (no. 2).yarn_cm",
                "unit": "cm",
                "measured": 3.4,
                "uncertain": 0.05,
                "fitted": 3.2,
                "uncertainties_off": 4.0,
            },
        ],
        "before": {
            "slack_percent": 0.0,
            "slack_deviation_percent": 10.0,
            "unevenness_percent": 3.0,
            "unevenness_deviation_factor": 2.0,
            "short_mm": 0.45,
            "short_deviation_mm": 0.3,
            "yarn_deviation_percent": 5.0,
            "stiffness_deviation_factor": 2.0,
            "weight_deviation_percent": 15.0,
            "gauge_deviation_percent": 5.0,
        },
        "left_out": ["mass", "stretch_across_N_per_m"],
        "fabrics_solved": 24,
    }


@pytest.mark.parametrize(
    ("low", "said"),
    [
        (-0.006, "anything from 1 % too short upwards fits"),
        (-0.004, "anything from 0 % slack upwards fits"),
        (0.031, "anything from 3 % slack upwards fits"),
    ],
)
def test_where_only_the_tightest_is_known(low: float, said: str) -> None:
    slack = LearntSlack(value=0.05, low=low, high=0.35, known="at least")
    hands = HANDS.model_copy(update={"slack": slack})
    (first, *_) = learnt(SCENE, Calibration(hands, (), "repeat", 0, (), Prior()))
    assert first.startswith("What was measured can't tell how loose your floats are: anything from ")
    assert said in first
    assert first.endswith("draw nothing in. Measure the yarn of a few floats for that.")


def test_all_that_a_silent_swatch_says() -> None:
    hands = HANDS.model_copy(update={"slack": LearntSlack(value=0.05, low=-0.1, high=0.2, known="not told")})
    found = Calibration(hands, FITTED[:1] + FITTED[4:5], "repeat", 3, (), Prior())
    assert (
        printed(lambda page: tell(page, SCENE, found))
        == """\
**small**
The swatch is seen as endless repeats, far from any edge and without weight.

How slack your floats are can't be told from this: measure the width of the colourwork and of a plain part, or
the yarn of a few floats.
How stiff your fabric is against stretch can't be told from this: hang a weight on a plain part and measure
how wide it gets.
How stiff your fabric is against bending can't be told from this: only colourwork that puckers can: measure
from peak to valley.
Its weight tells nothing new: the scales are no surer than the label.

**What was measured, and what such hands would measure**
                      measured  give or take     fits  off
--------------------  --------  ------------  -------  ---
width, plain           20.0 cm           0.2  20.0 cm
weight of the swatch    31.0 g             1   30.5 g

Before anything was measured, slack was taken as 0 % give or take 10 %, floats as uneven by 3 % up to 2 times
more or less and as 0.5 mm short give or take 0.3 mm, and stiffness as known to a factor of 2. What comes out
is the knitter and the yarn of this one swatch, by a mechanics that is checked against exact solutions, not
against hand-knits: knit another swatch and see whether it comes out so."""
    )


UNEVEN = LearntShare(value=0.045, low=0.03, high=0.07, known="measured")
SHORT = LearntLength(value=0.62, low=0.31, high=0.94, known="measured")
GOES = SlackGoes(with_unevenness=0.02, with_short_mm=0.041)


def test_what_was_learnt_of_floats_is_said_and_given_as_lines_for_a_scene() -> None:
    hands = SURELY.model_copy(update={"unevenness": UNEVEN, "short_mm": SHORT, "slack_goes": GOES})
    said = learnt(SCENE, Calibration(hands, FITTED, "swatch", 24, (), Prior(), second="the other"))
    assert "They differ by 4.5 % from float to float (3 to 7 %, 95 times in 100)." in said
    short = "Beside that they fall short by 0.6 mm each (0.3 to 0.9 mm, 95 times in 100), however far they reach."
    assert short in said
    assert scene_lines(hands) == ["[floats]", "slack = -0.062", "unevenness = 0.045", "short_mm = 0.62"]
    assert scene_lines(HANDS) == ["[floats]", "slack = 0.030"]


def test_what_cannot_be_told_of_floats_is_said_with_what_would_tell_it() -> None:
    untold = {"unevenness": UNEVEN.model_copy(update={"known": "not told"})}
    untold |= {"short_mm": SHORT.model_copy(update={"known": "not told"})}  # type: ignore[dict-item]
    hands = SURELY.model_copy(update={**untold, "slack_goes": GOES})
    told = {}
    for second in (None, "the other"):
        told[second] = " ".join(learnt(SCENE, Calibration(hands, FITTED, "swatch", 24, (), Prior(), second=second)))
        assert (
            "How uneven they are can't be told from this, widths tell nothing of it: measure the yarn" in told[second]
        )
        assert "4 % more slack and 1 mm more that they fall short would fit alike" in told[second]
    assert "however far it reaches, one motif can't tell apart" in told[None]
    assert "however far it reaches, two motifs that draw in so alike can't tell apart" in told["the other"]
    loose = {"slack": LearntSlack(value=0.05, low=-0.01, high=0.3, known="at least")}
    said = learnt(SCENE, Calibration(hands.model_copy(update=loose), FITTED, "swatch", 24, (), Prior()))
    assert "tell apart" not in " ".join(said)  # of floats that pull nothing it is of no matter
    assert scene_lines(hands.model_copy(update=loose)) == []
