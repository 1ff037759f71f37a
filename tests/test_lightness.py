"""CIE L* of screen colours, against values published or exact."""

from __future__ import annotations

from itertools import pairwise

import pytest

from fabricsim.lightness import lightness


@pytest.mark.parametrize(
    ("rgb", "want"),
    [
        ((0, 0, 0), 0.0),
        ((255, 255, 255), 100.0),  # both exact by definition
        ((255, 0, 0), 53.2),
        ((0, 255, 0), 87.7),
        ((0, 0, 255), 32.3),  # the primaries of sRGB under D65, as tables of colours give them (memory)
        ((119, 119, 119), 50.0),  # middle grey, likewise
    ],
)
def test_known_colours(rgb: tuple[int, int, int], want: float) -> None:
    assert lightness(rgb) == pytest.approx(want, abs=0.06)


def test_it_rises_with_every_grey_and_meets_itself_at_the_darkest() -> None:
    greys = [lightness((level, level, level)) for level in range(256)]
    assert all(low < high for low, high in pairwise(greys))
    # the slope of L* is continuous at its bend: 903.3 of the luminance (CIE), near grey 14
    steps = [high - low for low, high in pairwise(greys)]
    assert max(abs(later - now) for now, later in pairwise(steps[:41])) < 0.1
