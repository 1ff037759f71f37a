"""A part of the coverage, small enough for the suite."""

from __future__ import annotations

from tests.likely.coverage import coverage
from tests.likely.tally import shares

SCENES, DRAWS = (25, 46, 30), 12
"""Two swatches and a tube that take a second each."""


def test_nine_fresh_pieces_in_ten_are_likely() -> None:
    """Of 36 pieces 90 % are expected within, give or take 3 standard errors of 5 %; of all scenes see __main__."""
    draw_in, pucker = shares([coverage(seed, DRAWS) for seed in SCENES])
    assert draw_in >= 0.75
    assert pucker >= 0.75
