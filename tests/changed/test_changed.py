"""The part of ``python -m tests.changed`` that is in the suite."""

from __future__ import annotations

import pytest

from tests.changed.tally import agreement

AS_TOLD = 0.9


@pytest.mark.parametrize("seed", [3, 5])
def test_squares_change_the_width_in_the_order_told(seed: int) -> None:
    found = agreement(seed, 16)
    assert found.charts >= 14
    assert found.told >= AS_TOLD
