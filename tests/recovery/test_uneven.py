"""Known uneven hands come back from what a knitter would measure."""

from __future__ import annotations

from tests.recovery.uneven import Knitter, learnt

HANDS = Knitter(-0.03, 0.04, 0.6)


def test_two_motifs_and_two_dozen_floats_give_the_hands_back() -> None:
    """Within what such measurements tell: slack to 2 %, unevenness to half of it, what falls short to 0.5 mm."""
    found = learnt(HANDS, 0)
    hands = found.knitter
    assert hands.unevenness is not None
    assert hands.short_mm is not None
    assert (hands.slack.known, hands.unevenness.known) == ("measured", "measured")
    assert abs(hands.slack.value - HANDS.slack) < 0.02
    assert abs(hands.unevenness.value - HANDS.unevenness) < 0.025
    assert abs(hands.short_mm.value - HANDS.short) < 0.5
    assert hands.slack.low < HANDS.slack < hands.slack.high
    assert hands.unevenness.low < HANDS.unevenness < hands.unevenness.high
    assert hands.short_mm.low < HANDS.short < hands.short_mm.high
    assert found.impossible is None
    assert hands.slack_goes is not None
    assert hands.slack_goes.with_short_mm > 0.01  # shorter floats are as tight with more slack


def test_one_motif_does_not_tell_slack_from_what_floats_fall_short() -> None:
    hands = learnt(HANDS, 0, two=False).knitter
    assert hands.unevenness is not None
    assert hands.short_mm is not None
    assert hands.slack.known == hands.unevenness.known == "measured"
    assert hands.short_mm.known == "not told"
