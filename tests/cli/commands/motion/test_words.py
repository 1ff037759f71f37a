"""What is said of a film and in each of its pictures, from steps that nobody solved."""

from __future__ import annotations

from math import pi

import pytest

from fabricsim.cli.commands.motion.options import LOOSE, TIGHT, MotionOptions, slacks_between
from fabricsim.cli.commands.motion.words import HEAVY, caption, words
from fabricsim.cli.shell.options import Load
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.study.forecast.sweep import Step, Sweep
from tests.cli.made_up import measures_of, rest_of, scene_of

OPTIONS = MotionOptions(Load("repeat"), (0.06, -0.1), seconds=7.5, width_px=601)
MEGABYTE = b" " * 1_234_000


def step(slack: float, rest: Equilibrium | None = None, **measured: object) -> Step:
    rest = rest or rest_of(scene_of(0.0), slack=slack)
    return Step(slack, rest, measures_of(rest, **measured))  # type: ignore[arg-type]


def test_all_that_is_said_of_a_film() -> None:
    swept = Sweep((step(0.06, lost=0.0004), step(-0.1, lost=0.08, pucker_mm=1.26)), ((-0.123, "why"), (-0.15, "why")))
    assert words(swept, MEGABYTE, "webp", OPTIONS) == [
        "Made up",
        "Loose      slack +6 %: as wide as plain fabric, 6.0 cm; pucker 0.0 mm",
        "Tight      slack -10 %: 8.0 % narrower, 6.0 cm to 5.5 cm; pucker 1.3 mm",
        "Film       2 fabrics at rest, there and back in 7.5 s, 1.2 MB",
        "Left out   slack -12.3 %, -15 %: no rest was found there",
    ]


@pytest.mark.parametrize(
    ("lost", "wide"),
    [
        (0.0005, "0.1 % narrower, 6.0 cm to 6.0 cm"),
        (-0.0005, "0.1 % wider, 6.0 cm to 6.0 cm"),
        (0.00049, "as wide as plain fabric, 6.0 cm"),
    ],
)
def test_a_loss_is_told_from_where_it_shows(lost: float, wide: str) -> None:
    said = words(Sweep((step(0.06), step(-0.1, lost=lost))), b"", "webp", OPTIONS)
    assert said[2] == f"Tight      slack -10 %: {wide}; pucker 0.0 mm"


def test_what_is_heavy_and_what_passes_through_itself_is_pointed_out() -> None:
    fine, crossing = Sweep((step(0.06), step(-0.1))), Sweep((step(0.06), step(-0.1, crossing=1)))
    heavy = "           (a GIF of yarn is heavy: .webp takes a third of that, --width 300 a quarter)"
    assert words(fine, b" " * (HEAVY + 1), "gif", OPTIONS)[-1] == heavy
    for data, kind in ((b" " * HEAVY, "gif"), (b" " * (HEAVY + 1), "webp")):
        assert words(fine, data, kind, OPTIONS)[-1].startswith("Film       2 fabrics at rest, there and back in 7.5 s,")
    assert words(crossing, b"", "webp", OPTIONS)[-1] == (
        "Beware: at its tightest the fabric passes through itself. Don't trust that; stop at a looser --to."
    )


def test_each_picture_tells_its_slack_and_its_width() -> None:
    tube = caption(step(-0.04, rest_of(scene_of(0.0), "round"), lost=0.05))
    assert tube.words == ("slack -4.0 %", "5.7 cm round", "5.0 % narrower")
    assert (tube.plain, tube.now) == pytest.approx((0.06 / pi, 0.95 * 0.06 / pi))
    swatch = caption(step(0.0, rest_of(scene_of(0.0), "swatch"), lost=-1e-5))
    assert swatch.words == ("slack +0.0 %", "6.0 cm wide", "0.0 % narrower")
    assert (swatch.plain, swatch.now) == pytest.approx((0.06, 0.06), rel=1e-4)
    repeat = caption(step(-0.04, lost=0.05))
    assert repeat.words == ("slack -4.0 %", "the whole piece 5.7 cm", "5.0 % narrower")
    assert repeat.now == pytest.approx(0.95 * repeat.plain)
    assert repeat.plain / 0.06 == pytest.approx(round(repeat.plain / 0.06))  # whole repeats are drawn


def test_from_loose_to_as_tight_as_the_scene_or_tighter_than_most() -> None:
    def between(slack: float, end: float | None = None) -> list[float]:
        return list(slacks_between(scene_of(slack), Load("repeat"), LOOSE, end, 5))

    assert between(0.1) == pytest.approx([0.06, 0.02, -0.02, -0.06, TIGHT])
    assert between(-0.02) == pytest.approx([0.06, 0.04, 0.02, 0.0, -0.02])
    assert between(0.0)[-1] == pytest.approx(TIGHT)
    assert between(-0.02, 0.1) == pytest.approx([0.06, 0.07, 0.08, 0.09, 0.1])
