"""What ``agree`` says, from bands that nobody brought to rest."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from fabricsim.cli.commands.agree.data import COLUMNS, for_programs, lines
from fabricsim.cli.commands.agree.pictures import plots
from fabricsim.cli.commands.agree.words import MOST_NAMED, AgreeTold, apart_said, how_said, result_said, tell, way_said
from fabricsim.cli.words.bands import band_said, bands_said
from fabricsim.design.rows.squares import Hold
from fabricsim.design.scene.row_bands import RowBand
from fabricsim.lengths import long
from fabricsim.study.change.agreeing import Agreeing
from fabricsim.study.change.band_pieces import AgreeWay, PieceTried
from fabricsim.study.change.banding import BandWidths, ChartBand, LikelySteps
from tests.cli.made_up import Told, forecast_of, measures_of, rest_of, scene_of
from tests.cli.printed import printed

SCENE = scene_of(worked="round", gauge={"stitches": 20, "rows": 26, "needle_mm": 4.5})
BANDS = (ChartBand(0, 0), ChartBand(1, 1))
LIKELY = LikelySteps(((0.01, 0.02),) * 2, ((-0.03, -0.005),), (0.005, 0.03), ((0.1, 0.2),) * 2)


def tried(*lost: float, over: int = 0) -> PieceTried:
    rest = rest_of(SCENE)
    return PieceTried(SCENE, forecast_of(rest, measures_of(rest, lost=0.03, pucker_mm=0.5)), BandWidths(lost), over)


SLACK = AgreeWay("slack", (3, 0), (0, 0), (), tried(0.021, 0.02))
NEEDLES = AgreeWay("needles", (0, 0), (1, 0), (), tried(0.0, 0.021))
NONE = AgreeWay("catches", (0, 0), (0, 0), (), None, 5)


def told(*ways: AgreeWay, now: tuple[float, float] = (0.05, 0.02), **more: Any) -> AgreeTold:
    return AgreeTold(SCENE, Agreeing(SCENE, BANDS, 0.02, "round", tried(*now), None, list(ways), **more))


def test_by_how_much_they_differ() -> None:
    said = apart_said(told())
    assert said == (
        "Round 1 of the chart lies 0.2 cm narrower than round 2 of the chart: 3.0 % of the width, where 2.0 % may be."
    )
    both = told()
    both = both._replace(found=replace(both.found, bands=(ChartBand(0, 1), ChartBand(2, 2))))
    assert apart_said(both).startswith("Rounds 1 to 2 of the chart lie 0.2 cm narrower than round 3 of the chart:")
    assert apart_said(told(now=(0.03, 0.02))) == (
        "The bands agree: the widest and the narrowest differ by 1.0 % of the width, and 2.0 % may be."
    )


def test_ways_and_what_they_miss() -> None:
    assert way_said(told(), SLACK) == (
        "Round 1 of the chart with floats 3 % looser. Tried: bands 0.1 % apart, 3.0 % narrower in all, 0.5 mm of "
        "pucker, no float over the limit."
    )
    assert way_said(told(), NEEDLES) == (
        "Round 1 of the chart on 5 mm needles in place of 4.5. Tried: bands 2.1 % apart, 3.0 % narrower in all, "
        "0.5 mm of pucker, no float over the limit. That is 0.1 % more than may be."
    )
    assert way_said(told(), NONE) == "none of 5 catches that might help does."
    assert way_said(told(), AgreeWay("catches", (0, 0), (0, 0), (), None)) == "no float to catch."
    held = AgreeWay("catches", (0, 0), (0, 0), (Hold(0, 2, 1),), tried(0.03, 0.02, over=2))
    assert "Catches behind round 1, stitch 10 (ink). Tried: bands 1.0 % apart" in way_said(told(), held)
    assert "2 floats over the limit" in way_said(told(), held)


def test_whichever_band_is_the_narrower() -> None:
    assert apart_said(told(now=(0.02, 0.05))) == (
        "Round 2 of the chart lies 0.2 cm narrower than round 1 of the chart: 3.0 % of the width, where 2.0 % may be."
    )
    rest = rest_of(SCENE)
    wider = replace(tried(-0.01, 0.02), forecast=forecast_of(rest, measures_of(rest, lost=-0.004, pucker_mm=0.5)))
    assert result_said(wider) == "bands 3.0 % apart, 0.4 % wider in all, 0.5 mm of pucker, no float over the limit"
    assert result_said(tried(0.01, 0.02, over=1)).endswith("1 float over the limit")


def test_how_each_band_is_worked() -> None:
    both = AgreeWay("slack", (3, 1), (0, 2), (), None)
    assert how_said(told(), both) == (
        "Round 1 of the chart with floats 3 % looser; round 2 of the chart with floats 1 % looser and on 5.5 mm "
        "needles in place of 4.5"
    )
    holds = tuple(Hold(row, column, 1) for row, column in ((1, 3), (0, 9), (0, 2)))
    assert how_said(told(), replace(both, looser_k=(0, 0), sizes_k=(0, 0), holds=holds)) == (
        "Catches behind round 1, stitch 10 (ink); round 1, stitch 3 (ink); round 2, stitch 9 (ink)"
    )
    few, many = (tuple(Hold(0, column, 1) for column in range(named)) for named in (MOST_NAMED, MOST_NAMED + 1))
    assert how_said(told(), replace(both, holds=few)).count("(ink)") == MOST_NAMED
    assert how_said(told(), replace(both, holds=many)).endswith(f"; {MOST_NAMED + 1} catches (--json lists them)")


def test_no_way_that_was_found_and_no_copy_written() -> None:
    assert way_said(told(), AgreeWay("needles", (0, 0), (0, 0), (), None)) == (
        "none was found that brings the bands nearer to one another."
    )
    assert way_said(told(), replace(NONE, catches=1)) == "none of 1 catch that might help does."

    def notes(agrees: bool, written: bool, *ways: AgreeWay) -> list[str]:
        page, path = Told(), Path("new.toml")
        made = told(*ways, now=(0.03, 0.02) if agrees else (0.05, 0.02))
        tell(page, made._replace(asked=path, files=[("a copy", path)] if written else []))
        return [one for one in page.said if "new.toml" in one or "Swatch" in one]

    assert notes(True, False) == ["The bands agree as they are, so new.toml was not written."]
    assert notes(False, False) == [
        "No way makes the bands agree, so new.toml was not written: ask for less, or name one with --pick."
    ]
    assert notes(False, True, SLACK) == ["A copy is in new.toml."]
    assert [one[:8] for one in notes(False, True, NEEDLES)] == ["Needles:", "A copy i"]


def test_three_bands_and_the_steps_between_them() -> None:
    made = told()
    bands = (ChartBand(0, 0), ChartBand(1, 1), ChartBand(2, 2))
    now = tried(0.05, 0.02, 0.03)
    likely = LikelySteps(((0.0, 0.0),) * 3, ((-0.04, -0.02), (0.005, 0.015)), (0.01, 0.04), ((0.1, 0.2),) * 3)
    page = Told()
    tell(page, made._replace(found=replace(made.found, bands=bands, now=now, likely=likely)))
    lines = page.tables["The bands as they are, the top one first"].lines
    assert [one[0] for one in lines] == ["3", "2", "1"]
    assert [one[2:] for one in lines] == [
        ("3.0", "+1.0", "+0.5 to +1.5"), ("2.0", "-3.0", "-4.0 to -2.0"), ("5.0", "", ""),
    ]  # fmt: skip
    broad = Told()
    tell(broad, made._replace(found=replace(made.found, bands=(ChartBand(0, 1), ChartBand(2, 2)))))
    assert [one[0] for one in broad.tables["The bands as they are, the top one first"].lines] == ["3", "1 to 2"]
    wide = made.found.now.forecast.measures.widths.plain
    assert [one[1] for one in lines] == [long(wide * (1.0 - lost)) for lost in (0.03, 0.02, 0.05)]
    without = Told()
    tell(without, made._replace(found=replace(made.found, bands=bands, now=now)))
    assert [len(one) for one in without.tables["The bands as they are, the top one first"].lines] == [4, 4, 4]
    assert not any("likely" in one for one in without.said)
    table = Told()
    tell(table, told(SLACK, replace(NEEDLES, tried=tried(0.0, 0.021, over=4))))
    ways = table.tables["How much narrower each band lies"].lines
    assert ways[0] == ("as it is", "5.0", "2.0", "3.0", "0.5", "0", "no")
    assert ways[1] == ("1", "2.1", "2.0", "0.1", "0.5", "0", "yes")
    assert ways[2] == ("2", "0.0", "2.1", "2.1", "0.5", "4", "no")


def test_all_of_it_with_its_tables() -> None:
    page = Told()
    made = told(SLACK, NEEDLES, NONE, stopped=True)
    made.found.likely = LIKELY
    tell(page, made._replace(asked=Path("new.toml"), files=[("the piece before and after", Path("x.png"))]))
    assert any("likely 0.5 % to 3.0 % apart" in one for one in page.said)
    assert any("Swatch it" in one for one in page.said)
    assert any("Stopped by you" in one for one in page.said)
    assert any("new.toml was not written" in one for one in page.said)
    (first, second) = page.tables["The bands as they are, the top one first"].lines
    assert first[2:] == ("2.0", "-3.0", "-3.0 to -0.5")
    assert second[2:] == ("5.0", "", "")
    table = page.tables["How much narrower each band lies"].lines
    assert [one[-1] for one in table] == ["no", "yes", "no"]


def test_programs_and_spreadsheets_are_told_the_same() -> None:
    said = for_programs(told(SLACK, NONE))
    assert said["within_percent"] == pytest.approx(2.0)
    assert said["bands"] == [{"first_row": 1, "last_row": 1}, {"first_row": 2, "last_row": 2}]
    assert said["as_it_is"]["draw_in_percent"] == pytest.approx([5.0, 2.0])
    assert said["as_it_is"]["draw_in_overall_percent"] == pytest.approx(3.0)
    assert said["as_it_is"]["pucker_mm"] == pytest.approx(0.5)
    assert said["as_it_is"]["apart_percent"] == pytest.approx(3.0)
    assert said["as_it_is"]["steps_percent"] == pytest.approx([-3.0])
    assert said["likely_by_hand"] is None
    hands = told(SLACK)
    hands.found.likely = LIKELY
    assert for_programs(hands)["likely_by_hand"] == {
        "draw_in_percent": [pytest.approx([1.0, 2.0])] * 2,
        "steps_percent": [pytest.approx([-3.0, -0.5])],
        "apart_percent": pytest.approx([0.5, 3.0]),
        "row_width_cm": [pytest.approx([10.0, 20.0])] * 2,
    }
    assert said["ways"][0]["percent_looser"] == [3, 0]
    assert said["ways"][0]["agrees"]
    assert said["ways"][1] == {"kind": "catches", "found": False}
    made = lines(told(SLACK, NONE))
    assert [tuple(one) for one in made] == [COLUMNS] * 4
    assert [(one["way"], one["first_row"], one["percent_looser"]) for one in made] == [
        (0, 1, 0), (0, 2, 0), (1, 1, 3), (1, 2, 0),
    ]  # fmt: skip


def test_widths_are_plotted_before_and_after() -> None:
    made = told(SLACK, NEEDLES)
    made.found.likely = LikelySteps((), (), (0.0, 0.1), ((0.4, 0.5),) * len(SCENE.piece_rows()))
    drawn = plots(made.found, ".svg").decode()
    assert "way 1, by looser floats" in drawn
    assert "likely by hand" in drawn


def test_bands_of_a_scene_in_words() -> None:
    looser, smaller = RowBand(first=1, last=2, looser=0.03), RowBand(first=2, last=2, looser=-0.015, needle_sizes=-1)
    assert band_said(SCENE, looser) == "floats 3 % looser"
    assert band_said(SCENE, smaller) == "floats 1.5 % tighter and on 4 mm needles in place of 4.5"
    unsaid = scene_of(worked="round")
    assert band_said(unsaid, smaller) == "floats 1.5 % tighter and on needles 1 size smaller"
    scene = SCENE.model_copy(update={"bands": (looser,)})
    assert bands_said(scene) == ["Rounds 1 to 2 of the chart otherwise than the rest: floats 3 % looser."]


def test_all_of_it_as_it_is_printed() -> None:
    made = told(SLACK, NEEDLES, NONE, stopped=True)
    made.found.likely = LIKELY
    full = made._replace(files=[("the piece before and after", Path("x.png"))])
    assert (
        printed(lambda page: tell(page, full))
        == """\
**Made up**
Seen as a tube without weight, floats inside, all of it as one piece, every float carried alike.
Round 1 of the chart lies 0.2 cm narrower than round 2 of the chart: 3.0 % of the width, where 2.0 % may be.

**The bands as they are, the top one first**
rounds of the chart   width  narrower %  more than the one below %  likely by hand %
-------------------  ------  ----------  -------------------------  ----------------
                  2  5.9 cm         2.0                       -3.0      -3.0 to -0.5
                  1  5.7 cm         5.0

1. By looser floats: Round 1 of the chart with floats 3 % looser. Tried: bands 0.1 % apart, 3.0 % narrower in
all, 0.5 mm of pucker, no float over the limit.
2. By larger needles: Round 1 of the chart on 5 mm needles in place of 4.5. Tried: bands 2.1 % apart, 3.0 %
narrower in all, 0.5 mm of pucker, no float over the limit. That is 0.1 % more than may be.
3. By catches: none of 5 catches that might help does.

**How much narrower each band lies**
     way  1 %  2 %  apart %  pucker mm  over the limit  agrees
--------  ---  ---  -------  ---------  --------------  ------
as it is  5.0  2.0      3.0        0.5               0      no
       1  2.1  2.0      0.1        0.5               0     yes
       2  0.0  2.1      2.1        0.5               0      no

By hands that carry floats unevenly the bands are likely 0.5 % to 3.0 % apart as they are, nine pieces in ten.
Needles: one size widens by 5 to 8 %, though 0 to 25 is reported. Swatch it.
Stopped by you: these are the ways found so far.
The piece before and after is in x.png.
[caution]"""
    )
