"""What a catch is reckoned to change, against charts so caught that are brought to rest."""

from __future__ import annotations

import pytest
from scipy.stats import spearmanr

from fabricsim.design.catches.plan import listed_holds, with_catches
from fabricsim.fabric.measures import widths
from fabricsim.study.change.catching import SHORTEST_CAUGHT, catches_change
from fabricsim.study.change.charted import at_rest_as_charted
from tests.support.scenes import scene_of

CHART = ["#.....#...", "..##......", ".....#...#", "#........."]


def test_each_catch_changes_the_width_as_it_is_reckoned_to() -> None:
    floats = {"slack": -0.03, "catches": [{"row": 1, "stitch": 9}]}
    scene = scene_of(CHART, chart={"across": 2}, floats=floats)
    charted = at_rest_as_charted(scene)
    told, listed, now = catches_change(charted), frozenset(listed_holds(scene)), widths(charted.rest).overall
    assert len(told) > 30
    assert listed < set(told)
    solved = {
        hold: widths(at_rest_as_charted(with_catches(scene, listed ^ {hold}), charted.rest).rest).overall - now
        for hold in told
    }
    assert spearmanr([told[hold][0] for hold in told], [solved[hold] for hold in told]).statistic > 0.95
    most = max(solved, key=lambda hold: abs(solved[hold]))
    assert told[most][0] == pytest.approx(solved[most], rel=0.15)
    for hold in listed:
        assert told[hold][0] * solved[hold] > 0.0


def test_only_floats_long_enough_are_caught() -> None:
    gap = SHORTEST_CAUGHT
    scene = scene_of(["#" + "." * gap, "#" + "." * (gap - 1) + "#"], -0.04)
    assert {hold.row for hold in catches_change(at_rest_as_charted(scene))} == {1}
