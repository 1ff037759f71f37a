"""What a plan of catches says to a knitter."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from pathlib import Path
from typing import NamedTuple

from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, limit_words, listed, numbers_in_piece, ordinal, row_word
from fabricsim.design.catches.costs import Pair
from fabricsim.design.catches.plan import VERY_LONG_CM, CatchPlan
from fabricsim.design.floats.caught import CaughtStitch, turns
from fabricsim.design.rows.squares import Passed
from fabricsim.design.scene.model import Scene
from fabricsim.lengths import long, long_plain
from fabricsim.units import CM

MOST_NAMED = 12
"""Places that a sentence names before it says how many more there are (chosen); JSON has them all."""


class Change(NamedTuple):
    """Catches of the chart, how often they are made in the piece, and what they leave of its floats."""

    catches: int
    in_piece: int
    over: int
    floats: int
    longest_gap: int
    longest_cm: float


class PlanTold(NamedTuple):
    """A plan and all that is said of it; ``files`` are those written, each with what it is."""

    scene: Scene
    plan: CatchPlan
    stitches: list[CaughtStitch]
    before: Change
    after: Change
    very_long: list[Passed]
    files: Sequence[tuple[str, Path]] = ()


def tell(page: Page, told: PlanTold) -> None:
    """Print the plan, round by round in words, and what it changes."""
    scene = told.scene
    page.say(scene.title, bold=True, wrap=True)
    for sentence in _headline(told):
        page.say(sentence, wrap=True)
    if told.plan.planned:
        page.table(_changes(told))
    if told.stitches:
        page.say(_how_to_read(told), wrap=True)
        for _, group in groupby(told.stitches, key=lambda one: one.row):
            page.say(row_sentence(scene, list(group)), wrap=True)
    for sentence in [*_stacked(told), *_very_long(told), *_proof(told.plan), CAUTION]:
        page.say(sentence, wrap=True)
    for what, path in told.files:
        page.say(f"{what[0].upper()}{what[1:]} is in {path}.")


def row_sentence(scene: Scene, stitches: Sequence[CaughtStitch]) -> str:
    """Return one row's catches: ``Round 7: catch sail behind stitch 12 (4th of 9 pine) and 24 (...).``"""
    parts = []
    for (repeat, caught), group in groupby(stitches, key=lambda one: (one.repeat, one.caught)):
        names = listed([scene.yarns[yarn].name for yarn in caught]) or "nothing (no float passes there)"
        places = [f"{one.stitch} ({_in_run(scene, one)})" for one in group]
        only = "" if repeat == "every" else f", in the {repeat} repeat only"
        parts.append(f"{names} behind stitch {listed(places)}{only}")
    unit = row_word(scene).capitalize() + ("s" if scene.chart.up > 1 else "")
    return f"{unit} {numbers_in_piece(scene, stitches[0].row - 1)}: catch {'; catch '.join(parts)}."


def _in_run(scene: Scene, one: CaughtStitch) -> str:
    """Return how far into its colour a stitch is: ``4th of 9 pine``."""
    said = f"{ordinal(one.nth)} of {one.run} {scene.yarns[one.front].name}"
    return said + (" across the repeat edge" if one.over_edge else "") + (", as you listed" if one.listed else "")


def _headline(told: PlanTold) -> list[str]:
    scene, plan = told.scene, told.plan
    if plan.left_open:
        return _no_cure(told)
    limit = f"your limit of {limit_words(scene)}"
    at_most = f"{count(plan.most, 'stitch')} at this gauge"
    yours = len(plan.listed)
    if not plan.planned:
        kept = f" Your {count(yours, 'catch')} stay{'s' if yours == 1 else ''} as listed." if yours else ""
        return [f"No float needs {'another' if yours else 'a'} catch: none passes {limit} ({at_most}).{kept}"]
    joins = sum(hold.repeat != "every" for hold in plan.planned)
    beside = (
        "where rounds join" if joins == len(plan.planned) else f"in the chart, {joins:,} of them where rounds join,"
    )
    keep = "keeps" if len(plan.planned) == 1 else "keep"
    caught = f"{count(len(plan.planned), 'catch')} {beside if joins else 'in the chart'} {keep}"
    said = f"{caught} every float{' of the chart' if told.after.over else ''} within {limit}"
    said += f" ({at_most})"
    if scene.chart.across * scene.chart.up > 1:
        said += f": {told.after.in_piece - told.before.in_piece:,} in the piece"
    said += f". Your {count(yours, 'catch')} stay{'s' if yours == 1 else ''} as listed" if yours else ""
    return [f"{said}.", *_where_shaped(told)]


def _where_shaped(told: PlanTold) -> list[str]:
    """Return what a plan for the chart leaves over the limit: stitches that come and go shift one repeat against the
    next, and so make floats that the chart has not."""
    over = told.after.over
    if not over:
        return []
    stay, them = ("stays", "it") if over == 1 else ("stay", "them")
    return [
        f"But {count(over, 'float')} of the piece {stay} over it: where stitches come or go, repeats meet in other "
        f"places than the plan knows of. 'fabricsim floats' tells where; catch {them} as you come to {them}."
    ]


def _no_cure(told: PlanTold) -> list[str]:
    """Return what is said where no float may stay open at all."""
    scene, plan = told.scene, told.plan
    limits = scene.limits
    width = scene.gauge.stitch_width
    why = (
        "No float may stay open here"
        if limits.none_open
        else f"Your limit of {long_plain((limits.longest_cm or 0.0) * CM)} is less than one stitch ({long(width, 2)})"
    )
    shown = [
        f"{scene.yarns[one.yarn].name} in {row_word(scene)} {_number(scene, one.squares[0][0])} from stitch "
        f"{_first_stitch(scene, one)} ({len(one.squares)})"
        for one in plan.left_open[:MOST_NAMED]
    ]
    more = len(plan.left_open) - len(shown)
    rest = f" and {more:,} more (--json lists them all)" if more else ""
    return [
        f"{why}. Catching every stitch is not the cure: it makes the fabric stiff, shows on the face, and every float "
        "between two stitches is still there. Line the piece, so that nothing can get behind the floats, or choose a "
        "chart without floats. No catches are planned.",
        f"Open all the same, {count(len(plan.left_open), 'float')} in the chart (stitches passed behind in brackets): "
        f"{', '.join(shown)}{rest}.",
    ]


def _changes(told: PlanTold) -> Table:
    before, after = told.before, told.after

    def longest(one: Change) -> str:
        return f"{count(one.longest_gap, 'stitch')}, {long(one.longest_cm * CM)}" if one.longest_gap else "none"

    return Table(
        "What the plan changes",
        {"": "left", "before": "right", "with the plan": "right"},
        [
            ["catches in the chart", str(before.catches), str(after.catches)],
            ["floats over your limit, in the piece", f"{before.over:,}", f"{after.over:,}"],
            ["longest open float", longest(before), longest(after)],
        ],
    )


def _how_to_read(told: PlanTold) -> str:
    scene = told.scene
    unit = row_word(scene)
    said = f"{unit.capitalize()}s are those of the piece; stitches count from the right of the chart's face"
    if scene.chart.plain_below:
        said += f" (in the scene's list of catches row 1 is {unit} {scene.chart.plain_below + 1})"
    said += ". In brackets: which stitch of its colour it is, as you come to it."
    if any(one.repeat != "every" for one in told.stitches):
        said += " The first repeat is the one that begins a round, the last the one that ends it."
    if scene.worked == "flat":
        said += " Wrong-side rows run left to right (even rows)."
    if turns(scene):
        said += " In every other repeat up the sides change over: count the brackets from the other end there."
    return said


def _stacked(told: PlanTold) -> list[str]:
    scene, plan = told.scene, told.plan
    chosen = [pair for pair in plan.stacked if not set(pair) <= plan.listed]
    helped = "was not avoided in the time" if plan.clashes_fewer else "can't be avoided with so few catches"
    said = []
    if chosen:
        lies = "lies" if len(chosen) == 1 else "lie"
        said.append(
            f"{count(len(chosen), 'catch')} {lies} straight above another, which may show as a line and {helped}: "
            f"{_pairs(scene, chosen)}. One more catch in such a {row_word(scene)}, or a "
            "stitch of another colour in its gap, would undo it."
        )
    neighbours = [pair for pair in plan.side_by_side if not set(pair) <= plan.listed]
    if neighbours:
        lies = "lies" if len(neighbours) == 1 else "lie"
        said.append(
            f"{count(len(neighbours), 'catch')} {lies} right beside another, which {helped}: "
            f"{_neighbours(scene, neighbours)}."
        )
    yours = [pair for pair in plan.stacked if set(pair) <= plan.listed]
    if yours:
        said.append(f"Stacked as you listed them, which may show as a line: {_pairs(scene, yours)}.")
    yours = [pair for pair in plan.side_by_side if set(pair) <= plan.listed]
    if yours:
        said.append(f"Side by side as you listed them, where one would do: {_neighbours(scene, yours)}.")
    return said


def _pairs(scene: Scene, stacked: Sequence[Pair]) -> str:
    """Return where catches lie one on the other."""
    unit = row_word(scene)
    return _some(
        [
            f"stitch {scene.stitches_per_repeat - low.column} of {unit}s {_number(scene, low.row)} and "
            f"{_number(scene, high.row)}"
            for low, high in stacked
        ]
    )


def _neighbours(scene: Scene, pairs: Sequence[Pair]) -> str:
    """Return where catches lie side by side."""
    stitches = scene.stitches_per_repeat
    return _some(
        [
            f"stitches {stitches - right.column} and {stitches - left.column} of {row_word(scene)} "
            f"{_number(scene, right.row)}"
            for right, left in pairs
        ]
    )


def _some(places: Sequence[str]) -> str:
    """Return places, as many as a sentence names, and how many more there are; each once."""
    places = list(dict.fromkeys(places))
    more = len(places) - MOST_NAMED
    return ", ".join(places[:MOST_NAMED]) + (f" and {more:,} more (--json lists them all)" if more > 0 else "")


def _very_long(told: PlanTold) -> list[str]:
    scene, found = told.scene, told.very_long
    if not found or told.plan.left_open:  # there it is to be lined anyway
        return []
    longest = found[0]
    rows = sorted({_number(scene, one.squares[0][0]) for one in found})
    unit = row_word(scene)
    where = f"{unit}{'s' if len(rows) > 1 else ''} {', '.join(map(str, rows[:MOST_NAMED]))}"
    runs = "runs" if len(found) == 1 else "run"
    return [
        f"{count(len(found), 'float')} of the chart {runs} behind more than {long_plain(VERY_LONG_CM * CM)} uncaught, "
        f"in {where}{' and more' if len(rows) > MOST_NAMED else ''}; the longest passes behind "
        f"{count(len(longest.squares), 'stitch')}, in {unit} {_number(scene, longest.squares[0][0])}. Catching is "
        f"seldom the best cure there: lift the float on the next {unit}, or work a backing column every 2 to 4 "
        "stitches."
    ]


def _proof(plan: CatchPlan) -> list[str]:
    if not plan.planned:
        return []
    if plan.places_proven:
        return ["No plan has fewer catches, and by the rules of placing none with as few is better placed (proven)."]
    if not plan.fewest_proven:
        return [f"The time ran out: at most {plan.fewer:,} fewer might do; a longer --seconds may find such a plan."]
    said = "No plan has fewer catches (proven). The time ran out before the best places were proven to be best"
    if plan.clashes_fewer:
        return [
            f"{said}: at most {plan.clashes_fewer:,} fewer might lie stacked or side by side; try a longer --seconds."
        ]
    better = max(1.0, 100.0 * plan.cheaper)
    return [
        f"{said}: by the rules others might be placed up to {better:.0f} % better; a longer --seconds may find them."
    ]


def _number(scene: Scene, row: int) -> int:
    """Return the number in the piece of the chart's row, where the chart is first worked."""
    return scene.chart.plain_below + row + 1


def _first_stitch(scene: Scene, one: Passed) -> int:
    return scene.stitches_per_repeat - one.squares[0][1]
