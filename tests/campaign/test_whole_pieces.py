"""A fixed part of the campaign of whole pieces."""

from __future__ import annotations

import pytest

from tests.campaign.whole import whole_outcome


# Hats in the round; a hat worked flat (27); crowns that ruffle, in twice the turn that there is (37, 63); a low cowl
# between two ribs (48).
@pytest.mark.parametrize("seed", [2, 3, 4, 27, 37, 48, 63])
def test_random_whole_pieces_come_to_rest(seed: int) -> None:
    found = whole_outcome(seed)
    assert (found.told, found.said, found.raised) == ("", "", "")
    assert found.stitches > 200
    assert found.crossing == 0
    assert found.search <= 32  # in 16 steps at the most, of one factorisation each or two
