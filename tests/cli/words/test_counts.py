"""Counts, places and lists in words."""

from __future__ import annotations

import pytest

from fabricsim.cli.words.counts import chart_row, count, limit_words, listed, ordinal, row_word
from fabricsim.cli.words.pucker import pucker_word
from fabricsim.cli.words.shares import percent, share_said, slack_words
from fabricsim.units import MM
from tests.cli.made_up import scene_of


@pytest.mark.parametrize(
    ("number", "word", "said"),
    [
        (1, "stitch", "1 stitch"),
        (0, "stitch", "0 stitches"),
        (2, "stitch", "2 stitches"),
        (1, "round", "1 round"),
        (12345, "row", "12,345 rows"),
    ],
)
def test_one_and_many(number: int, word: str, said: str) -> None:
    assert count(number, word) == said


def test_places_in_an_order() -> None:
    said = "1st 2nd 3rd 4th 10th 11th 12th 13th 14th 21st 22nd 23rd 101st 111th 112th 113th 121st"
    assert " ".join(ordinal(int(one[:-2])) for one in said.split()) == said


def test_lists() -> None:
    assert [listed("abc"[:many]) for many in range(4)] == ["", "a", "a and b", "a, b and c"]


def test_rows_of_the_piece_in_the_chart() -> None:
    scene = scene_of(chart={"up": 2, "plain_below": 4, "plain_above": 1})
    assert [chart_row(scene, row) for row in range(11)] == [*[None] * 4, 1, 2, 3, 1, 2, 3, None]
    assert [chart_row(scene, row, repeat=True) for row in range(3)] == [1, 2, 3]


def test_rounds_and_rows_and_limits() -> None:
    assert (row_word(scene_of()), row_word(scene_of(worked="flat"))) == ("round", "row")
    assert limit_words(scene_of()) == "5 stitches or 2.5 cm"
    assert limit_words(scene_of(floats={"longest_gap": 1, "longest_cm": 3.0})) == "1 stitch or 3 cm"


def test_shares() -> None:
    assert (percent(0.074), percent(0.074, 1), percent(0.0)) == ("7 %", "7.4 %", "0 %")
    assert (share_said(0.05), share_said(0.0512), share_said(0.12)) == ("5 %", "5.1 %", "12 %")
    said = [slack_words(slack) for slack in (-0.04, -0.0005, -0.00049, 0.0, 0.00049, 0.0005, 0.125)]
    nothing = "no slack: just long enough"
    assert said == ["4 % too short", "0.1 % too short", *[nothing] * 3, "0.1 % slack", "12.5 % slack"]


@pytest.mark.parametrize(
    ("mm", "word", "between"),
    [
        (0.0, "flat", "under 1 mm"),
        (0.99, "flat", "under 1 mm"),
        (1.0, "faintly rippled", "1 to 3 mm"),
        (3.0, "puckered", "3 to 8 mm"),
        (7.99, "puckered", "3 to 8 mm"),
        (8.0, "deeply puckered", "8 mm and more"),
        (90.0, "deeply puckered", "8 mm and more"),
    ],
)
def test_pucker(mm: float, word: str, between: str) -> None:
    found = pucker_word(mm * MM)
    assert (found.word, found.range_mm) == (word, between)
