"""What ``change`` says, from ways that nobody tried."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fabricsim.cli.commands.change.data import for_programs, lines
from fabricsim.cli.commands.change.missed_aims import misses_said
from fabricsim.cli.commands.change.words import changes_said, result_said, tell, wanted_said
from fabricsim.design.rows.squares import Hold
from fabricsim.design.scene.row_bands import RowBand
from fabricsim.study.change.aims import Aims
from fabricsim.study.change.found_ways import ChangeWay
from fabricsim.study.change.search import Proposal
from tests.cli.commands.change.made_up import AIMS, ONE, told, tried
from tests.cli.made_up import Told, scene_of
from tests.cli.printed import printed


def test_what_is_wanted() -> None:
    assert wanted_said(scene_of(floats={"longest_gap": 4}), AIMS) == (
        "Wanted: at most 3.0 % narrower, flat (under 1 mm of pucker) and no float over your limit of 4 stitches."
    )


def test_what_came_of_it_and_what_it_misses() -> None:
    one = tried(scene_of(), 0.0352, 2.5, 2)
    assert result_said(one) == "3.5 % narrower, 2.5 mm of pucker (faintly rippled), 2 floats over the limit"
    assert one.misses(AIMS) == ("within", "may_lose", "pucker")
    assert misses_said(AIMS, one) == "the width by 0.5 %, flat by 1.5 mm and 2 floats over the limit"
    assert misses_said(AIMS, tried(scene_of(), 0.02, 0.5, 0)) == ""


def test_changes_in_words() -> None:
    assert changes_said(scene_of(), ONE) == (
        "Round 1, stitch 9 in ink; round 2, stitches 2 and 8 in milk; catch ink behind round 1, stitch 3; carry all "
        "floats 2 % looser (3 % too short)"
    )


def test_many_changes_are_counted() -> None:
    many = Proposal((), tuple(Hold(0, column, 1) for column in range(25)), 0, 25, 0.0, 0)
    assert changes_said(scene_of(), many) == "25 catches (--json lists them)"


def test_ways_are_told_with_what_they_do() -> None:
    scene = scene_of()
    page = Told()
    does = ChangeWay("carrying", ONE, tried(scene, 0.02, 0.5, 0))
    lacks = ChangeWay("stitches", ONE, tried(scene, 0.04, 0.5, 0), tried(scene, 0.035, 0.5, 0))
    tell(page, told(does, lacks, ChangeWay("both", None, None, tried(scene, 0.05, 0.5, 1)), stopped=True))
    said = "\n".join(page.said)
    assert "It misses the width by 1.0 %; of all that was tried what came nearest missed the width by 0.5 %." in said
    assert "none of up to 16 changes does" in said
    assert "missed the width by 2.0 % and 1 float over the limit." in said
    assert "Stopped by you: these are the ways found so far." in said
    table = page.tables["Side by side"].lines
    assert [line[0] for line in table] == ["as it is", "1", "2"]
    assert [line[-1] for line in table] == ["", "yes", "no"]


def test_nothing_to_change_is_said_and_what_was_not_written() -> None:
    page = Told()
    tell(page, told(now=(0.01, 0.5, 0))._replace(asked=Path("new.toml")))
    assert any("Nothing to change, so new.toml was not written." in said for said in page.said)
    assert not page.tables


def test_stopped_before_any_way_was_found_that_is_said() -> None:
    page = Told()
    tell(page, told(stopped=True)._replace(asked=Path("new.toml")))
    assert "Stopped by you: no way was found yet." in page.said
    assert page.said[-2] == (
        "No way meets all that is wanted, so new.toml was not written: ask again, with more time or for less."
    )


def test_programs_are_told_the_same() -> None:
    scene = scene_of()
    made = told(ChangeWay("carrying", ONE, tried(scene, 0.02, 0.5, 0)), ChangeWay("both", None, None))
    said = for_programs(made)
    assert said["wanted"] == {
        "no_float_over_limit": True,
        "draw_in_at_most_percent": pytest.approx(3.0),
        "pucker_at_most_mm": pytest.approx(1.0),
        "goes_over": made.found.aims.over,
        "size": made.found.aims.size,
    }
    assert (said["as_it_is"]["draw_in_percent"], said["as_it_is"]["pucker_mm"]) == pytest.approx((5.0, 2.0))
    assert said["as_it_is"]["floats_over_limit"] == 3
    assert said["as_it_is"]["misses"] == ["within", "may_lose", "pucker"]
    first, last = said["ways"]
    assert first["draw_in_percent"] == pytest.approx(2.0)
    assert first["misses"] == []
    assert first["catches"] == [{"row": 1, "stitch": 3}]
    assert last == {"kind": "both", "found": False, "nearest_tried": None}
    (line,) = lines(made)
    assert (line["way"], line["stitches"], line["catches"], line["percent_looser"]) == (1, 3, 1, 2)


def test_where_no_float_may_stay_open_that_is_said() -> None:
    page = Told()
    made = told(ChangeWay("carrying", ONE, tried(scene_of(), 0.02, 0.5, 3)), none_open=True)
    tell(page, made._replace(found=replace(made.found, aims=replace(AIMS, within=False))))
    assert any("line the piece" in said for said in page.said)
    assert not any("no float over your limit" in said for said in page.said)


def test_what_it_is_to_go_over_and_by_how_much_it_does_not() -> None:
    aims = Aims(within=False, over="arm", size="woman")
    assert wanted_said(scene_of(), aims) == "Wanted: that it goes over an arm (woman)."
    lacking = replace(tried(scene_of(), 0.02, 0.5, 0), lacking=0.034)
    assert misses_said(aims, lacking) == "going over an arm (woman) by 3.4 % of its tightest round"


def test_rows_worked_otherwise_in_words() -> None:
    bands = (RowBand(first=1, last=2, looser=0.04),)
    one = Proposal((), (), 0, 2, 0.02, 0, bands)
    assert changes_said(scene_of(), one) == "Rounds 1 to 2 of the chart: floats 4 % looser"


def test_all_of_it_as_it_is_printed() -> None:
    scene = scene_of()
    does = ChangeWay("carrying", ONE, tried(scene, 0.02, 0.5, 0))
    lacks = ChangeWay("stitches", ONE, tried(scene, 0.04, 0.5, 0), tried(scene, 0.035, 0.5, 0))
    none = ChangeWay("both", None, None, tried(scene, 0.05, 0.5, 1))
    full = told(does, lacks, none, stopped=True, kept=True)._replace(files=[("face and back", Path("x.png"))])
    assert (
        printed(lambda page: tell(page, full))
        == """\
**Made up**
Wanted: at most 3.0 % narrower, flat (under 1 mm of pucker) and no float over your limit of 5 stitches or 2.5
cm.
As it is: 5.0 % narrower, 2.0 mm of pucker (faintly rippled), 3 floats over the limit.

1. By the chart as it is, caught and carried otherwise: Round 1, stitch 9 in ink; round 2, stitches 2 and 8 in
milk; catch ink behind round 1, stitch 3; carry all floats 2 % looser (3 % too short). Tried: 2.0 % narrower,
0.5 mm of pucker (flat), no float over the limit.
2. By other stitches alone: Round 1, stitch 9 in ink; round 2, stitches 2 and 8 in milk; catch ink behind
round 1, stitch 3; carry all floats 2 % looser (3 % too short). Tried: 4.0 % narrower, 0.5 mm of pucker
(flat), no float over the limit. It misses the width by 1.0 %; of all that was tried what came nearest missed
the width by 0.5 %.
3. By whatever takes fewest changes: none of up to 16 changes does; of all that was tried what came nearest
missed the width by 2.0 % and 1 float over the limit.

The rounds of the chart that change in way 1, as printed:
     1  ............
   now  ...o........

The rounds of the chart that change in way 2, as printed:
     1  ............
   now  ...o........

**Side by side**
     way  changes  narrower %  pucker mm  hardest pull cN  over the limit  does
--------  -------  ----------  ---------  ---------------  --------------  ----
as it is                  5.0        2.0             0.00               3
       1        6         2.0        0.5             0.00               0   yes
       2        6         4.0        0.5             0.00               0    no

The ways were looked for in the chart without end, with every float carried alike. What is told of each is its
forecast, one usual piece, as 'fabricsim preview --draft' makes it. A stitch, a catch and a per cent of slack
each count as one change, a stitch left alone among others as one more, and so does a row's last stitch of a
yarn, a row carried looser and a size of needles; these are the fewest found.
The chart stays as symmetric as it is (--no-symmetry looks for fewer changes).
Stopped by you: these are the ways found so far.
Face and back is in x.png.
[caution]"""
    )
