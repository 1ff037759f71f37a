"""What ``floats`` says, line by line, from small scenes: counting needs no solve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from fabricsim.cli.commands.floats.command import answer_of
from fabricsim.cli.commands.floats.options import FloatsOptions
from fabricsim.cli.commands.floats.words import MOST_LINES, tell
from fabricsim.design.floats.carry_ups import CarryUp
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from tests.cli.made_up import scene_of
from tests.cli.printed import printed, rounded

CARRIED = CarryUp(
    yarn=1,
    from_row=1,
    to_row=3,
    idle=1,
    height=0.01,
    across=0.04,
    from_column=0,
    to_column=2,
    other_edge=False,
    over_limit=False,
    across_over_limit=False,
)
CHART = ["..........", "oo........", "..........", "o.....o..o"]


def lines_of(rows: Sequence[str], **options: bool) -> list[str]:
    return said(scene_of(0.0, rows, worked="flat"), **options).splitlines()


def said(scene: Scene, **options: bool) -> str:
    return printed(answer_of(scene, FloatsOptions(**options)).tell)


def test_the_longest_of_each_round_and_what_to_make_of_them() -> None:
    scene = scene_of(-0.05, CHART, chart={"across": 2, "plain_below": 1}, floats={"longest_gap": 6, "longest_cm": 4.0})
    assert (
        said(scene)
        == """\
**Made up**

**The longest float of each round and yarn**
round  chart row  yarn      floats  gap   cm  span cm  slack %  from stitch to stitch  over your limit
-----  ---------  ----  ----------  ---  ---  -------  -------  ---------------------  ---------------
    1      plain  milk           1    1  0.5      1.0       -5  20 to 2 of round 2
    2          1  ink            4    5  2.5      3.0       -5  4 to 10
    2          1  milk           4    2  1.0      1.5       -5  9 to 12, repeat edge
    4          3  milk           2    2  1.0      1.5       -5  8 to 11, repeat edge
**    4          3  ink   1 (1 over)    8  4.0      4.5       -5  10 to 19, repeat edge  stitches**

**Yarns that rest for whole rounds**
yarn  from round  to  idle   cm  usual
----  ----------  --  ----  ---  ----------------------------------
**ink            2   4     1  4.6  break and rejoin (over your limit)**

12 floats in the whole piece; the longest passes behind 8 stitches, 4.0 cm (from stitch 10 of round 4).
Stitches are counted from the right of the face.
1 of 12 pass the limit you set (6 stitches or 4 cm); catch them, or change the chart.
[caution]"""
    )


def test_every_float_of_one_repeat() -> None:
    scene = scene_of(0.2, CHART, worked="flat", floats={"longest_gap": 4, "catches": [{"row": 1, "stitch": 7}]})
    assert (
        said(scene, every=True, repeat=True)
        == """\
**Made up**

**Every float**
row  chart row  yarn  gap   cm  span cm  slack %  from stitch to stitch  over your limit
---  ---------  ----  ---  ---  -------  -------  ---------------------  ---------------
  1          1  ink     2  1.0      1.5      +20  1 to 4
  1          1  milk    1  0.5      1.0      +20  3 to 5
  1          1  ink     2  1.0      1.5      +20  4 to catch at 7
  1          1  ink     2  1.0      1.5      +20  catch at 7 to 10
  1          1  milk    2  1.0      1.5      +20  9 to 2, repeat edge
  3          3  milk    2  1.0      1.5      +20  8 to 1, repeat edge
**  3          3  ink     8  4.0      4.5      +20  10 to 9, repeat edge   stitches**

7 floats in one repeat of the chart; the longest passes behind 8 stitches, 4.0 cm (from stitch 10 of row 3).
Stitches are counted from the right of the face.
1 of 7 pass the limit you set (4 stitches); catch them, or change the chart.
Caught at 1 place of the chart.
[caution]"""
    )


def test_the_whole_piece_worked_flat_with_catches_as_planned() -> None:
    scene = scene_of(0.151, CHART, worked="flat", chart={"across": 2}, floats={"longest_cm": 2.5, "catches": "planned"})
    assert (
        said(scene)
        == """\
**Made up**

**The longest float of each row and yarn**
row  chart row  yarn  floats  gap   cm  span cm  slack %  from stitch to stitch           over your limit
---  ---------  ----  ------  ---  ---  -------  -------  ------------------------------  ---------------
  1          1  ink        4    5  2.5      3.0      +15  4 to 10
  1          1  milk       3    2  1.0      1.5      +15  9 to 12, repeat edge
  3          3  ink        4    4  2.0      2.5      +15  10 to catch at 15, repeat edge
  3          3  milk       2    2  1.0      1.5      +15  8 to 11, repeat edge

**Yarns that rest for whole rows**
yarn  from row  to  idle   cm  usual
----  --------  --  ----  ---  -----------------------------------------------------------------------------
ink          1   3     1  1.0  waits at the other edge: carry it across the row between, or break and rejoin

13 floats in the whole piece; the longest passes behind 5 stitches, 2.5 cm (from stitch 4 of row 1). Stitches
are counted from the right of the face.
0 of 13 pass the limit you set (2.5 cm).
Caught as planned at 1 place of the chart, 2 times in the piece.
[caution]"""
    )


def test_a_piece_of_plain_rows_has_none() -> None:
    scene = scene_of(0.0, ["...."] * 2)
    assert said(scene) == "**Made up**\nNo floats in the whole piece."
    assert said(scene, repeat=True) == "**Made up**\nNo floats in one repeat of the chart."


def test_of_very_many_the_longest_are_shown() -> None:
    rows = ["o....o...."] * MOST_LINES
    short = ["oo........", *rows[:19], *[".........."] * 20]
    assert f"{MOST_LINES} of {2 * MOST_LINES} lines are shown, the longest; --all lists every float." in lines_of(rows)
    few = lines_of(short)
    assert len(few) == 50  # a line for each of 40, and what stands above and below
    assert not any("are shown" in line for line in [*few, *lines_of(rows, every=True)])


@pytest.mark.parametrize(
    ("more", "usual"),
    [
        ({}, "carry up freely"),
        ({"over_limit": True}, "twist on the way up (over your limit)"),
        (
            {"other_edge": True, "over_limit": True},
            "waits at the other edge: carry it across the row between, or break and rejoin",
        ),
        ({"other_edge": True, "idle": 2}, "waits at the other edge: break and rejoin"),
    ],
)
def test_what_is_usual_for_a_resting_yarn(more: dict[str, bool], usual: str) -> None:
    carried = replace(CARRIED, **more)  # type: ignore[arg-type]
    scene = scene_of(0.0, ["...."] * 4)
    lines = printed(lambda page: tell(page, scene, (), [carried], (), FloatsOptions())).splitlines()
    assert lines[2] == "**Yarns that rest for whole rounds**"
    assert lines[5].strip("*").split("  ")[-1] == usual
    assert lines[5].startswith("**") == carried.over_limit


def test_for_programs() -> None:
    scene = scene_of(-0.05, CHART, floats={"longest_gap": 6, "longest_cm": 4.0, "catches": [{"row": 3, "stitch": 4}]})
    told = rounded(answer_of(scene, FloatsOptions(repeat=True)).said)
    assert told == {
        "schema_version": 1,
        "command": "floats",
        "scene_hash": scene_hash(scene),
        "title": "Made up",
        "worked": "round",
        "counted": "repeat",
        "limits": {"longest_gap_stitches": 6, "longest_gap_cm": 4.0},
        "summary": {"floats": 7, "over_limit": 0, "longest_gap_stitches": 5, "longest_gap_cm": 2.5},
        "floats": [
            {
                "yarn": "o",
                "row": 1,
                "stitch": 1,
                "to_row": 1,
                "to_stitch": 4,
                "worked": "right to left",
                "gap_stitches": 2,
                "gap_cm": 1.0,
                "span_cm": 1.5,
                "slack_percent": -5.0,
                "yarn_cm": 1.425,
                "kind": "inside",
                "starts_at_catch": False,
                "ends_at_catch": False,
                "chart_row": 1,
                "over_stitches": False,
                "over_cm": False,
            },
            {
                "yarn": ".",
                "row": 1,
                "stitch": 3,
                "to_row": 1,
                "to_stitch": 5,
                "worked": "right to left",
                "gap_stitches": 1,
                "gap_cm": 0.5,
                "span_cm": 1.0,
                "slack_percent": -5.0,
                "yarn_cm": 0.95,
                "kind": "inside",
                "starts_at_catch": False,
                "ends_at_catch": False,
                "chart_row": 1,
                "over_stitches": False,
                "over_cm": False,
            },
            {
                "yarn": "o",
                "row": 1,
                "stitch": 4,
                "to_row": 1,
                "to_stitch": 10,
                "worked": "right to left",
                "gap_stitches": 5,
                "gap_cm": 2.5,
                "span_cm": 3.0,
                "slack_percent": -5.0,
                "yarn_cm": 2.85,
                "kind": "inside",
                "starts_at_catch": False,
                "ends_at_catch": False,
                "chart_row": 1,
                "over_stitches": False,
                "over_cm": False,
            },
            {
                "yarn": ".",
                "row": 1,
                "stitch": 9,
                "to_row": 1,
                "to_stitch": 2,
                "worked": "right to left",
                "gap_stitches": 2,
                "gap_cm": 1.0,
                "span_cm": 1.5,
                "slack_percent": -5.0,
                "yarn_cm": 1.425,
                "kind": "repeat edge",
                "starts_at_catch": False,
                "ends_at_catch": False,
                "chart_row": 1,
                "over_stitches": False,
                "over_cm": False,
            },
            {
                "yarn": ".",
                "row": 3,
                "stitch": 8,
                "to_row": 3,
                "to_stitch": 1,
                "worked": "right to left",
                "gap_stitches": 2,
                "gap_cm": 1.0,
                "span_cm": 1.5,
                "slack_percent": -5.0,
                "yarn_cm": 1.425,
                "kind": "repeat edge",
                "starts_at_catch": False,
                "ends_at_catch": False,
                "chart_row": 3,
                "over_stitches": False,
                "over_cm": False,
            },
            {
                "yarn": "o",
                "row": 3,
                "stitch": 10,
                "to_row": 3,
                "to_stitch": 4,
                "worked": "right to left",
                "gap_stitches": 3,
                "gap_cm": 1.5,
                "span_cm": 2.0,
                "slack_percent": -5.0,
                "yarn_cm": 1.9,
                "kind": "repeat edge",
                "starts_at_catch": False,
                "ends_at_catch": True,
                "chart_row": 3,
                "over_stitches": False,
                "over_cm": False,
            },
            {
                "yarn": "o",
                "row": 3,
                "stitch": 4,
                "to_row": 3,
                "to_stitch": 9,
                "worked": "right to left",
                "gap_stitches": 4,
                "gap_cm": 2.0,
                "span_cm": 2.5,
                "slack_percent": -5.0,
                "yarn_cm": 2.375,
                "kind": "repeat edge",
                "starts_at_catch": True,
                "ends_at_catch": False,
                "chart_row": 3,
                "over_stitches": False,
                "over_cm": False,
            },
        ],
        "carry_ups": [],
        "catches": [{"row": 3, "stitch": 4, "yarn": None, "repeat": None}],
    }
