"""What to do about it, sentence by sentence, from forecasts that nobody solved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.cli.words import advice as words_of_advice
from fabricsim.cli.words.advice import ROLLED, advice
from fabricsim.design.floats.faults import faults
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.carried import whole_floats
from fabricsim.fabric.crown import CrownShape, Lies
from fabricsim.study.forecast.forecast import Forecast
from tests.cli.made_up import forecast_of, measures_of, pieces_of, rest_of, scene_of

SPREAD = (
    " Spread the last few stitches on the right needle to their full width before each change of colour, so that the "
    "floats gain {0} % and more; the usual aim is a slack of 5 to 15 %."
)


FLAT = "Nothing to mend: floats within your limits, no width lost, and the fabric lies flat."
NEARLY = "Nothing to mend: floats within your limits, no width lost, and it lies nearly flat."


def told(slack: float = 0.0, **measured: object) -> list[str]:
    rest = rest_of(scene_of(slack))
    return advice(forecast_of(rest, measures_of(rest, **measured)), [])  # type: ignore[arg-type]


def over(case: Case, worked: str = "round", rows: tuple[str, ...] | None = None, up: int = 1) -> list[str]:
    """Return what is said first of fabric whose floats may pass behind two stitches."""
    rows = rows or ("o...", "oo..", "....", "o...")
    scene = scene_of(0.0, rows, worked=worked, chart={"up": up}, floats={"longest_gap": 2})
    rest = rest_of(scene, case)
    return advice(forecast_of(rest, measures_of(rest)), faults(whole_floats(scene, case), scene.limits))


def test_where_nothing_is_wrong_that_is_said() -> None:
    assert told() == told(pucker_mm=0.99) == [FLAT]
    assert told(pucker_mm=1.0) == [NEARLY]


@pytest.mark.parametrize(("lies", "first"), [("ruffled", "Its top ruffles: "), ("dished", "Its top dishes: ")])
def test_a_top_that_does_not_close_smoothly_is_no_fault_of_its_floats(
    lies: Lies, first: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    top = CrownShape(lies, 8.0, 4.7, 0.08, 0.01, 0.01, 0.03)
    monkeypatch.setattr(words_of_advice, "crown_shape", lambda _: top)
    said = told(pucker_mm=5.0)
    assert len(said) == 1
    assert said[0].startswith(f"{first}that comes of stitches going too fast, not of its floats.")
    assert told() == said
    monkeypatch.setattr(words_of_advice, "crown_shape", lambda _: replace(top, lies="smooth"))
    assert told(pucker_mm=5.0)[0].startswith("It puckers")


def test_floats_over_the_limit_are_counted_and_their_rows_named() -> None:
    todo = 'catches = "planned" under [floats] shows where), or break up'
    mend = "('fabricsim mend' finds the smallest changes)."
    several = f"Catch the 2 floats over your limit (in {{}} 1, 4; {todo} those gaps in the chart {mend}"
    assert over("repeat")[0] == several.format("chart rows")
    assert over("round", rows=("o...oo", "......", "......", "o...oo"))[0] == several.format("rounds")
    assert over("swatch", "flat", rows=("o...o", "oo..o", ".....", "o...o"))[0] == several.format("rows")
    assert over("repeat", rows=("o...", "oo.."))[0] == (
        f"Catch the 1 float over your limit (in chart row 2; {todo} that gap in the chart {mend}"
    )


def test_of_many_rows_the_first_six_are_named() -> None:
    six, seven = (over("swatch", "flat", ("o...o",), up)[0] for up in (6, 7))
    assert "(in rows 1, 2, 3, 4, 5, 6; " in six
    assert "(in rows 1, 2, 3, 4, 5, 6 and more; " in seven
    assert seven.startswith("Catch the 7 floats")


def test_floats_too_short_are_to_gain_what_they_lack() -> None:
    assert told(-0.04, lost=0.031) == [
        "Your floats are up to 4 % too short." + SPREAD.format(4),
        "Or allow for it: about 1 more stitch would make good the width (one repeat is 12).",
    ]
    assert told(-0.04, lost=0.0049) == told()  # not worth a word
    assert len(told(-0.04, lost=0.005)) == 2


def test_those_of_one_yarn_are_named() -> None:
    for short in ({"o": -0.06}, {"o": -0.06, ".": 0.0}):
        rest = rest_of(scene_of(0.05, floats={"slack_by_yarn": short}))
        said = advice(forecast_of(rest, measures_of(rest, lost=0.03)), [])
        assert said[0] == "Your floats of ink are up to 6 % too short." + SPREAD.format(6)
    both = rest_of(scene_of(0.05, floats={"slack_by_yarn": {"o": -0.06, ".": -0.02}}))
    assert advice(forecast_of(both, measures_of(both, lost=0.03)), [])[0].startswith("Your floats are up to 6 % too")


def test_where_they_pull_and_are_long_enough_on_average_hands_are_named() -> None:
    assert told(0.0, lost=0.01)[0] == (
        "On average your floats are long enough, but no hand carries them evenly, and each falls a little short where "
        "it becomes a stitch: the tight ones pull, and the loose ones can't push. Carry them a little looser, and all "
        "of them alike."
    )


@pytest.mark.parametrize(
    ("lost", "stitches"),
    [
        (0.02, "1 more stitch"),  # a quarter of a stitch, but less than one can't be added
        (0.111, "1 more stitch"),  # 12 x 0.111 / 0.889 = 1.498
        (0.112, "2 more stitches"),  # 12 x 0.112 / 0.888 = 1.514
        (0.25, "4 more stitches"),
        (0.2501, None),
    ],
)
def test_extra_stitches_make_good_the_width_of_the_whole_piece(lost: float, stitches: str | None) -> None:
    """n stitches drawn in by a share p need n p / (1 - p) more (derived), as long as that is a remedy."""
    said = [one for one in told(-0.3, lost=lost) if one.startswith("Or allow")]
    want = f"Or allow for it: about {stitches} would make good the width (one repeat is 12)."
    assert said == ([] if stitches is None else [want])


def test_how_it_looks_beside_plain_fabric() -> None:
    seen = "From about 5 % it is seen beside plain fabric."
    hourglass = "From about 8 % it looks like an hourglass beside plain fabric."
    for lost, said in ((0.0499, []), (0.05, [seen]), (0.0799, [seen]), (0.08, [hourglass]), (0.25, [hourglass])):
        assert [one for one in told(-0.3, lost=lost) if one.startswith("From")] == said


@pytest.mark.parametrize(
    ("waves", "size"),
    [((2.4, 3.6), ", in waves about 2 cm long"), ((None, 3.6), ", in waves about 4 cm long"), ((None, None), "")],
)
def test_of_pucker(waves: tuple[float | None, float | None], size: str) -> None:
    assert told(0.0, pucker_mm=3.0, waves_cm=waves) == [
        f"It puckers{size}: looser floats first; where a motif is wide, break up its plain areas with a stitch of the "
        "other colour, so that no float has a wide flap of fabric to fold."
    ]
    assert told(0.0, pucker_mm=2.99, waves_cm=waves) == [NEARLY]


def test_what_may_pucker_is_told_too() -> None:
    rest = rest_of(scene_of(0.0))

    def said(worst: float) -> list[str]:
        pieces = pieces_of(rest, (0.0, worst), (0.0, 0.0), None, (0.0, 0.0))
        return advice(forecast_of(rest, measures_of(rest, pucker_mm=0.5), pieces), [])

    assert said(3.0) == ["It may pucker if your floats come out a little tighter than you think: knit a swatch first."]
    assert said(2.99) == told()


def test_of_loose_floats() -> None:
    baggy = ["Floats with more than 25 % slack hang in loops and snag: work them a little tighter."]
    assert told(0.2501, spare=0.25) == baggy
    spare = ["As forecast here it gives about 7 % across before the first floats go taut."]
    assert told(0.25, spare=0.07) == spare
    assert told(0.25, spare=0.005) == told()
    rest = rest_of(scene_of(0.05, floats={"slack_by_yarn": {"o": 0.3}}))
    assert advice(forecast_of(rest, measures_of(rest, spare=0.05)), []) == baggy  # one yarn is enough


def test_floats_are_baggy_by_what_is_meant_not_by_the_loosest_of_uneven_ones() -> None:
    rest = rest_of(scene_of(0.2))
    slack_f = 0.2 + np.linspace(-0.1, 0.1, len(rest.mesh.floats))
    uneven = replace(rest, mesh=replace(rest.mesh, floats=replace(rest.mesh.floats, slack_f=slack_f)))
    assert advice(forecast_of(uneven, measures_of(uneven, spare=0.005)), []) == told()


def test_the_most_pressing_comes_first() -> None:
    scene = scene_of(-0.1, floats={"longest_gap": 2})
    rest = rest_of(scene)
    found: Forecast = forecast_of(rest, measures_of(rest, lost=0.09, pucker_mm=4.0, spare=0.02))
    beginnings = (
        "Catch the",
        "Work the rounds with floats on larger needles",
        "Your floats are",
        "Or allow",
        "From about 8 %",
        "It puckers:",
        "As forecast here it gives",
    )
    for one, begins in zip(advice(found, faults(whole_floats(scene, "repeat"), scene.limits)), beginnings, strict=True):
        assert one.startswith(begins)


def test_fabric_without_floats_is_not_said_to_stretch() -> None:
    rest = rest_of(scene_of(0.0, ["." * 12] * 2))
    assert advice(forecast_of(rest, measures_of(rest)), []) == told()


def test_of_a_swatch_that_curls_no_cure_is_told_for_what_its_edges_do() -> None:
    """Neither more stitches nor looser floats unroll it; too long a float is too long all the same."""
    rest = rest_of(scene_of(-0.05), "swatch")
    curled = replace(rest, stiffness=replace(rest.stiffness, curl_across=-100.0))
    rolled = forecast_of(curled, measures_of(curled, lost=0.05, pucker_mm=15.0))
    assert advice(rolled, []) == [ROLLED]
    pinned = advice(forecast_of(rest, measures_of(rest, lost=0.05, pucker_mm=15.0)), [])
    assert any(one.startswith("It puckers") for one in pinned)
    assert any(one.startswith("Or allow for it") for one in pinned)
    assert ROLLED not in pinned
