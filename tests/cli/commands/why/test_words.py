"""What ``why`` says, from costs that nobody solved."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from fabricsim.cli.commands.why.data import for_programs, lines
from fabricsim.cli.commands.why.words import catches_said, rows_said, slack_said, squares_said, tell
from fabricsim.design.rows.squares import EVERY_STRAND, Hold
from fabricsim.study.change.costs import Costs, Freed
from tests.cli.made_up import Told, forecast_of, measures_of, rest_of, scene_of

FLOATS = {(0, 0, 5, 1): 0.01, (0, 6, 5, 1): 0.02, (1, 3, 1, 0): 0.01}


def costs(floats: dict[tuple[int, int, int, int], float] = FLOATS, *, lost: float = 0.04, **more: Any) -> Costs:
    scene = scene_of(**more.pop("scene", {}))
    rest = rest_of(scene)
    rows: dict[int, float] = {}
    for place, cost in floats.items():
        rows[place[0]] = rows.get(place[0], 0.0) + cost
    made: dict[str, Any] = {
        "squares": {((0, 3), 1): Freed(-0.002, 0.0), ((1, 2), 0): Freed(0.003, 1e-4)},
        "catches": {Hold(0, 3, 1): Freed(-0.0004, 0.0), Hold(1, 2, 0): Freed(0.0012, 2e-6)},
        "row_by_slack": {row: 0.5 - 0.1 * row for row in rows},
        **more,
    }
    told = forecast_of(rest, measures_of(rest, lost=lost))
    endless: Any = SimpleNamespace(rest=replace(rest, period_a=0.9 * rest.period_a))
    return Costs(scene, "repeat", told, floats, rows, 0.9, charted=endless, **made)


def test_the_rows_that_cost_the_greater_part() -> None:
    assert rows_said(costs()) == "Round 1 of the chart's 2 with floats costs 75 % of the loss."
    three = {(0, 0, 5, 1): 0.03, (4, 0, 5, 1): 0.03, (2, 3, 1, 0): 0.01, (1, 3, 1, 0): 0.01}
    assert rows_said(costs(three)) == "Rounds 1 and 5 of the chart's 4 with floats cost 75 % of the loss."
    assert rows_said(costs({(0, 0, 5, 1): 0.01, (1, 0, 5, 1): 0.011})) == (
        "All 2 rounds of the chart with floats cost about alike."
    )
    assert rows_said(costs({(1, 0, 5, 1): 0.01})) == "All of it is the floats of one round of the chart, number 2."


def test_what_slack_gives_back() -> None:
    assert slack_said(costs()) == (
        "Floats 1 % looser give back 0.90 % of the width; those of round 1 alone 0.50 %, the most of any round."
    )


def test_squares_by_what_they_free() -> None:
    assert squares_said(costs()) == (
        "In the chart without end, where 10.0 % is lost, 1 single square would free the most, each alone: round 1, "
        "stitch 9 in ink (0.20 %)."
    )
    none = costs(squares={((0, 3), 1): Freed(0.001, 0.0)})
    assert squares_said(none).startswith("No single square")


def test_what_one_catch_more_or_fewer_would_change() -> None:
    def told(**changes: float) -> str:
        places = {
            "new": Hold(2, 3, 1),
            "other": Hold(1, 2, 0),
            "there": Hold(2, 2, EVERY_STRAND),
            "mine": Hold(1, 5, 1),
        }
        catches = {places[name]: Freed(lost, 0.0) for name, lost in changes.items()}
        listed = [{"row": 3, "stitch": 10}, {"row": 2, "stitch": 7, "yarn": "o"}]
        return catches_said(costs(catches=catches, scene={"floats": {"catches": listed}}))

    assert told(new=-0.0004, other=0.0012) == (
        "One catch more would give back 0.04 % of the width (ink behind round 3, stitch 9) at best, and at worst cost "
        "0.12 % (milk behind round 2, stitch 10)."
    )
    assert told(new=-0.0004, other=0.0) == (
        "One catch more would give back 0.04 % of the width (ink behind round 3, stitch 9)."
    )
    assert told(new=0.0012, other=0.0) == "One catch more would cost 0.12 % (ink behind round 3, stitch 9)."
    assert told(new=-4e-6, other=6e-6) == "One catch more, wherever it is, changes the width by less than 0.01 %."
    assert (
        told(there=-0.0005, mine=-0.0003)
        == "Of your catches what runs behind round 3, stitch 10 costs the most, 0.05 %."
    )
    assert told(there=0.0005, mine=0.0) == "None of your catches costs any of it."
    assert told() == ""


def test_nothing_lost_is_nothing_to_tell() -> None:
    page = Told()
    tell(page, costs(lost=0.0), Path("x.png"))
    assert "Its floats cost it no width as it lies." in page.said
    assert not page.tables


def test_all_is_told_and_where_the_map_is() -> None:
    page = Told()
    tell(page, costs(), Path("x.png"))
    assert "every float carried alike: 4.0 % of the width is lost." in page.said[1]
    assert [line[0] for line in page.tables["What each costs"].lines] == ["2", "1"]
    assert any("x.png" in said for said in page.said)


def test_programs_are_told_the_same_numbers() -> None:
    said = for_programs(costs())
    assert said["draw_in_percent"] == pytest.approx(4.0)
    assert [one["row"] for one in said["rows"]] == [1, 2]
    assert said["rows"][0]["width_lost_percent"] == pytest.approx(3.0)
    assert [(one["row"], one["stitch"], one["yarn"]) for one in said["squares"]] == [(1, 9, "o"), (2, 10, ".")]
    slacker = "width_lost_for_1_percent_more_slack_percent"
    assert [said[slacker], said["rows"][0][slacker]] == pytest.approx([-0.9, -0.5])  # looser loses less
    assert [one["width_lost_changes_by_percent"] for one in said["squares"]] == pytest.approx([-0.2, 0.3])
    assert said["squares"][1]["pucker_rms_changes_by_mm"] == pytest.approx(0.1)
    first = lines(costs())[0]
    assert (first["row"], first["stitch"], first["gap_stitches"]) == (1, 1, 5)  # passes columns 7 to 11
    assert first["of_the_loss_percent"] == pytest.approx(50.0)
