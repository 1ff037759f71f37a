"""What the table says of what it was asked to look for: the numbers and words of ``why``, ``change`` and ``place``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fabricsim.errors import FabricsimError
from fabricsim.table.messages.sought import CameOf, FloatCost, FreedSquare, TellCosts, TellWays, WayTold
from fabricsim.table.solving.order import FoundWays, Order, Quest, SearchTellers

if TYPE_CHECKING:
    from fabricsim.design.scene.chart import Rows
    from fabricsim.study.change.aims import Aims, TriedScene
    from fabricsim.study.change.costs import Costs
    from fabricsim.study.change.found_ways import Changing
    from fabricsim.study.change.placing import PlacedRepeats, RoundBeginning
    from fabricsim.table.drafts.text import SceneText

SQUARES = 5
"""Squares that are offered to be tried, those that free the most (chosen: as many as ``why`` names)."""
BEGINNINGS = 3
"""Stitches with which rounds might better begin that are offered (chosen: as many as ``place`` names)."""
MOST_SQUARES = 2000
"""Squares of a chart that is told with a way (chosen: of more no picture is made)."""

# The server hands these to its processes, and needs none of what they take.


def aims(search: Quest) -> Aims:
    """Return what is wanted, as ``change`` is asked for it."""
    from fabricsim.cli.commands.change.options import wanted

    return wanted(may_lose=search.may_lose, flat=search.flat)


def costs(found: Costs, order: Order) -> TellCosts:
    """Return what costs the width, in the sentences of ``why``."""
    from fabricsim.cli.commands.why.words import COUNTS, FREES, NO_COST, rows_said, slack_said
    from fabricsim.study.change.costs import ordered

    lost, told = found.measures.widths.overall, found.told
    any_ = lost >= COUNTS and told >= COUNTS
    floats = sorted(found.floats.items(), key=lambda one: (-one[1], one[0])) if any_ else []
    best = [one for one in ordered(found.squares)[:SQUARES] if one[1].lost <= -FREES] if any_ else []
    return TellCosts(
        state=order.state,
        loss_percent=100.0 * max(lost, 0.0),
        words=(rows_said(found), slack_said(found)) if any_ else (NO_COST,),
        floats=tuple(
            FloatCost(
                row=row, column=(column + 1) % found.scene.stitches_per_repeat, gap=gap, yarn=yarn, share=cost / told
            )
            for (row, column, gap, yarn), cost in floats
        ),
        rows=tuple((row, cost / told) for row, cost in sorted(found.rows.items())) if any_ else (),
        squares=tuple(
            FreedSquare(row=row, column=column, yarn=yarn, percent=-100.0 * one.lost)
            for ((row, column), yarn), one in best
        ),
    )


def changes(found: Changing, order: Order) -> FoundWays:
    """Return the ways that ``change`` found so far, in its words."""
    from fabricsim.cli.commands.change.copies import changed_draft
    from fabricsim.cli.commands.change.words import KIND_SAID, NONE_OPEN, ChangeTold, result_said, wanted_said, way_said

    told, ways, texts = ChangeTold(order.scene, found), [], {}
    for number, way in enumerate(found.ways, start=1):
        name, draft = f"way {number}", None
        if way.proposal is not None:
            try:
                draft = changed_draft(order.draft, order.scene, way)
            except FabricsimError:  # written in a way that can't be changed by halves
                draft = None
        if draft is not None:
            texts[name] = draft.text
        ways.append(
            _way(
                name,
                str(number),
                f"By {KIND_SAID[way.kind]}: {way_said(told, way)}",
                None if way.tried is None else _came(way.tried),
                order,
                draft,
                does=way.tried is not None and not way.tried.misses(found.aims),
            )
        )
    notes = [NONE_OPEN] if found.none_open else []
    if not found.needed:
        notes.append(f"As it is: {result_said(found.now)}. Nothing to change.")
    wanted = wanted_said(order.scene, found.aims)
    told_ways = TellWays(
        what="changes", state=order.state, wanted=wanted, now=_came(found.now), ways=tuple(ways), notes=tuple(notes)
    )
    return FoundWays(told_ways, texts)


def places(begun: Sequence[RoundBeginning], laid: Sequence[PlacedRepeats], order: Order) -> FoundWays:
    """Return where rounds may better begin and how repeats may lie, in the words of ``place``."""
    from fabricsim.cli.commands.place.words import begin_said, begins_said, kind_said, laid_said

    scene, ways, texts = order.scene, [], {}
    rows = tuple(map(tuple, scene.chart_rows()))
    wide = len(rows[0])
    notes = [begin_said(begun)] if begun else []
    now = next((one for one in begun if one.stitch == 1), None)
    for one in begun[:BEGINNINGS]:
        if now is None or one.order[:3] >= now.order[:3]:
            continue
        turned = tuple(tuple(row[(column - one.stitch + 1) % wide] for column in range(wide)) for row in rows)
        draft = _laid(order, turned)
        name = f"begin {one.stitch}"
        texts[name] = draft.text
        came = CameOf(loss_percent=None, pucker_mm=None, over=one.over)
        ways.append(_way(name, f"stitch {one.stitch}", begins_said(one), came, order, draft, does=True))
    if laid:
        notes.append(laid_said(scene, laid))
    for number, placed in enumerate(laid[1:], start=1):
        drawn = tuple(map(tuple, placed.rows))
        draft = _laid(order, drawn, up=max(1, scene.chart.up // (2 if len(drawn) >= 2 * len(rows) else 1)))
        name = f"laid {number}"
        texts[name] = draft.text
        said = kind_said(scene, placed)
        better = placed.lost is not None and laid[0].lost is not None and placed.lost < laid[0].lost
        came = CameOf(loss_percent=_percent(placed.lost), pucker_mm=_mm(placed.pucker), over=placed.over)
        ways.append(_way(name, said, f"Laid {said}", came, order, draft, does=better))
    first = laid[0] if laid else None
    as_it_is = CameOf(
        loss_percent=None if first is None else _percent(first.lost),
        pucker_mm=None if first is None else _mm(first.pucker),
        over=now.over if now is not None else first.over if first is not None else 0,
    )
    told = TellWays(what="places", state=order.state, wanted="", now=as_it_is, ways=tuple(ways), notes=tuple(notes))
    return FoundWays(told, texts)


def _laid(order: Order, rows: Rows, up: int | None = None) -> SceneText:
    """Return the draft with its motif placed otherwise, without catches, which would no longer fit."""
    from fabricsim.table.drafts.chart import with_chart
    from fabricsim.table.drafts.keys import with_keys

    draft = order.draft
    if order.scene.floats.catches:
        draft = with_keys(draft, {"floats.catches": None})
    draft = with_chart(draft, rows)
    return draft if up is None or up == order.scene.chart.up else with_keys(draft, {"chart.up": up})


def _way(
    id: str, name: str, words: str, came: CameOf | None, order: Order, draft: SceneText | None, *, does: bool
) -> WayTold:
    before = order.scene.chart_rows()
    chart = before if draft is None else draft.scene.chart_rows()
    same_size = (len(chart), len(chart[0])) == (len(before), len(before[0]))
    moved = (
        (row, column)
        for row, (was_j, is_j) in enumerate(zip(before, chart, strict=True))
        for column, (was, now) in enumerate(zip(was_j, is_j, strict=True))
        if was != now
    )
    return WayTold(
        id=id,
        name=name,
        words=words,
        there=draft is not None,
        does=does,
        came=came,
        places=tuple(moved) if same_size and draft is not None else (),
        chart=tuple(map(tuple, chart)) if draft is not None and len(chart) * len(chart[0]) <= MOST_SQUARES else None,
    )


def _came(tried: TriedScene) -> CameOf:
    return CameOf(loss_percent=_percent(tried.lost), pucker_mm=_mm(tried.pucker), over=tried.over)


def _percent(share: float | None) -> float | None:
    return None if share is None else 100.0 * share


def _mm(height: float | None) -> float | None:
    return None if height is None else 1000.0 * height


TELLERS = SearchTellers(aims, costs, changes, places)
