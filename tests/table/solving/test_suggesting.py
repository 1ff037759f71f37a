"""What might do a piece good: counted on small charts, the rest made up."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from fabricsim.errors import FabricsimError
from fabricsim.table.messages.fabrics import Suggestion
from fabricsim.table.solving import suggesting
from fabricsim.table.solving.suggesting import by_counting, by_slack, by_width, over
from tests.table.solving.made_up import measured, order_of
from tests.table.test_counting import CHART
from tests.table.test_drafts import SMALL

LONG = SMALL.replace(CHART, 'rows = [".........x", "xxxxxxxxxx", "xx........"]') + "longest_gap = 4\n"
"""Two floats too many in a repeat: one of nine, one of eight."""


def test_floats_over_a_limit_are_caught_or_broken_by_stitches() -> None:
    order = order_of(LONG, case="repeat")
    assert over(order.scene, order) == 2
    caught, *mended = by_counting(order)
    assert caught.suggestion == Suggestion(
        id="catch", what="catch", count=2, places=((0, 5), (2, 4)), over_before=2, over_after=0
    )
    assert caught.draft.scene.floats.plan_catches
    assert [one.suggestion.id for one in mended] == ["stitch 1", "stitch 2"]
    was = order.scene.chart_rows()
    for one, left in zip(mended, (1, 0), strict=True):
        told, now = one.suggestion, one.draft.scene.chart_rows()
        differing = tuple((i, j) for i in range(3) for j in range(10) if was[i][j] != now[i][j])
        assert (told.places, told.count, told.what) == (differing, len(differing), "stitch")
        assert (told.over_before, told.over_after) == (2, left)
    assert mended[0].suggestion.count < mended[1].suggestion.count


def test_catches_that_are_listed_stay_and_those_that_are_planned_are_no_advice() -> None:
    listed = order_of(LONG + "catches = [{ row = 1, stitch = 5 }]\n", case="repeat")
    caught = by_counting(listed)[0]
    assert (caught.suggestion.what, caught.suggestion.count, caught.suggestion.over_before) == ("catch", 1, 1)
    assert len(caught.draft.scene.floats.catches) == 1
    assert caught.draft.scene.floats.plan_catches
    planned = order_of(LONG.replace("longest_gap = 4", "longest_gap = 1") + 'catches = "planned"\n', case="repeat")
    assert "catch" not in [one.suggestion.what for one in by_counting(planned)]


def test_nothing_is_suggested_where_no_float_is_too_long() -> None:
    assert by_counting(order_of(SMALL)) == []
    assert by_counting(order_of(LONG.replace("longest_gap = 4", "longest_gap = 9"), case="repeat")) == []


def test_one_change_of_stitches_is_offered_once() -> None:
    text = SMALL.replace(CHART, 'rows = [".........x", "xxxxxxxxxx"]') + "longest_gap = 4\n"
    assert [one.suggestion.id for one in by_counting(order_of(text, case="repeat"))] == ["catch", "stitch 1"]


def test_no_plan_and_no_mending_is_no_advice(monkeypatch: pytest.MonkeyPatch) -> None:
    seconds: list[float] = []
    monkeypatch.setattr(suggesting, "plan_of", lambda scene, most: seconds.append(most) or SimpleNamespace(planned=()))
    monkeypatch.setattr(suggesting, "mending_of", lambda scene: SimpleNamespace(mended=(), before=(), after=()))
    assert by_counting(order_of(LONG, case="repeat")) == []
    assert seconds == [suggesting.SECONDS] == [4.0]


@pytest.mark.parametrize(
    ("lost", "case", "more"),
    [
        (0.2, "round", 2),  # 8 repeats over 0.8 are 10
        (0.3, "swatch", 3),  # 11.4
        (0.2, "repeat", None),  # which has no edge to be drawn in
        (0.011, "round", None),  # a tenth of a repeat
        (0.01, "round", None),
        (0.0, "round", None),
        (1.0, "round", None),
        (0.9999, "round", None),  # 80 000 repeats are refused
    ],
)
def test_width_that_is_lost_is_made_good_by_repeats(lost: float, case: Any, more: int | None) -> None:
    found = by_width(order_of(SMALL, case=case), measured(lost))
    assert [one.suggestion for one in found] == (
        [] if more is None else [Suggestion(id="repeat", what="repeat", count=more, over_before=0, over_after=0)]
    )
    assert [one.draft.scene.chart.across for one in found] == ([] if more is None else [8 + more])


def loose(patch: pytest.MonkeyPatch, slack: float | None) -> list[Any]:
    """Have floats be loose enough with a ``slack``, with none if None; return what was asked."""
    asked: list[Any] = []

    def how_loose(scene: Any, case: str, **how: Any) -> Any:
        asked.append((scene.title, case, how))
        if slack is None:
            raise FabricsimError("no floats")
        return "found"

    patch.setattr(suggesting, "how_loose", how_loose)
    patch.setattr(suggesting, "aim_of", lambda found: SimpleNamespace(slack=slack, found=found))
    return asked


def test_floats_are_to_be_as_loose_as_slack_says(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = loose(monkeypatch, 0.03456)
    (found,) = by_slack(order_of(SMALL), 3, "counted")  # type: ignore[arg-type]
    assert asked == [("Small", "round", {"processes": 3, "counted": "counted"})]
    assert found.suggestion == Suggestion(id="loosen", what="loosen", slack=0.035, over_before=0, over_after=0)
    assert found.draft.text == SMALL.replace("slack = -0.04 ", "slack = 0.035 ")
    by_yarn = SMALL + "slack_by_yarn = { x = 0.1 }\n"
    (found,) = by_slack(order_of(by_yarn), 3)
    assert found.draft.scene.slack_of_yarns == (0.035, 0.035)


@pytest.mark.parametrize("slack", [None, -0.04, -0.0404, -0.05])
def test_floats_that_are_loose_enough_or_cannot_be_are_no_advice(
    slack: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    loose(monkeypatch, slack)
    assert by_slack(order_of(SMALL), 1) == []


def test_the_tightest_yarn_says_whether_floats_are_loose_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    loose(monkeypatch, 0.0)
    assert len(by_slack(order_of(SMALL + "slack_by_yarn = { x = 0.1 }\n"), 1)) == 1
