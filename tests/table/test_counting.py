"""What is told of a scene at once, against charts whose floats can be counted by hand."""

from __future__ import annotations

from pathlib import Path

from fabricsim.table.drafts.text import SceneText
from fabricsim.table.messages.fabrics import TellCounts
from fabricsim.table.messages.told import TOLD
from fabricsim.table.solving.counting import counted
from tests.table.test_drafts import SMALL

CHART = """rows = [            # as printed
    "..x",          # the top
    "xx.",  # the bottom
]"""


def counts(*rows: str, more: str = "") -> TellCounts:
    chart = "rows = [" + ", ".join(f'"{row}"' for row in rows) + "]"
    assert CHART in SMALL
    return counted(SceneText(SMALL.replace(CHART, chart) + more, Path("small.toml")).scene, 5, "repeat")


def test_floats_are_told_once_for_all_repeats_from_their_left() -> None:
    told = counts("x....x")
    # oat passes behind the two pine stitches that meet at the edge of the repeat, pine behind four oat stitches
    assert sorted((one.yarn, one.row, one.column, one.gap, one.edge) for one in told.repeat) == [
        (0, 0, 5, 2, True),
        (1, 0, 1, 4, False),
    ]
    assert (told.count, told.longest_gap, told.over) == (2, 4, 0)
    assert [one.cm for one in told.repeat if one.yarn == 1] == [4 * 10 / 20]


def test_a_float_past_a_limit_is_marked() -> None:
    told = counts(".........x", "xx........", more="longest_gap = 8\n")
    assert [(one.row, one.gap) for one in told.repeat if one.over] == [(1, 9)]
    assert told.over == 1


def test_planned_catches_are_told_where_they_are_made() -> None:
    # a float of nine is halved in the middle, where alone one catch leaves no more than four on either side
    told = counts(".........x", more='longest_gap = 4\ncatches = "planned"\n')
    assert (told.planned, told.over) == (((0, 4),), 0)
    assert counts(".........x", more="longest_gap = 4\n").planned == ()


def test_what_is_told_is_what_the_schema_says() -> None:
    told = counts("x....x", ".x.x.x")
    assert TOLD.validate_json(told.model_dump_json()) == told
