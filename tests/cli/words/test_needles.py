"""What is said of needles."""

from __future__ import annotations

import pytest

from fabricsim.cli.words.needles import larger_needle, needles_used
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from tests.cli.made_up import scene_of


def scene(**gauge: object) -> Scene:
    return scene_of(0.0, gauge={"stitches": 20, "rows": 20, **gauge})


def test_where_the_scene_says_its_needles_the_larger_one_is_named() -> None:
    assert larger_needle(scene(needle_mm=4), 0.07) == (
        "Work the rounds with floats on larger needles, 4.5 mm in place of 4: one size widens by 5 to 8 %, though 0 to "
        "25 is reported. Go back to 4 mm for plain rounds, and one or two sizes below that for rib. Swatch it."
    )
    other = scene(needle_mm=4, colourwork={"stitches": 21, "needle_mm": 4.5})
    said = larger_needle(other, 0.07)
    assert said is not None
    assert "5 mm in place of 4.5" in said
    assert "Go back to 4 mm" in said


def test_else_how_many_sizes_and_what_is_usual_for_the_gauge() -> None:
    said = larger_needle(scene(), 0.12)
    assert said is not None
    assert "2 sizes larger than yours (4.5 to 5.5 mm are usual for this gauge" in said
    assert "Go back to your own" in said


@pytest.mark.parametrize("lost", [-0.1, 0.0, 0.03, 0.2, 1.0])
def test_what_needles_do_not_mend_is_not_said_of_them(lost: float) -> None:
    assert larger_needle(scene(needle_mm=4), lost) is None
    assert larger_needle(scene(needle_mm=10), 0.07) is None


def test_which_are_used_for_what() -> None:
    assert needles_used(scene()) is None
    assert needles_used(scene(needle_mm=4.5)) == "Needles: 4.5 mm."
    both = scene(needle_mm=4, colourwork={"stitches": 21, "needle_mm": 4.5})
    assert needles_used(both) == "Needles: 4 mm for plain rounds, 4.5 mm for rounds of two colours and more."
    only = scene(colourwork={"stitches": 21, "needle_mm": 4.5})
    assert needles_used(only) == "Needles: 4.5 mm for rounds of two colours and more."
    assert scene_hash(scene()) != scene_hash(scene(needle_mm=4))
