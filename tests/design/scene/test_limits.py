"""The memory that a piece needs, in words."""

from __future__ import annotations

import pytest

from fabricsim.design.scene.limits import MEMORY_PER_STITCH, memory_needed


@pytest.mark.parametrize(
    ("stitches", "words"), [(30_000, "3.0 GB"), (1000, "0.1 GB"), (999, "99.9 MB"), (12, "1.2 MB")]
)
def test_memory_in_the_unit_that_suits_it(stitches: int, words: str) -> None:
    assert MEMORY_PER_STITCH == 100_000
    assert memory_needed(stitches) == words
