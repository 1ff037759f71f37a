"""What is too much: memory, in words, and open floats."""

from __future__ import annotations

import pytest

from fabricsim.design.scene.items import Limits
from fabricsim.design.scene.limits import MEMORY_PER_STITCH, memory_needed


@pytest.mark.parametrize(
    ("stitches", "words"), [(30_000, "3.0 GB"), (1000, "0.1 GB"), (999, "99.9 MB"), (12, "1.2 MB")]
)
def test_memory_in_the_unit_that_suits_it(stitches: int, words: str) -> None:
    assert MEMORY_PER_STITCH == 100_000
    assert memory_needed(stitches) == words


@pytest.mark.parametrize(
    ("gap", "cm", "none"),
    [(0, None, True), (None, 0.0, True), (0, 2.5, True), (4, 0.0, True), (4, 2.5, False), (None, 2.5, False)],
)
def test_a_nought_in_stitches_or_in_cm_leaves_no_float_open(gap: int | None, cm: float | None, none: bool) -> None:
    assert Limits(gap, cm).none_open == none
