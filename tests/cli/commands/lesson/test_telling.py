"""What happens at each slack and why, sentence by sentence, from steps that nobody solved."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fabricsim.cli.commands.lesson.telling import telling
from fabricsim.cli.commands.lesson.words import sag_of
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.study.forecast.sweep import Step, Sweep
from tests.cli.made_up import measures_of, rest_of, scene_of

ALL = 8
"""Floats of the repeat."""


def step(slack: float, rest: Equilibrium | None = None, **measured: object) -> Step:
    rest = rest or rest_of(scene_of(0.0), slack=slack)
    return Step(slack, rest, measures_of(rest, **measured))  # type: ignore[arg-type]


def told(one: Step, *others: Step) -> list[str]:
    return telling(one, Sweep((*others, one)))


def tight(**measured: object) -> list[str]:
    return told(step(-0.05, **{"lost": 0.05, "taut": ALL, "pull_cN": 0.45, **measured}))  # type: ignore[arg-type]


def test_why_floats_pull() -> None:
    lacks = (
        "Each float holds 5 % less yarn than the distance that it bridges: the longest, behind 5 stitches, has 28.5 "
        "mm of "
        "yarn for 30.0 mm. So "
    )
    weight = ", and the hardest pulls with {} cN, {}."
    hardest = weight.format("0.45", "about the weight of 0.5 g")
    assert tight(pull_cN=0.449)[0] == f"{lacks}all of the 8 floats are taut{hardest.replace('0.5 g', '0.4 g')}"
    assert tight(taut=3, pull_cN=0.1)[0] == (
        f"{lacks}3 of the 8 floats are taut{weight.format('0.10', 'about the weight of 0.1 g')}"
    )
    assert tight(taut=1, pull_cN=0.099)[0] == (
        f"{lacks}1 of the 8 floats is taut{weight.format('0.10', 'less than the weight of a tenth of a gram')}"
    )
    assert told(step(0.0, taut=ALL, pull_cN=1.0))[0] == (
        "The floats are not short, and still some pull. So all of the 8 floats are taut, and the hardest pulls with "
        "1.00 "
        "cN, about the weight of 1.0 g."
    )


def test_how_the_fabric_gives_way() -> None:
    side_by_side = (
        "One float's pull is small, but they pull side by side, and the stitches close up until the floats just "
        "reach: 6.0 "
        "cm become 5.8 cm, 4.0 % narrower"
    )
    few = "The stitches behind them close up: 6.0 cm become 5.8 cm, 4.0 % narrower"
    rest = (
        ": less than the 5 % that the floats lack, as waves take up a part of it and 1 round without floats holds "
        "against them."
    )
    waves = {"lost": 0.04, "rms_mm": 1.0, "waves_cm": (3.0, None)}
    assert tight(**waves)[1] == side_by_side + rest
    assert tight(**waves, taut=4)[1] == side_by_side + rest
    assert tight(**waves, taut=3)[1] == few + rest
    assert tight(lost=0.0004)[1] == (
        "Yarn does not stretch for them, but they are too few or too nearly long enough to narrow the fabric."
    )


@pytest.mark.parametrize(
    ("lost", "said"),
    [
        (0.0526, ", which is more than the 5 % that each float lacks."),
        (0.0524, ": about the 5 % that each float lacks."),
        (0.0476, ": about the 5 % that each float lacks."),
        (0.0474, ": nearly all of the 5 % that the floats lack."),
        (0.0426, ": nearly all of the 5 % that the floats lack."),
        (0.0424, ": less than the 5 % that the floats lack, as 1 round without floats holds against them."),
    ],
)
def test_against_what_the_floats_lack(lost: float, said: str) -> None:
    assert (
        tight(lost=lost)[1].split(" % narrower")[1].removesuffix(" From about 5 % it is seen beside plain fabric.")
        == said
    )


@pytest.mark.parametrize(("rms_mm", "named"), [(0.30, False), (0.31, True)])
def test_waves_are_named_where_they_take_up_a_tenth_of_what_is_missing(rms_mm: float, named: bool) -> None:
    """Half the mean square of a sine's slope, (2 pi rms / wave)^2 / 2, against a tenth of 2 %: 0.302 mm in 3 cm."""
    said = tight(lost=0.03, rms_mm=rms_mm, waves_cm=(3.0, None))[1]
    assert ("waves take up a part of it" in said) == named


def test_a_tube_and_rows_without_floats_are_named_as_reasons() -> None:
    tube = rest_of(scene_of(0.0, chart={"across": 2}), "round", slack=-0.05)
    assert told(step(-0.05, tube, lost=0.02, taut=3))[1].endswith(
        ": less than the 5 % that the floats lack, as inside a tube they cut the corner."
    )
    two = rest_of(scene_of(0.0, ["o.....", "......", "......"], worked="flat"), slack=-0.05)
    assert told(step(-0.05, two, lost=0.02, taut=1))[1].endswith(", as 2 rows without floats hold against them.")
    every, enough = (rest_of(scene_of(0.0, ["o....."] * 2), slack=slack) for slack in (-0.05, 0.0))
    assert told(step(-0.05, every, lost=0.02, taut=1))[1].endswith(": less than the 5 % that the floats lack.")
    assert told(step(0.0, enough, lost=0.02, taut=1))[1].endswith("2.0 % narrower.")


def test_how_it_looks_beside_plain_fabric() -> None:
    seen = " From about 5 % it is seen beside plain fabric."
    hourglass = " From about 8 % it looks like an hourglass beside plain fabric."
    for lost, said in ((0.0499, "lacks."), (0.05, seen), (0.0799, seen), (0.08, hourglass)):
        assert tight(lost=lost)[1].endswith(said)


def test_whether_it_lies_flat() -> None:
    assert tight(pucker_mm=0.04)[2] == "It still lies flat, within 0.1 mm."
    assert tight(pucker_mm=0.94)[2] == "It still lies flat, within 0.9 mm."
    bends = "Floats lie behind the stitches, so they do not only draw in, they also bend the fabric: it is "
    assert tight(pucker_mm=1.0)[2] == f"{bends}faintly rippled, 1.0 mm from peak to valley."
    for waves in ((2.44, None), (None, 2.44), (2.44, 9.0)):
        assert tight(pucker_mm=4.0, waves_cm=waves)[2] == (
            f"{bends}puckered, 4.0 mm from peak to valley, in waves about 2.4 cm long."
        )
    assert tight(touching=1)[2].endswith(" It even folds onto itself (1 stitch touches).")
    assert tight(touching=2)[2].endswith(" It even folds onto itself (2 stitches touch).")


def test_of_a_swatch_that_curls_its_floats_are_not_blamed() -> None:
    flat = rest_of(scene_of(0.0, worked="flat"), "swatch", slack=-0.05)
    rolled = replace(flat, stiffness=replace(flat.stiffness, curl_up=100.0))
    why = (
        "Its edges are not pinned and roll, whatever its floats do: it is deeply puckered, 15.5 mm from peak to valley."
    )
    assert told(step(-0.05, rolled, lost=0.05, taut=3, pucker_mm=15.5))[2] == why
    assert told(step(-0.05, flat, lost=0.05, taut=3, pucker_mm=15.5))[2].startswith("Floats lie behind the stitches")


def test_the_cure_and_what_it_gives_back() -> None:
    cure = (
        "The cure: before each change of colour spread the last 4 or 5 stitches on the right needle to their full "
        "width, "
        "then let the new strand lie along them without pulling it."
    )
    pulls = step(-0.05, lost=0.05, taut=ALL)
    assert told(pulls)[3] == cure
    free = [step(slack, lost=lost) for slack, lost in ((0.1, 0.0), (0.02, 0.01), (0.0, 0.008))]
    assert told(pulls, *free)[3] == f"{cure} With no slack nothing pulls any more and gives back 0.3 cm."
    assert told(pulls, *free[:2])[3] == f"{cure} With 2 % slack nothing pulls any more and gives back 0.2 cm."
    little = step(-0.05, lost=0.008, taut=1)
    assert told(little, free[0])[3] == f"{cure} With 10 % slack nothing pulls any more."


def test_why_nothing_pulls() -> None:
    def rests(slack: float, **measured: object) -> str:
        return told(step(slack, **measured))[0]

    assert rests(0.1) == (
        "Each float holds 10 % more yarn than what it bridges (33.0 mm of yarn for 30.0 mm in the longest). So it lies "
        "there without pulling, and the fabric is as wide as plain fabric."
    )
    assert rests(0.1, lost=0.02).endswith("and the fabric is 2.0 % narrower.")
    assert rests(0.0) == (
        "Each float holds just as much yarn as the distance that it bridges (30.0 mm of yarn for 30.0 mm in the "
        "longest)."
    )
    assert rests(-0.02) == (
        "Each float holds 2 % less yarn than what it bridges (29.4 mm of yarn for 30.0 mm in the longest), and yet "
        "nothing "
        "pulls."
    )


def test_inside_a_tube_floats_cut_the_corner() -> None:
    scene = scene_of(0.0, chart={"across": 2})

    def tube(slack: float, cut: float, **measured: object) -> Step:
        rest = rest_of(scene, "round", slack=slack)
        return step(slack, replace(rest, way_f=(1.0 - cut) * rest.mesh.floats.span_f), **measured)

    for cut, there in ((0.02, True), (0.0031, True), (0.0029, False)):
        said = told(tube(0.1, cut))[0]
        corner = f" Inside the tube it needs {100 * cut:.1f} % less still, as it cuts the corner.".replace(".0 %", " %")
        assert (corner in said) == there
        why = told(tube(-0.05, 0.0, taut=2), tube(0.1, cut))[0]
        saved = f" Inside the tube a float cuts the corner, which saves it {100 * cut:.1f} % on average: too little."
        assert (saved.replace(".0 %", " %") in why) == there
    assert "cuts the corner" not in told(tube(-0.05, 0.02, taut=2))[0]  # no step is plain


def test_how_much_is_to_spare() -> None:
    right = "This is within the usual aim of 5 to 15 %: it gives when it is pulled on, and nothing hangs far."
    low = (
        "Nobody's floats are all alike, and some would come out shorter than this: so aim higher. Usual is a slack of "
        "5 to "
        "15 %."
    )
    nothing = "There is nothing to spare: at the least stretch the first floats go taut."
    for slack, said in ((0.05, right), (0.15, right), (0.03, low), (0.0, low)):
        assert told(step(slack, spare=0.03))[1] == (f"It stretches 3 % across before the first float goes taut. {said}")
    assert told(step(0.0, spare=0.0004))[1] == f"{nothing} {low}"


def test_too_much_hangs() -> None:
    for slack, hangs in (
        (0.16, "low enough to catch a finger"),
        (0.25, "low enough to catch a finger"),
        (0.26, "in loops that snag on fingers and buttons"),
    ):
        one = step(slack, spare=slack)
        assert told(one)[1] == (
            "But it is more than the usual aim of 5 to 15 %: the spare yarn has to go somewhere. The longest float "
            "sags "
            f"{1000 * sag_of(one):.0f} mm from its straight way, {hangs}. Work the floats a little tighter: the fabric "
            "stays as wide."
        )


def test_what_is_told_of_a_step_depends_on_whether_anything_pulls() -> None:
    assert [len(told(step(-0.05, taut=taut))) for taut in (0, 1)] == [2, 4]
