"""What ``change`` says to a designer."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from fabricsim.cli.commands.change.missed_aims import against_one_another, misses_said, over_said
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.bands import band_said, rows_said
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, limit_words, listed, row_word
from fabricsim.cli.words.fabric import straight_said
from fabricsim.cli.words.needles import larger_needle
from fabricsim.cli.words.pucker import PUCKER_WORDS, pucker_word
from fabricsim.cli.words.shares import percent, slack_words
from fabricsim.design.counted.chart_in_text import printed_rows
from fabricsim.design.counted.edits import changed
from fabricsim.design.scene.model import Scene
from fabricsim.lengths import fine
from fabricsim.study.change.aims import Aims, TriedScene
from fabricsim.study.change.found_ways import ChangeWay, Changing, WayKind
from fabricsim.study.change.search import Proposal

KIND_SAID: dict[WayKind, str] = {
    "carrying": "the chart as it is, caught and carried otherwise",
    "stitches": "other stitches alone",
    "both": "whatever takes fewest changes",
    "rows": "looser floats in some rows of the chart",
    "needles": "larger needles for the rows with floats",
}

MOST_NAMED = 24
"""Stitches and catches of one way that are told one by one (chosen: half a screen)."""


NONE_OPEN = (
    "No float may stay open here, and no change of a few stitches helps: line the piece, or choose a chart without "
    "floats. What follows is of its width alone."
)


class ChangeTold(NamedTuple):
    """What was ``found`` for a ``scene``, the ``files`` written, each with what it is, and where a copy was ``asked``
    for."""

    scene: Scene
    found: Changing
    files: Sequence[tuple[str, Path]] = ()
    asked: Path | None = None


def tell(page: Page, told: ChangeTold) -> None:
    """Print what is wanted, the ways side by side, and each in words."""
    scene, found = told.scene, told.found
    page.say(scene.title, bold=True, wrap=True)
    page.say(wanted_said(scene, found.aims), wrap=True)
    if straight := straight_said(scene):
        page.say(straight, wrap=True)
    if found.none_open:
        page.say(NONE_OPEN, wrap=True)
    if not found.needed:
        page.say(f"As it is: {result_said(found.now)}. Nothing to change{_not_written(told)}.", wrap=True)
        page.say(CAUTION, wrap=True)
        return
    page.say(f"As it is: {result_said(found.now)}.", wrap=True)
    page.say("")
    for number, way in enumerate(found.ways, start=1):
        page.say(f"{number}. By {KIND_SAID[way.kind]}: {way_said(told, way)}", wrap=True)
    rows_told(page, told)
    page.say("")
    page.table(_table(found))
    for note in [*against_one_another(found), *_notes(told)]:
        page.say(note, wrap=True)
    if _not_written(told):
        todo = "ask for less, or name one with --pick" if _there(found) else "ask again, with more time or for less"
        page.say(f"No way meets all that is wanted{_not_written(told)}: {todo}.", wrap=True)
    for what, path in told.files:
        page.say(f"{what.capitalize()} is in {path}.")
    page.say(CAUTION, wrap=True)


def _there(found: Changing) -> bool:
    """Return whether any way was tried to its end."""
    return any(way.tried is not None for way in found.ways)


def _not_written(told: ChangeTold) -> str:
    """Return that the copy asked for was not written, if it wasn't."""
    written = told.asked is None or told.asked in (path for _, path in told.files)
    return "" if written else f", so {told.asked} was not written"


def wanted_said(scene: Scene, aims: Aims) -> str:
    """Return what is wanted: ``Wanted: at most 3 % narrower, no float over your limit of 5 stitches.``"""
    said = [] if aims.may_lose is None else [f"at most {percent(aims.may_lose, 1)} narrower"]
    if aims.pucker is not None:
        said.append(f"flat ({PUCKER_WORDS[0].range_said} of pucker)")
    if aims.within:
        said.append(f"no float over your limit of {limit_words(scene)}")
    if aims.over is not None:
        said.append(f"that it goes over {over_said(aims)}")
    return f"Wanted: {listed(said)}."


def result_said(tried: TriedScene) -> str:
    """Return what a scene came to: ``5.3 % narrower, 0.8 mm of pucker (flat), 8 floats over the limit``."""
    over = "no float over the limit" if tried.over == 0 else f"{count(tried.over, 'float')} over the limit"
    word = pucker_word(tried.pucker).word
    return f"{percent(tried.lost, 1)} narrower, {fine(tried.pucker)} of pucker ({word}), {over}"


def way_said(told: ChangeTold, way: ChangeWay) -> str:
    """Return a way in words, and what it still misses."""
    aims = told.found.aims
    nearest = "" if way.nearest is None else misses_said(aims, way.nearest)
    if way.proposal is None or way.tried is None:
        none = f"none of up to {told.found.most} changes does"
        if way.kind in ("rows", "needles"):
            none = "none of those tried does" if nearest else "none was tried: they mend nothing that is missed here"
        return f"{none}; of all that was tried what came nearest missed {nearest}." if nearest else f"{none}."
    missed = misses_said(aims, way.tried)
    short = ""
    if missed:
        further = f"; of all that was tried what came nearest missed {nearest}" if nearest else ""
        short = f" It misses {missed}{further}."
    return f"{changes_said(told.scene, way.proposal)}. Tried: {result_said(way.tried)}.{short}"


def changes_said(scene: Scene, one: Proposal) -> str:
    """Return the changes of a proposal: ``round 8, stitch 12 in pine; floats 2 % looser (2 % too short)``."""
    many = len(one.edit) + len(one.holds) > MOST_NAMED
    said = _counted(one) if many else [*_stitches_said(scene, one), *_catches_said(scene, one)]
    if one.looser:
        slacks = sorted({round(slack + 0.01 * one.looser, 6) for slack in scene.slack_of_yarns})
        now = listed([slack_words(slack) for slack in slacks])
        said.append(f"carry all floats {one.looser} % looser ({now})")
    said += [f"{rows_said(scene, band.first, band.last)}: {band_said(scene, band)}" for band in one.bands]
    text = "; ".join(said)
    return f"{text[0].upper()}{text[1:]}"


def _counted(one: Proposal) -> list[str]:
    stitches = [f"{count(len(one.edit), 'stitch')} in another yarn"] if one.edit else []
    catches = [f"{len(one.holds)} catch{'es' if len(one.holds) > 1 else ''}"] if one.holds else []
    return [f"{' and '.join([*stitches, *catches])} (--json lists them)"]


def _stitches_said(scene: Scene, one: Proposal) -> list[str]:
    places: dict[tuple[int, int], list[int]] = {}
    for (row, column), yarn in one.edit:
        places.setdefault((row, yarn), []).append(scene.stitches_per_repeat - column)
    return [
        f"{_at(scene, row, stitches)} in {scene.yarns[yarn].name}" for (row, yarn), stitches in sorted(places.items())
    ]


def _catches_said(scene: Scene, one: Proposal) -> list[str]:
    places: dict[tuple[int, int], list[int]] = {}
    for hold in one.holds:
        places.setdefault((hold.row, hold.yarn), []).append(scene.stitches_per_repeat - hold.column)
    return [
        f"catch {scene.yarns[yarn].name} behind {_at(scene, row, stitches)}"
        for (row, yarn), stitches in sorted(places.items())
    ]


def _at(scene: Scene, row: int, stitches: Sequence[int]) -> str:
    """Return a row and stitches of it: ``round 3, stitches 4 and 9``."""
    numbers = listed([str(stitch) for stitch in sorted(stitches)])
    return f"{row_word(scene)} {row + 1}, stitch{'es' if len(stitches) > 1 else ''} {numbers}"


def rows_told(page: Page, told: ChangeTold) -> None:
    """Print the rows of the chart that change, as printed, way by way."""
    scene = told.scene
    before = tuple(tuple(row) for row in scene.chart_rows())
    for number, way in enumerate(told.found.ways, start=1):
        if way.proposal is None or not way.proposal.edit:
            continue
        after = changed(before, way.proposal.edit)
        page.say("")
        page.say(f"The {row_word(scene)}s of the chart that change in way {number}, as printed:")
        for row in reversed(range(len(before))):
            if before[row] != after[row]:
                old, new = (printed_rows([chart[row]], scene.symbols)[0] for chart in (before, after))
                page.say(f"  {row + 1:>4}  {old}")
                page.say(f"   now  {new}")


def _table(found: Changing) -> Table:
    columns = ("way", "changes", "narrower %", "pucker mm", "hardest pull cN", "over the limit", "does")
    lines = [("as it is", "", *_numbers(found.now), "")]
    for number, way in enumerate(found.ways, start=1):
        if way.proposal is not None and way.tried is not None:
            does = "no" if way.tried.misses(found.aims) else "yes"
            lines.append((str(number), str(way.proposal.counts), *_numbers(way.tried), does))
    return Table("Side by side", dict.fromkeys(columns, "right"), lines)


def _numbers(tried: TriedScene) -> tuple[str, str, str, str]:
    pull = tried.forecast.measures.pull.greatest
    return f"{100.0 * tried.lost:.1f}", f"{1000.0 * tried.pucker:.1f}", f"{100.0 * pull:.2f}", str(tried.over)


def _notes(told: ChangeTold) -> list[str]:
    scene, found = told.scene, told.found
    notes = [
        "The ways were looked for in the chart without end, with every float carried alike. What is told of each is "
        "its forecast, one usual piece, as 'fabricsim preview --draft' makes it. A stitch, a catch and a per cent of "
        "slack each count as one change, a stitch left alone among others as one more, and so does a row's last stitch "
        "of a yarn, a row carried looser and a size of needles; these are the fewest found.",
    ]
    if found.kept:
        notes.append("The chart stays as symmetric as it is (--no-symmetry looks for fewer changes).")
    if found.stopped:
        sofar = "these are the ways found so far" if _there(found) else "no way was found yet"
        notes.append(f"Stopped by you: {sofar}.")
    if scene.floats.plan_catches:
        notes.append("Your scene plans catches; none was reckoned with, since these changes would take their place.")
    tried = any((way.kind == "needles" and way.nearest) or way.tried for way in found.ways if way.kind == "needles")
    if "may_lose" in found.needed and found.aims.may_lose is not None and not tried:
        needle = larger_needle(scene, found.now.lost - found.aims.may_lose)
        if needle is not None:
            notes.append(f"Or leave all of it as it is. {needle}")
    return notes
