"""What ``difficulty`` says to a knitter."""

from __future__ import annotations

from math import inf

from fabricsim.cli.commands.difficulty.data import stitch_of
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.counts import count, row_word
from fabricsim.design.catches.plan import catches_of
from fabricsim.design.counted import difficulty as design
from fabricsim.design.counted.difficulty import Difficulty, Level, Stack, Steps
from fabricsim.design.scene.model import Scene

VERDICTS: dict[Level, str] = {
    "easy": "Easy as stranded knitting goes: a good first piece.",
    "some practice": "Takes some practice: not for a first stranded piece.",
    "hard": "Hard to knit evenly: swatch it, and take your time.",
}
WHY: dict[str, str] = {
    "stack": "The same two colours meet in one place row after row{where}; the stitches there loosen or pull. Snug "
    "them up, or shift a change by a stitch.",
    "three": "Three colours in a row make a second layer of floats, which comes out tighter still.",
    "mean_gap": "The floats are long on the whole; spread the stitches well before each change.",
    "longest_gap": "The longest floats left open pass your limit: 'fabricsim catches' says what to do about them.",
    "bulging": "Rows without a float stay wide between rows that draw in, and bulge. A few stitches of the other "
    "colour would help.",
    "changes": "The colour changes often, which is slow, and one is apt to knit tightly.",
}
"""What to say of each thing that is not easy."""


def tell(page: Page, scene: Scene, found: Difficulty) -> None:
    """Print how hard it is, and why."""
    page.say(scene.title, bold=True, wrap=True)
    if not found.patterned:
        page.say("One colour in every row: nothing here is stranded.")
        return
    page.say(VERDICTS[found.verdict], wrap=True)
    levels, lines = found.levels, _lines(scene, found)
    page.table(
        Table(
            "What makes it so",
            {"": "left", "here": "right", "easy up to": "right", "hard above": "right", "so it is": "left"},
            [[*line, levels[name]] for name, line in lines],
            bold={at for at, (name, _) in enumerate(lines) if levels[name] == "hard"},
        )
    )
    for name, why in WHY.items():
        if levels[name] != "easy":
            where = f" ({_where(scene, found.stack)})" if name == "stack" and found.stack else ""
            page.say(f"- {why.format(where=where)}", wrap=True)
    if found.at_join > found.allowed_gap:
        page.say(
            f"- Only where two rounds join, a float passes behind up to {count(found.at_join, 'stitch')}, over your "
            "limit: catch it there, once a round ('fabricsim catches' says where). It doesn't make the chart harder.",
            wrap=True,
        )
    if catches_of(scene):
        page.say("Floats are counted as they hang open, from catch to catch.", wrap=True)
    page.say("These limits are our own estimate; your hands may find otherwise.", wrap=True)


def _lines(scene: Scene, found: Difficulty) -> list[tuple[str, list[str]]]:
    """Return for each measure its key, then what it is called, what it is here, and its two limits."""
    unit, stack = row_word(scene), found.stack

    def line(called: str, here: str, steps: Steps, share: bool = False) -> list[str]:
        said = ("never" if step == inf else f"{100 * step:.0f} %" if share else f"{step:g}" for step in steps)
        return [called, here, *said]

    return [
        ("stack", line(f"{unit}s with one line of changes", f"{stack.rows if stack else 0}", design.STACK)),
        ("three", line(f"{unit}s with three colours or more", f"{found.three}", design.THREE_COLOURS)),
        ("mean_gap", line("stitches behind a float, on average", f"{found.mean_gap:.1f}", design.MEAN_GAP)),
        ("longest_gap", line("stitches behind the longest float", f"{found.longest_gap}", found.longest_gaps)),
        (
            "bulging",
            line(f"{unit}s of a band without a float", f"{100 * found.bulging:.0f} %", design.BULGING, share=True),
        ),
        ("changes", line("changes of colour to 100 stitches", f"{found.changes:.0f}", design.CHANGES)),
    ]


def _where(scene: Scene, stack: Stack) -> str:
    """Return where a stack is, as knitters count."""
    rows = f" {stack.first + 1}" if stack.rows == 1 else f"s {stack.first + 1} to {stack.first + stack.rows}"
    return f"{row_word(scene)}{rows}, between stitch {stitch_of(scene, stack)} of the chart and the next"
