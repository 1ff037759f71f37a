"""What slack to aim at, and how much wider to knit where no slack will do, from answers that nobody solved."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fabricsim.design.scene.rules import BAGGY
from fabricsim.study.forecast.aiming import LOOSEST_AIM, Aim, aim_of, stitches_for
from fabricsim.study.forecast.forecast import Band
from fabricsim.study.forecast.loosening import HowLoose
from fabricsim.study.hands.prior import SLACK_DOUBT
from tests.cli.made_up import rest_of, scene_of

SCENE = scene_of(chart={"across": 10})
FOUND = HowLoose(0.01, 0.1, Band(-0.03, -0.02, 0.01), 0.08, False, (), rest_of(scene_of(), "round"))


def found(width: float, stretch: float) -> HowLoose:
    return replace(FOUND, for_width=Band(-0.03, -0.02, width), for_stretch=stretch)


def test_the_greater_need_counts_and_as_much_more_as_hands_are_unsure() -> None:
    assert aim_of(found(0.01, 0.08)) == Aim(pytest.approx(0.08 + SLACK_DOUBT))
    assert aim_of(found(0.1, 0.08)) == Aim(pytest.approx(0.1 + SLACK_DOUBT))
    assert aim_of(found(0.0, BAGGY - SLACK_DOUBT)).wider == 0.0


def test_what_slack_lacks_is_made_good_by_width() -> None:
    """At the loosest aim, a hand as tight as it may be, floats reach as far as they must: (1 + wider) of that."""
    aim = aim_of(found(0.0, 0.4))
    assert aim.slack == LOOSEST_AIM == BAGGY - SLACK_DOUBT
    assert (1.0 + aim.wider) * (1.0 + LOOSEST_AIM - SLACK_DOUBT) == pytest.approx(1.4)
    assert aim_of(found(0.41, 0.4)) == Aim(LOOSEST_AIM)  # no width helps floats that draw it in


@pytest.mark.parametrize(("wider", "repeats"), [(0.0, 10), (0.05, 11), (0.1, 11), (0.1001, 12), (0.9, 19)])
def test_whole_repeats_make_it_as_wide_as_that_and_no_more(wider: float, repeats: int) -> None:
    assert stitches_for(SCENE, Aim(0.2, wider)) == (120, 12 * repeats)
