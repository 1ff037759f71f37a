"""A fixed part of the campaign, chosen by its seeds: all three cases, one to four yarns, taut, pressing and loose."""

from __future__ import annotations

from functools import cache

import pytest

from fabricsim.fabric.relax import TOLERANCE, relax
from tests.campaign.outcome import Outcome, deep_enough_to_count, outcome
from tests.campaign.scenes import CASES, random_scene
from tests.support.folds import crossings

SEEDS = range(40)


@cache
def known(seed: int) -> Outcome:
    return outcome(seed)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_fabric_comes_to_rest(seed: int) -> None:
    one = known(seed)
    assert one.at_rest, one.raised or one.said
    assert one.residual <= TOLERANCE
    assert one.crossing == 0
    assert not deep_enough_to_count(one)


@pytest.mark.parametrize("seed", [229, 336])
def test_fabric_jammed_by_its_floats_does_not_pass_through_itself(seed: int) -> None:
    """Swatches so tight that stitches are pulled past their neighbours, and cells with them; looked at independently
    of what holds them back."""
    rest = relax(*random_scene(seed))
    assert not crossings(rest.mesh, rest.state, 0)
    assert rest.contact.watched


@pytest.mark.parametrize("seed", range(0, 40, 8))
def test_the_same_seed_gives_the_same_answer_to_the_last_bit(seed: int) -> None:
    assert outcome(seed) == known(seed)


def test_the_part_holds_what_it_should() -> None:
    """All cases, numbers of yarns, fine and bulky, tight and loose, with and without catches."""
    made = [random_scene(seed) for seed in SEEDS]
    scenes = [scene for scene, _ in made]
    assert {case for _, case in made} == set(CASES)
    assert {len(scene.yarns) for scene in scenes} == {1, 2, 3, 4}
    assert min(scene.gauge.stitches for scene in scenes) < 7.0
    assert max(scene.gauge.stitches for scene in scenes) > 33.0
    assert min(scene.floats.slack for scene in scenes) < -0.2
    assert max(scene.floats.slack for scene in scenes) > 0.3
    assert any(scene.floats.catches for scene in scenes)
