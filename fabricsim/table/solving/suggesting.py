"""Changes that might do a piece good, each a scene of its own that can be tried."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fabricsim.design.catches.plan import plan_of
from fabricsim.design.counted.edits import changed
from fabricsim.design.counted.mending import mending_of
from fabricsim.design.floats.faults import faults
from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.model import Scene
from fabricsim.errors import FabricsimError
from fabricsim.fabric.carried import whole_floats
from fabricsim.fabric.measures import Measures
from fabricsim.study.forecast.aiming import aim_of
from fabricsim.study.forecast.forecast import Counted
from fabricsim.study.forecast.loosening import MOST_LOST, how_loose
from fabricsim.table.drafts.chart import with_chart
from fabricsim.table.drafts.keys import with_keys
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.messages.fabrics import Suggestion
from fabricsim.table.solving.order import Order

SECONDS = 4.0
"""That a plan of catches may take here (chosen: few need one; what ``catches`` says may be better placed)."""


@dataclass(frozen=True)
class Suggested:
    """What is told of a change, and the scene with it."""

    suggestion: Suggestion
    draft: SceneText


def by_counting(order: Order) -> list[Suggested]:
    """Return what counting alone suggests: to catch floats, or to break them by other stitches."""
    if not over(order.scene, order):
        return []
    return [*_caught(order), *_mended(order)]


def by_width(order: Order, measures: Measures) -> list[Suggested]:
    """Return what makes good the width that is lost: more repeats."""
    across, lost = order.scene.chart.across, measures.widths.overall
    if order.case == "repeat" or not MOST_LOST < lost < 1.0:
        return []
    more = round(across * lost / (1.0 - lost))
    return _with_keys(order, {"chart.across": across + more}, what="repeat", count=more) if more else []


def by_slack(order: Order, processes: int, counted: Counted | None = None) -> list[Suggested]:
    """Return how loose the floats should be, as ``slack`` says it, unless they are."""
    scene = order.scene
    try:
        aim = aim_of(how_loose(scene, order.case, processes=processes, counted=counted))
    except FabricsimError:  # no floats, or none loose enough: nothing to suggest
        return []
    slack = round(aim.slack, 3)
    if slack <= min(scene.slack_of_yarns):
        return []
    values: dict[str, Any] = {"floats.slack": slack}
    if scene.floats.slack_by_yarn:
        values["floats.slack_by_yarn"] = None
    return _with_keys(order, values, what="loosen", slack=slack)


def over(scene: Scene, order: Order) -> int:
    """Return how many floats of the piece pass a limit."""
    return len(faults(whole_floats(scene, order.case), scene.limits))


def _caught(order: Order) -> list[Suggested]:
    rules = order.scene.floats
    if rules.plan_catches:
        return []
    planned = plan_of(order.scene, SECONDS).planned
    if not planned:
        return []
    values: dict[str, Any] = {"floats.plan_catches": True} if rules.catches else {"floats.catches": "planned"}
    places = tuple(sorted({hold.square for hold in planned}))
    return _with_keys(order, values, what="catch", count=len(planned), places=places)


def _mended(order: Order) -> list[Suggested]:
    """Return the first change of the chart that breaks a float, and all of them if there are several."""
    found = mending_of(order.scene)
    if not found.mended:
        return []
    first = changed(found.before, found.mended[0].edit)
    told = []
    for number, chart_ij in enumerate(dict.fromkeys(tuple(map(tuple, one)) for one in (first, found.after))):
        places = _moved(found.before, chart_ij)
        draft = with_chart(order.draft, chart_ij)
        told.append(
            _suggested(order, draft, id=f"stitch {number + 1}", what="stitch", count=len(places), places=places)
        )
    return told


def _moved(before: Rows, after: Rows) -> tuple[tuple[int, int], ...]:
    """Return the squares that differ."""
    return tuple(
        (row, column)
        for row, (was_j, is_j) in enumerate(zip(before, after, strict=True))
        for column, (was, now) in enumerate(zip(was_j, is_j, strict=True))
        if was != now
    )


def _with_keys(order: Order, values: Mapping[str, Any], **told: Any) -> list[Suggested]:
    """Return the suggestion to set some keys; none where the scene can't have them."""
    try:
        draft = with_keys(order.draft, values)
    except FabricsimError:  # as a repeat more, where the piece may not be so large
        return []
    return [_suggested(order, draft, id=told["what"], **told)]


def _suggested(order: Order, draft: SceneText, **told: Any) -> Suggested:
    before, after = over(order.scene, order), over(draft.scene, order)
    return Suggested(Suggestion(over_before=before, over_after=after, **told), draft)
