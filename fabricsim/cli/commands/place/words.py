"""What ``place`` says to a designer."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, listed, row_word
from fabricsim.cli.words.fabric import straight_said
from fabricsim.cli.words.shares import percent
from fabricsim.design.scene.model import Scene
from fabricsim.lengths import fine, long
from fabricsim.study.change.placing import CountMet, PlacedRepeats, RoundBeginning

SHOWN = 3
"""Beginnings of the round that are told beside the present one (chosen)."""
BETTER = 3e-3
"""Share of the width by which a placing must lose less to be called better (chosen: less is luck)."""


class PlaceTold(NamedTuple):
    """Where rounds of a ``scene`` may begin, the best first; how its repeats may be ``laid``, as it is first; how they
    may have ``met`` a number of stitches."""

    scene: Scene
    begun: Sequence[RoundBeginning]
    laid: Sequence[PlacedRepeats]
    met: Sequence[CountMet] = ()


def tell(page: Page, told: PlaceTold) -> None:
    """Print what each way does."""
    scene = told.scene
    page.say(scene.title, bold=True, wrap=True)
    page.say(
        "Seen as the chart without end, every float carried alike, without catches: what counts is how the ways "
        "differ.",
        wrap=True,
    )
    if straight := straight_said(scene):
        page.say(straight, wrap=True)
    page.say("")
    if told.begun:
        page.say(begin_said(told.begun), wrap=True)
    page.say(laid_said(scene, told.laid), wrap=True)
    page.say("")
    if told.begun:
        page.table(_beginnings(told.begun))
    if len(told.laid) > 1:
        page.table(_placings(scene, told.laid))
    if told.met:
        page.table(_meetings(told.met))
    page.say(CAUTION, wrap=True)


def begin_said(begun: Sequence[RoundBeginning]) -> str:
    """Return where rounds best begin."""
    best, now = begun[0], next(one for one in begun if one.stitch == 1)
    if best.order[:3] == now.order[:3]:
        return f"Rounds begin well where they do: {_joins_said(now)}."
    over = ""
    if best.over != now.over:
        after, before = (str(one.over or "none") for one in (best, now))
        over = f" Of the whole piece {after} of the floats then pass your limit, in place of {before}."
    return (
        f"Begin rounds with stitch {best.stitch} of the chart: {_joins_said(best)}. As it is, {_joins_said(now)}.{over}"
    )


def begins_said(one: RoundBeginning) -> str:
    """Return where rounds may begin, and what runs over their join then."""
    return f"Rounds begin with stitch {one.stitch} of the chart: {_joins_said(one)}."


def _joins_said(one: RoundBeginning) -> str:
    if not one.joins:
        return "no float runs over their join"
    run = "runs" if one.joins == 1 else "run"
    all_ = f", {one.together} in all" if one.joins > 1 else ""
    return f"{count(one.joins, 'float')} {run} over their join, the longest behind {count(one.longest, 'stitch')}{all_}"


def laid_said(scene: Scene, laid: Sequence[PlacedRepeats]) -> str:
    """Return how repeats best lie above one another."""
    if len(laid) == 1:
        return "The chart is not repeated upwards, so it has no others above it to be shifted against."
    there = [one for one in laid if one.lost is not None]
    now = laid[0]
    if not there or now.lost is None:
        return "As it is, it finds no rest."
    best = min(there, key=lambda one: (one.lost or 0.0, one.pucker or 0.0))
    if now.lost - (best.lost or 0.0) < BETTER:
        return f"No way to lay its repeats loses less than {percent(now.lost, 1)} of the width, as it does now."
    return (
        f"Laid {kind_said(scene, best)}, it loses {percent(best.lost or 0.0, 1)} of the width in place of "
        f"{percent(now.lost, 1)}, with {fine(best.pucker or 0.0)} of pucker in place of {fine(now.pucker or 0.0)}."
    )


def kind_said(scene: Scene, one: PlacedRepeats) -> str:
    """Return a placing in words."""
    if one.kind == "plain rows":
        return f"with {count(one.plain, f'plain {row_word(scene)}')} between repeats"
    return {
        "as it is": "as it is",
        "half drop": "with every second repeat shifted by half",
        "mirrored": "with every second repeat mirrored",
        "swapped": "with the yarns of every second repeat swapped",
    }[one.kind]


def _beginnings(begun: Sequence[RoundBeginning]) -> Table:
    shown = list(begun[:SHOWN])
    shown += [one for one in begun[SHOWN:] if one.stitch == 1]
    lines = [tuple(map(str, (one.stitch, one.joins, one.longest, one.together, one.over))) for one in shown]
    columns = ("round begins with stitch", "floats over the join", "longest", "stitches together", "over the limit")
    return Table("Where rounds may begin", dict.fromkeys(columns, "right"), lines)


def _placings(scene: Scene, laid: Sequence[PlacedRepeats]) -> Table:
    lines = [(kind_said(scene, one), _percent(one.lost), _mm(one.pucker), str(one.over)) for one in laid]
    columns = ("narrower %", "pucker mm", "floats over the limit")
    return Table("How repeats may lie", {"laid": "left", **dict.fromkeys(columns, "right")}, lines)


def _meetings(met: Sequence[CountMet]) -> Table:
    lines = []
    for one in met:
        plain = [f"{one.wider} beside each"] if one.wider else []
        plain += [f"{one.left} at the end"] if one.left else []
        around = "" if one.around is None else long(one.around)
        cells = (str(one.stitches), str(one.repeats), listed(plain) or "none")
        lines.append((*cells, _percent(one.lost), around, str(one.over)))
    columns = ("stitches", "repeats", "plain stitches", "narrower %", "around", "floats over the limit")
    return Table("How it meets the count", dict.fromkeys(columns, "right"), lines)


def _percent(share: float | None) -> str:
    return "no rest" if share is None else f"{100.0 * share:.1f}"


def _mm(height: float | None) -> str:
    return "" if height is None else f"{1000.0 * height:.1f}"
