"""What a chart on paper shows: long floats behind its squares, its repeat, on which side rows begin."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.design.floats.on_paper import Charted, charted_piece, charted_repeat
from fabricsim.design.scene.model import Scene

YARNS = [
    {"symbol": symbol, "name": name, "colour": colour, "tex": 400}
    for symbol, name, colour in (("a", "milk", "#eeeae0"), ("b", "ink", "#1d2b4f"), ("c", "clay", "#a0522d"))
]


def scene(rows: list[str], worked: str = "round", gap: int = 3, catches: object = "none", **chart: int) -> Scene:
    return Scene.model_validate(
        {
            "title": "A check",
            "worked": worked,
            "chart": {"rows": rows, **chart},
            "yarns": YARNS,
            "gauge": {"stitches": 20, "rows": 26},
            "floats": {"longest_gap": gap, "longest_cm": 50.0, "catches": catches},
        }
    )


def marked(chart: Charted) -> list[str]:
    """Return the rows as printed, a line where a long float runs behind."""
    lines = [["."] * len(row) for row in chart.yarn_ij]
    for one in chart.passed:
        lines[one.row][one.first : one.last + 1] = "_" * (one.last + 1 - one.first)
    return ["".join(line) for line in reversed(lines)]


@given(st.lists(st.text("ab", min_size=9, max_size=9), min_size=1, max_size=5), st.integers(0, 6))
def test_lines_are_behind_runs_of_the_other_yarn_that_are_too_long(rows: list[str], gap: int) -> None:
    """Of two yarns, a float runs behind each run of stitches of the other, across the repeat's edge too."""
    expected = []
    for row in rows:
        turn = next((k for k in range(9) if row[k] != row[k - 1]), None)
        line = list("." * 9)
        if turn is not None:
            turned = row[turn:] + row[:turn]  # begins with the beginning of a run
            begin = 0
            for end in range(1, 10):
                if end == 9 or turned[end] != turned[begin]:
                    if end - begin > gap:
                        for k in range(begin, end):
                            line[(turn + k) % 9] = "_"
                    begin = end
        expected.append("".join(line))
    assert marked(charted_repeat(scene(rows, gap=gap, across=2))) == expected


def test_a_piece_that_is_not_repeated_across_ends_at_its_edges_when_worked_flat() -> None:
    # at the right the float is held at the edge stitch, so that it passes two
    assert marked(charted_repeat(scene(["baaabaaa"], "flat", gap=2))) == [".___...."]
    assert marked(charted_repeat(scene(["baaabaaa"], "flat", gap=1))) == [".___.__."]
    assert marked(charted_repeat(scene(["baaabaaa"], "flat", gap=2, across=2))) == [".___.___"]
    assert marked(charted_repeat(scene(["aabaabaa"], "flat", gap=3))) == ["........"]
    assert marked(charted_repeat(scene(["aabaabaa"], "flat", gap=3, across=2))) == ["__....__"]


def test_catches_shorten_floats_and_are_kept() -> None:
    caught = charted_repeat(scene(["baaaaaaa"], gap=3, catches=[{"row": 1, "stitch": 4}], across=2))
    assert marked(caught) == ["........"]
    assert caught.caught_ij == [[False] * 4 + [True] + [False] * 3]
    assert caught.long == 0
    open_ones = charted_repeat(scene(["baaaaaaa"], gap=2, catches=[{"row": 1, "stitch": 4}], across=2))
    assert marked(open_ones) == [".___.___"]
    assert open_ones.long == 2


@pytest.mark.parametrize("across", [1, 2])
def test_catches_shorten_floats_worked_flat_too(across: int) -> None:
    held = charted_repeat(scene(["baaaaaab"], "flat", gap=3, catches=[{"row": 1, "stitch": 4}], across=across))
    assert marked(held) == ["........"]
    assert charted_repeat(scene(["baaaaaab"], "flat", gap=3, across=across)).long == 1


def test_two_yarns_behind_the_same_stitches_have_lines_of_their_own() -> None:
    chart = charted_repeat(scene(["abcaaaaaaaa"], gap=4, across=2))
    behind = {one.level for one in chart.passed if one.first <= 6 <= one.last}
    assert behind == {1, 2}
    assert {one.level for one in charted_repeat(scene(["abaaaaaaaaa"], gap=4, across=2)).passed} == {0}


def test_a_float_over_the_join_of_rounds_is_marked_in_both() -> None:
    # the lower round ends with two stitches past its b, at the left, the upper begins with two, at the right
    chart = charted_piece(scene(["aaabaa", "aabaaa"], gap=3))
    assert marked(chart) == ["....__", "__...."]
    assert chart.long == 1
    assert marked(charted_piece(scene(["aaabaa", "aabaaa"], gap=4))) == ["......", "......"]


def test_a_chart_as_wide_as_the_piece_shows_what_floats_from_round_to_round() -> None:
    """Nothing closes on itself; the joins with the rounds below and above are there, with the next repeat up too."""
    assert marked(charted_repeat(scene(["baaaaaaa"], gap=3))) == ["........"]
    assert marked(charted_repeat(scene(["aaabaa", "aabaaa"], gap=3))) == ["....__", "__...."]
    above = charted_repeat(scene(["aaabaaa"], gap=5, up=2))
    assert (marked(above), above.long) == (["___.___"], 1)
    held = charted_repeat(scene(["aaabaaa"], gap=5, up=2, catches=[{"row": 1, "stitch": 2}]))
    assert (marked(held), held.long) == (["......."], 0)  # in the next repeat up too
    below = charted_repeat(scene(["bbabbbb"], gap=3, plain_below=2, plain_yarn="a"))
    assert marked(below) == ["...____"]  # from the end of the plain rounds to the first of round 1


def test_of_several_strands_the_one_that_is_caught_is_told() -> None:
    named = charted_repeat(scene(["abcaaaaaaaa"], gap=5, catches=[{"row": 1, "stitch": 4, "yarn": "c"}], across=2))
    assert named.strands == {(0, 7): (2,)}
    assert not charted_repeat(scene(["abcaaaaaaaa"], catches=[{"row": 1, "stitch": 4}], across=2)).strands
    assert not charted_repeat(scene(["abaaaaaaaaa"], catches="planned", across=2)).strands  # only one could be meant


@pytest.mark.parametrize(("below", "first"), [(0, True), (6, True), (3, False)])
def test_wrong_side_rows_begin_at_the_left(below: int, first: bool) -> None:
    flat = scene(["ab", "ba", "ab"], "flat", plain_below=below)
    assert charted_repeat(flat).from_right_i == (first, not first, first)
    assert charted_piece(flat).from_right_i == tuple(row % 2 == 0 for row in range(below + 3))
    assert all(charted_repeat(scene(["ab", "ba"], plain_below=below)).from_right_i)


def test_the_repeat_of_a_piece_is_the_one_that_is_knitted_first() -> None:
    chart = charted_piece(scene(["ab", "ba", "bb"], across=4, up=2, plain_below=5, plain_above=1))
    assert chart.repeat == (5, 8, 6, 8)
    assert (len(chart.yarn_ij), len(chart.yarn_ij[0]), chart.whole) == (12, 8, True)
    assert charted_repeat(scene(["ab", "ba", "bb"], across=4)).repeat == (0, 3, 0, 2)
