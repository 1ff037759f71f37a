"""A part of the coverage, small enough for the suite."""

from __future__ import annotations

from tests.likely.coverage import coverage
from tests.likely.tally import shares

SCENES, DRAWS = (0, 1, 2, 3), 12
"""Four scenes that take a second or two each."""


def test_nine_fresh_pieces_in_ten_are_likely() -> None:
    """Of 48 pieces 90 % are expected within, give or take 3 standard errors of 4.3 %; of all scenes see __main__."""
    draw_in, pucker = shares([coverage(seed, DRAWS) for seed in SCENES])
    assert draw_in >= 0.77
    assert pucker >= 0.77
