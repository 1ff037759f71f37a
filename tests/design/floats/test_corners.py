"""Where the needles of a small tube end, and which floats lie across."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.design.floats.corners import carried_up, corners, crossed
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


def test_a_corner_stays_where_one_who_knits_leaves_it() -> None:
    """Against one who knits the next round off the needles, stitch by stitch: each goes onto the needle that the last
    of the stitches it takes up lay on, one made of no stitch onto the needle just worked from."""
    rng = np.random.default_rng(4)
    for _ in range(300):
        takes = rng.choice([0, 1, 1, 1, 1, 2, 3], size=int(rng.integers(6, 30))).tolist()
        takes[0], takes[-1] = 1, max(1, takes[-1])
        stitches = sum(takes)
        ends = sorted(rng.choice(np.arange(1, stitches), size=min(3, stitches - 1), replace=False).tolist())
        needle_of = [sum(end <= at for end in ends) for at in range(stitches)]  # from the right
        taken, worked = 0, []
        for many in takes:
            taken += many
            worked.append(needle_of[taken - 1])
        expected = [sum(one < needle for one in worked) for needle in range(1, len(ends) + 1)]  # stitches before it
        at = (0, *(stitches - end for end in ends))
        assert carried_up(at, stitches, takes) == (0, *((len(takes) - one) % len(takes) for one in expected))
