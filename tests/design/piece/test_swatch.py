"""The swatch to knit first, worked out by hand."""

from __future__ import annotations

import pytest

from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.piece.swatch import swatch_amounts, swatch_of
from fabricsim.design.scene.model import Scene
from tests.design.scenes import scene_table


def scene(rows: list[str], stitches: float, high: float) -> Scene:
    """Return a scene of so many stitches and rows to 10 cm."""
    table = scene_table(rows, across=9, up=7, plain_below=1, plain_above=2)
    return Scene.model_validate(table | {"gauge": {"stitches": stitches, "rows": high}})


@pytest.mark.parametrize(
    ("stitches", "high", "across", "up"),
    [
        (20, 25, 6, 9),  # 14 cm are 28 stitches, so 6 repeats of 5; and 35 rows, 27 without the plain ones
        (25, 30, 7, 12),  # 35 stitches are just enough; 42 rows, 34
        (26, 31, 8, 12),  # 36.4 stitches are one repeat more; 43.4 rows, 35.4
        (9, 5.5, 3, 1),  # 7.7 rows: the plain ones alone would do, but it is the chart that is to be seen
    ],
)
def test_it_has_as_few_repeats_as_leave_room_to_count_on(stitches: float, high: float, across: int, up: int) -> None:
    found = swatch_of(scene(["A....", ".A...", "..A.."], stitches, high)).chart
    assert (found.across, found.up, found.plain_below, found.plain_above) == (across, up, 4, 4)


def test_its_yarn_is_that_of_its_own_size_and_slack_with_the_margin_asked() -> None:
    piece = scene(["A....", ".A...", "..A.."], 20, 25)
    swatch, amounts = swatch_amounts(piece, 30.0, slack=0.2)
    assert swatch == swatch_of(piece)
    assert amounts == yarn_amounts(swatch_of(piece), slack=0.2, margin_percent=30.0)
    assert amounts != yarn_amounts(swatch_of(piece), slack=0.2, margin_percent=20.0)
    assert amounts != yarn_amounts(swatch_of(piece), slack=0.0, margin_percent=30.0)
