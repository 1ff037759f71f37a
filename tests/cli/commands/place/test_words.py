"""What ``place`` says, from ways that nobody tried."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fabricsim.cli.commands.place.data import for_programs, lines
from fabricsim.cli.commands.place.words import PlaceTold, begin_said, kind_said, laid_said, tell
from fabricsim.study.change.placing import CountMet, PlacedRepeats, RoundBeginning
from fabricsim.units import CM, MM
from tests.cli.made_up import Told, scene_of

NOW, BEST = RoundBeginning(1, 17, 8, 39, 8), RoundBeginning(7, 1, 4, 4, 8)
ROWS = ((0, 1), (1, 0))
LAID = [
    PlacedRepeats("as it is", 0, ROWS, 0.05, 2 * MM, 3),
    PlacedRepeats("plain rows", 2, (*ROWS, (0, 0)), 0.03, 1 * MM, 3),
    PlacedRepeats("half drop", 0, ROWS, None, None, 1),
]


def test_where_rounds_begin() -> None:
    assert begin_said([BEST, NOW]) == (
        "Begin rounds with stitch 7 of the chart: 1 float runs over their join, the longest behind 4 stitches. As it "
        "is, 17 floats run over their join, the longest behind 8 stitches, 39 in all."
    )
    more, none = (begin_said([replace(BEST, over=over), NOW]) for over in (9, 0))
    assert more.endswith("39 in all. Of the whole piece 9 of the floats then pass your limit, in place of 8.")
    assert none.endswith(" Of the whole piece none of the floats then pass your limit, in place of 8.")
    shorter, fewer = RoundBeginning(3, 5, 4, 12, 9), RoundBeginning(4, 2, 6, 8, 8)
    assert shorter.order < fewer.order < NOW.order
    assert begin_said([NOW, BEST]).startswith("Rounds begin well where they do: 17 floats run")
    assert begin_said([RoundBeginning(1, 0, 0, 0, 0)]).endswith("no float runs over their join.")


def test_how_repeats_lie() -> None:
    scene = scene_of()
    assert laid_said(scene, LAID) == (
        "Laid with 2 plain rounds between repeats, it loses 3.0 % of the width in place of 5.0 %, with 1.0 mm of "
        "pucker in place of 2.0 mm."
    )
    assert laid_said(scene, LAID[:1]).startswith("The chart is not repeated upwards")
    no_better = [LAID[0], PlacedRepeats("mirrored", 0, ROWS, 0.0495, 1 * MM, 3)]
    assert (
        laid_said(scene, no_better) == "No way to lay its repeats loses less than 5.0 % of the width, as it does now."
    )
    assert kind_said(scene, LAID[2]) == "with every second repeat shifted by half"


def test_all_of_it_in_tables() -> None:
    page = Told()
    met = [CountMet(98, 8, 0, 2, 0.07, 47.9 * CM, 11), CountMet(98, 7, 1, 7, None, None, 24)]
    tell(page, PlaceTold(scene_of(), [BEST, NOW], LAID, met))
    assert [line[0] for line in page.tables["Where rounds may begin"].lines] == ["7", "1"]
    assert [*page.tables["How repeats may lie"].side_of.values()] == ["left", "right", "right", "right"]
    assert [line[1] for line in page.tables["How repeats may lie"].lines] == ["5.0", "3.0", "no rest"]
    cells = page.tables["How it meets the count"].lines
    assert list(cells[0]) == ["98", "8", "2 at the end", "7.0", "47.9 cm", "11"]
    assert list(cells[1])[2:5] == ["1 beside each and 7 at the end", "no rest", ""]


def test_programs_are_told_the_same() -> None:
    told = PlaceTold(scene_of(), [BEST, NOW], LAID)
    said = for_programs(told)
    assert said["rounds_begin"][0]["longest_gap_stitches"] == 4
    assert said["laid"][1] == {
        "laid": "plain rows",
        "plain_rows": 2,
        "draw_in_percent": 3.0,
        "pucker_mm": 1.0,
        "floats_over_limit": 3,
        "chart": ["..", "o.", ".o"],
    }
    met = [CountMet(98, 8, 0, 2, 0.07, 47.9 * CM, 11), CountMet(98, 7, 1, 7, None, None, 24)]
    found, none = for_programs(told._replace(met=met))["met"]
    assert found == {
        "stitches": 98,
        "repeats": 8,
        "plain_beside_each": 0,
        "plain_at_the_end": 2,
        "draw_in_percent": pytest.approx(7.0),
        "around_cm": pytest.approx(47.9),
        "floats_over_limit": 11,
    }
    assert (none["draw_in_percent"], none["around_cm"]) == (None, None)
    assert [one["laid"] for one in lines(told)] == ["as it is", "plain rows", "half drop"]
