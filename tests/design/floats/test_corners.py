"""Where the needles of a small tube end, and which floats lie across."""

from __future__ import annotations

import pytest

from fabricsim.design.floats.corners import corners, crossed
from fabricsim.design.scene.needle_corners import Needles


@pytest.mark.parametrize(
    ("needles", "stitches", "expected"),
    [
        ("double-pointed", 24, (0, 18, 12, 6)),
        ("double-pointed", 22, (0, 16, 11, 6)),
        ("magic loop", 24, (0, 12)),
        ("two circulars", 25, (0, 13)),
    ],
)
def test_the_round_is_shared_evenly_from_its_beginning(
    needles: Needles, stitches: int, expected: tuple[int, ...]
) -> None:
    assert corners(stitches, needles) == expected


def test_a_float_is_round_a_corner_if_that_lies_between_its_ends() -> None:
    """Against the plain reading: walk from its left end to its right and look at every gap between two stitches."""
    for stitches in (9, 12):
        for at in ((0, 5), (3,), (0, 3, 6, 8)):
            for left in range(stitches):
                for steps in range(1, stitches + 1):
                    walked = {(left + step) % stitches for step in range(1, steps + 1)}
                    assert crossed(left, steps, stitches, at) == bool(walked & set(at))
