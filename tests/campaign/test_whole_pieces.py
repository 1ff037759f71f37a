"""A fixed part of the campaign of whole pieces."""

from __future__ import annotations

import pytest

from tests.campaign.whole import whole_outcome


@pytest.mark.parametrize("seed", [2, 3, 4, 5])
def test_random_whole_pieces_come_to_rest(seed: int) -> None:
    found = whole_outcome(seed)
    assert (found.told, found.said, found.raised) == ("", "", "")
    assert found.stitches > 200
    assert found.crossing == 0
