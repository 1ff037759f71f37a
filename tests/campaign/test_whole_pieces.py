"""A fixed part of the campaign of whole pieces."""

from __future__ import annotations

import pytest

from tests.campaign.whole import whole_outcome


# Hats in the round; a hat worked flat (27); a crown that ruffles, in twice the turn that there is (37); a low cowl
# between two ribs (48). Factorisations of the plain shape and of the rest are those of today and one or two more.
@pytest.mark.parametrize(
    ("seed", "search", "factorisations"),
    [(2, 5, 2), (3, 6, 2), (27, 4, 5), (37, 19, 2), (48, 5, 2)],
)
def test_random_whole_pieces_come_to_rest(seed: int, search: int, factorisations: int) -> None:
    found = whole_outcome(seed)
    assert (found.told, found.said, found.raised) == ("", "", "")
    assert found.stitches > 200
    assert found.crossing == 0
    assert found.search <= search
    assert found.factorisations <= factorisations
