"""What ``difficulty`` says, from results that nobody counted."""

from __future__ import annotations

from dataclasses import replace

from fabricsim.cli.commands.difficulty.data import for_programs, lines, stitch_of
from fabricsim.cli.commands.difficulty.words import _where, tell
from fabricsim.cli.shell.recorded import Sentence, recorded
from fabricsim.design.counted.difficulty import Difficulty, Stack
from fabricsim.design.scene.read import scene_hash
from tests.cli.made_up import scene_of
from tests.cli.printed import printed

OVER = "- The longest floats left open pass your limit: 'fabricsim catches' says what to do about them."
OPEN = "Floats are counted as they hang open, from catch to catch."


def said(longest: int, **floats: object) -> list[str]:
    found = Difficulty(
        rows=4,
        patterned=4,
        stack=None,
        three=0,
        floats=4,
        mean_gap=2.0,
        longest_gap=longest,
        allowed_gap=4,
        in_bands=4,
        without=0,
        changes=20.0,
        at_join=0,
    )
    scene = scene_of(0.0, floats=floats)
    return [one.text for one in recorded(lambda page: tell(page, scene, found)) if isinstance(one, Sentence)]


def test_only_floats_past_the_limit_are_to_be_caught() -> None:
    assert OVER not in said(4)
    assert OVER in said(5)


def test_where_floats_are_caught_it_is_said_how_they_are_counted() -> None:
    assert OPEN not in said(4)
    assert OPEN in said(4, catches="planned", longest_gap=1)


HARD = Difficulty(
    rows=20,
    patterned=14,
    stack=Stack(left=4, first=1, rows=8),
    three=1,
    floats=120,
    mean_gap=5.06,
    longest_gap=9,
    allowed_gap=4,
    in_bands=20,
    without=6,
    changes=71.4,
    at_join=12,
)


def test_all_that_is_said_of_a_hard_chart() -> None:
    scene = scene_of(0.0, chart={"across": 2})
    assert (
        printed(lambda page: tell(page, scene, HARD))
        == """\
**Made up**
Hard to knit evenly: swatch it, and take your time.

**What makes it so**
                                     here  easy up to  hard above  so it is
-----------------------------------  ----  ----------  ----------  -------------
**rounds with one line of changes         8           3           7  hard**
**rounds with three colours or more       1           0           0  hard**
**stitches behind a float, on average   5.1           3           5  hard**
**stitches behind the longest float       9           4           8  hard**
rounds of a band without a float     30 %        10 %        30 %  some practice
changes of colour to 100 stitches      71          35       never  some practice

- The same two colours meet in one place row after row (rounds 2 to 9, between stitch 7 of the chart and the
  next); the stitches there loosen or pull. Snug them up, or shift a change by a stitch.
- Three colours in a row make a second layer of floats, which comes out tighter still.
- The floats are long on the whole; spread the stitches well before each change.
- The longest floats left open pass your limit: 'fabricsim catches' says what to do about them.
- Rows without a float stay wide between rows that draw in, and bulge. A few stitches of the other colour
  would help.
- The colour changes often, which is slow, and one is apt to knit tightly.
- Only where two rounds join, a float passes behind up to 12 stitches, over your limit: catch it there, once a
  round ('fabricsim catches' says where). It doesn't make the chart harder.
These limits are our own estimate; your hands may find otherwise."""
    )


def test_all_that_is_said_of_an_easy_one() -> None:
    easy = replace(HARD, stack=None, three=0, mean_gap=2.0, longest_gap=4, without=0, changes=35.0, at_join=4)
    scene = scene_of(0.0, worked="flat")
    assert (
        printed(lambda page: tell(page, scene, easy))
        == """\
**Made up**
Easy as stranded knitting goes: a good first piece.

**What makes it so**
                                     here  easy up to  hard above  so it is
-----------------------------------  ----  ----------  ----------  --------
rows with one line of changes           0           3           7  easy
rows with three colours or more         0           0           0  easy
stitches behind a float, on average   2.0           3           5  easy
stitches behind the longest float       4           4           8  easy
rows of a band without a float        0 %        10 %        30 %  easy
changes of colour to 100 stitches      35          35       never  easy

These limits are our own estimate; your hands may find otherwise."""
    )
    assert "Takes some practice" in printed(lambda page: tell(page, scene, replace(easy, changes=35.5, mean_gap=3.1)))


def test_a_stack_of_one_row_and_its_place() -> None:
    scene = scene_of(0.0, worked="flat")
    assert _where(scene, Stack(left=10, first=2, rows=1)) == "row 3, between stitch 1 of the chart and the next"
    assert stitch_of(scene_of(0.0, chart={"across": 3}), Stack(left=-1, first=0, rows=1)) == 12


def test_one_colour_in_every_row() -> None:
    plain = replace(HARD, patterned=0)
    assert printed(lambda page: tell(page, scene_of(0.0), plain)) == (
        "**Made up**\nOne colour in every row: nothing here is stranded."
    )


def test_for_programs_and_spreadsheets() -> None:
    scene = scene_of(0.0)
    told = for_programs(scene, HARD)
    assert told.pop("scene_hash") == scene_hash(scene)
    assert told == {
        "schema_version": 1,
        "command": "difficulty",
        "title": "Made up",
        "worked": "round",
        "verdict": "hard",
        "rows": 20,
        "patterned_rows": 14,
        "longest_stack": {"rows": 8, "from_row": 2, "left_of_chart_stitch": 7},
        "rows_with_three_colours": 1,
        "floats": 120,
        "mean_gap_stitches": 5.06,
        "longest_gap_stitches": 9,
        "longest_gap_where_rounds_join_stitches": 12,
        "rows_in_bands": 20,
        "rows_in_bands_without_float": 6,
        "changes_per_100_stitches": 71.4,
        "levels": {
            "longest_stack": "hard",
            "rows_with_three_colours": "hard",
            "mean_gap": "hard",
            "longest_gap": "hard",
            "rows_in_bands_without_float": "some practice",
            "changes": "some practice",
        },
    }
    assert for_programs(scene, replace(HARD, stack=None))["longest_stack"] is None
    assert lines(HARD) == [
        {"measure": "stack", "value": 8, "easy_up_to": 3, "hard_above": 7, "level": "hard"},
        {"measure": "three", "value": 1, "easy_up_to": 0, "hard_above": 0, "level": "hard"},
        {"measure": "mean_gap", "value": 5.06, "easy_up_to": 3, "hard_above": 5, "level": "hard"},
        {"measure": "longest_gap", "value": 9, "easy_up_to": 4, "hard_above": 8, "level": "hard"},
        {"measure": "bulging", "value": 0.3, "easy_up_to": 0.1, "hard_above": 0.3, "level": "some practice"},
        {"measure": "changes", "value": 71.4, "easy_up_to": 35, "hard_above": None, "level": "some practice"},
    ]
    assert lines(replace(HARD, stack=None))[0]["value"] == 0
