"""Rows that are worked otherwise than the rest: what may be said of them, and whose floats they make looser."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from fabricsim.design.counted.needles import ONE_SIZE
from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.floats.of_scene import floats, floats_of_repeat
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.errors import InputError
from tests.support.scenes import scene_of

CHART = ["#...", ".#..", "....", "..#."]


def _scene(*bands: dict[str, object]) -> Scene:
    return scene_of(CHART, -0.04, chart={"across": 2, "up": 2, "plain_below": 3}, bands=list(bands))


def test_only_floats_of_the_band_are_looser_in_every_repeat_up() -> None:
    scene = _scene({"first": 3, "last": 4, "looser": 0.03})
    found = {one.row: round(one.slack, 9) for one in floats(scene, closing="row")}
    assert found == {3: -0.04, 5: -0.01, 6: -0.01, 7: -0.04, 9: -0.01, 10: -0.01}
    assert {(one.row, round(one.slack, 9)) for one in floats_of_repeat(scene)} == {(0, -0.04), (2, -0.01), (3, -0.01)}
    assert {one.slack for one in floats(scene, slack=0.02)} == {0.02}


def test_a_text_in_per_cent_is_a_share() -> None:
    assert _scene({"first": 1, "last": 1, "looser": "3 %"}).bands[0].looser == pytest.approx(0.03)


def test_a_scene_that_says_nothing_of_bands_keeps_its_hash() -> None:
    assert scene_hash(_scene()) == scene_hash(scene_of(CHART, -0.04, chart={"across": 2, "up": 2, "plain_below": 3}))
    assert scene_hash(_scene()) != scene_hash(_scene({"first": 1, "last": 2, "looser": 0.01}))


def test_larger_stitches_take_more_yarn_by_as_much() -> None:
    plain, larger = (
        sum(one.loops for one in yarn_amounts(scene).yarns)
        for scene in (_scene(), _scene({"first": 1, "last": 4, "needle_sizes": 1}))
    )
    rows, shown = 11, 8  # three plain rounds below are on the gauge's needles
    assert larger / plain == pytest.approx(1.0 + ONE_SIZE * shown / rows)


@pytest.mark.parametrize(
    ("bands", "said"),
    [
        ([{"first": 2, "last": 5}], "rows 1 to 4 of the chart"),
        ([{"first": 1, "last": 2}, {"first": 2, "last": 3}], "every row in one band"),
    ],
)
def test_bands_beyond_the_chart_or_over_one_another_are_refused(bands: list[dict[str, object]], said: str) -> None:
    with pytest.raises(InputError, match=said):
        _scene(*bands)


def test_a_band_upside_down_or_on_needles_far_too_large_is_refused() -> None:
    with pytest.raises(ValidationError, match="rows 3 to 2; allowed: the lower row first; change the two over"):
        _scene({"first": 3, "last": 2})
    with pytest.raises(ValidationError):
        _scene({"first": 1, "last": 2, "needle_sizes": 9})
