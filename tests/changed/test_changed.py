"""Some of the 200 charts of ``python -m tests.changed``."""

from __future__ import annotations

import pytest

from tests.changed.tally import agreement

AS_TOLD = 0.9


@pytest.mark.parametrize("seed", [9, 30, 42, 48])
def test_squares_change_the_width_in_the_order_told(seed: int) -> None:
    found = agreement(seed, 20)
    assert found.charts + found.lost == 20
    assert found.lost <= 1
    assert found.told >= AS_TOLD
