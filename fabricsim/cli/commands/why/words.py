"""What ``why`` says to a designer."""

from __future__ import annotations

from pathlib import Path

from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, listed, row_word
from fabricsim.cli.words.fabric import straight_said
from fabricsim.cli.words.shares import percent
from fabricsim.design.catches.plan import listed_holds
from fabricsim.design.rows.squares import EVERY_STRAND, Hold
from fabricsim.design.scene.choices import Case
from fabricsim.study.change.costs import Costs, Freed, most_costly, ordered

COUNTS = 5e-4
"""Share of the width below which nothing is lost: half of the last digit printed."""
MOST_OF_IT = 0.5
"""Share of the loss that the rows named in a sentence cost at least (chosen: "the greater part")."""
ALIKE = 1.25
"""Times its even share that the costliest row costs at most where all are said to cost alike (chosen)."""
NAMED_SQUARES, NAMED_FLOATS = 5, 8
"""Squares and floats that are told one by one (chosen: what fits a look)."""
FREES = 5e-5
"""Share of the width that a square must free to be named: half of the last digit printed of them."""
NO_COST = "Its floats cost it no width as it lies."
SEEN: dict[Case, str] = {
    "repeat": "as the chart without end",
    "swatch": "as a swatch on a table",
    "round": "as a tube without weight",
}


def tell(page: Page, found: Costs, map: Path | None = None) -> None:
    """Print what costs the width, row by row, and what would free it."""
    scene, lost = found.scene, found.measures.widths.overall
    page.say(scene.title, bold=True, wrap=True)
    page.say(
        f"Seen {SEEN[found.case]}, every float carried alike: {percent(max(lost, 0.0), 1)} of the width is lost. "
        "(Hands carry them unevenly, which costs more: 'fabricsim preview'.)",
        wrap=True,
    )
    if straight := straight_said(scene):
        page.say(straight, wrap=True)
    if lost < COUNTS or found.told < COUNTS:
        page.say(NO_COST, wrap=True)
        page.say(CAUTION, wrap=True)
        return
    page.say("")
    page.say(rows_said(found), wrap=True)
    page.say(slack_said(found), wrap=True)
    page.say(squares_said(found), wrap=True)
    if caught := catches_said(found):
        page.say(caught, wrap=True)
    page.say("")
    page.table(_rows_table(found))
    page.table(_floats_table(found))
    page.say(
        "Reckoned at its present rest: floats that are taut stay taut, and what touches goes on touching. What one "
        "square frees is an estimate; 'fabricsim change' tries what it proposes.",
        wrap=True,
    )
    if map is not None:
        page.say(f"The chart with what its floats cost is in {map}.")
    page.say(CAUTION, wrap=True)


def rows_said(found: Costs) -> str:
    """Return which rows cost the greater part: ``Rounds 7 and 8 of the chart cost 60 % of the loss.``"""
    word, rows = row_word(found.scene), found.rows
    even = found.told / len(rows)
    if max(rows.values()) <= ALIKE * even:
        return (
            f"All {len(rows)} {word}s of the chart with floats cost about alike."
            if len(rows) > 1
            else (f"All of it is the floats of one {word} of the chart, number {next(iter(rows)) + 1}.")
        )
    named = most_costly(rows, MOST_OF_IT)
    share = sum(rows[row] for row in named) / found.told
    numbers = listed([str(row + 1) for row in named])
    many = len(named) > 1
    return (
        f"{word.capitalize()}{'s' if many else ''} {numbers} of the chart's {len(rows)} with floats "
        f"cost{'' if many else 's'} {percent(share)} of the loss."
    )


def slack_said(found: Costs) -> str:
    """Return what slack would give, in all rows and where it gives most."""
    word = row_word(found.scene)
    best = max(found.row_by_slack, key=lambda row: (found.row_by_slack[row], -row))
    return (
        f"Floats 1 % looser give back {percent(0.01 * found.by_slack, 2)} of the width; those of {word} {best + 1} "
        f"alone {percent(0.01 * found.row_by_slack[best], 2)}, the most of any {word}."
    )


def squares_said(found: Costs) -> str:
    """Return which single squares would free the most."""
    best = [one for one in ordered(found.squares)[:NAMED_SQUARES] if one[1].lost <= -FREES]
    if not best:
        return "No single square in another yarn would free any of it: slack does, or another chart."
    endless = max(0.0, found.endless)
    places = [_square_said(found, row, column, yarn, one) for ((row, column), yarn), one in best]
    return (
        f"In the chart without end, where {percent(endless, 1)} is lost, {count(len(best), 'single square')} would "
        "free the most, each alone: "
        f"{'; '.join(places)}."
    )


def catches_said(found: Costs) -> str:
    """Return what single catches would change, and which listed one costs the most; nothing where none can be made."""
    listed_now = listed_holds(found.scene)
    said = []
    more = {hold: one.lost for hold, one in found.catches.items() if hold not in listed_now}
    if more:
        best, worst = (choose(more, key=lambda one: (more[one], one)) for choose in (min, max))
        ends = []
        if more[best] <= -FREES:
            ends.append(f"give back {percent(-more[best], 2)} of the width ({_behind_said(found, best)})")
        if more[worst] >= FREES:
            ends.append(f"cost {percent(more[worst], 2)} ({_behind_said(found, worst)})")
        if ends:
            said.append(f"One catch more would {' at best, and at worst '.join(ends)}.")
        else:
            said.append(f"One catch more, wherever it is, changes the width by less than {percent(FREES, 2)}.")
    there = {hold: one.lost for hold, one in found.catches.items() if hold in listed_now}
    if there:
        worst = min(there, key=lambda one: (there[one], one))
        if there[worst] <= -FREES:
            said.append(f"Of your catches {_behind_said(found, worst)} costs the most, {percent(-there[worst], 2)}.")
        else:
            said.append("None of your catches costs any of it.")
    return " ".join(said)


def _behind_said(found: Costs, hold: Hold) -> str:
    """Return where a catch is made: ``oat behind round 3, stitch 4``."""
    scene = found.scene
    place = f"{row_word(scene)} {hold.row + 1}, stitch {scene.stitches_per_repeat - hold.column}"
    return f"{'what runs' if hold.yarn == EVERY_STRAND else scene.yarns[hold.yarn].name} behind {place}"


def _square_said(found: Costs, row: int, column: int, yarn: int, one: Freed) -> str:
    scene = found.scene
    return (
        f"{row_word(scene)} {row + 1}, stitch {scene.stitches_per_repeat - column} in {scene.yarns[yarn].name} "
        f"({percent(-one.lost, 2)})"
    )


def _rows_table(found: Costs) -> Table:
    word, told = row_word(found.scene), found.told
    lines = [
        (str(row + 1), f"{100.0 * cost / told:.0f}", f"{100.0 * cost:.2f}", f"{found.row_by_slack[row]:.3f}")
        for row, cost in sorted(found.rows.items(), reverse=True)
    ]
    columns = (word, "of the loss %", "of the width %", "back for 1 % of slack, %")
    return Table("What each costs", dict.fromkeys(columns, "right"), lines)


def _floats_table(found: Costs) -> Table:
    scene, told = found.scene, found.told
    wide = scene.stitches_per_repeat
    best = sorted(found.floats.items(), key=lambda one: (-one[1], one[0]))[:NAMED_FLOATS]
    lines = [
        (
            str(row + 1),
            str(wide - (column + gap) % wide),
            scene.yarns[yarn].name,
            str(gap),
            f"{100.0 * cost / told:.1f}",
        )
        for (row, column, gap, yarn), cost in best
    ]
    columns = (row_word(scene), "from stitch", "yarn", "behind", "of the loss %")
    return Table("Floats that cost the most, all repeats together", dict.fromkeys(columns, "right"), lines)
