"""What ``mend`` says to a knitter."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from fabricsim.cli.shell.page import Page
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, limit_words, listed, row_word
from fabricsim.design.counted.chart_in_text import printed_rows
from fabricsim.design.counted.edits import Edit
from fabricsim.design.counted.mending import MOST_TRIED, Mended, Mending
from fabricsim.design.counted.symmetry import SymmetryKind
from fabricsim.design.rows.squares import Passed
from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.model import Scene

TIMES = {1: "once", 2: "twice"}
SYMMETRIC: dict[SymmetryKind, str] = {
    "left to right": "mirrored left to right",
    "top to bottom": "mirrored top to bottom",
    "half-turn": "turned halfway round",
}
"""How a chart lies on itself, in words."""
MOST_NAMED = 40
"""Changes that are told one by one before it is said how many more there are (chosen: a screen and a half)."""


STRAIGHT = (
    "The shaping of the scene is left out here: where it breaks the chart, as in the line under an arm, floats may be "
    "longer than any in its repeats. 'fabricsim floats' tells where: catch those as you come to them."
)


class MendTold(NamedTuple):
    """A chart as ``found`` mended, its floats over the limits in the whole piece ``before`` and ``after``, and the file
    of its copy, if one was ``written``."""

    scene: Scene
    found: Mending
    before: int
    after: int
    written: Path | None = None

    def row(self, chart_ij: Rows, row: int) -> str:
        """Return a row of the chart as it is printed."""
        return printed_rows([chart_ij[row]], self.scene.symbols)[0]


def tell(page: Page, told: MendTold) -> None:
    """Print what to change, the rows as they become, and what was counted afterwards."""
    scene, found = told.scene, told.found
    page.say(scene.title, bold=True, wrap=True)
    if scene.limits.none_open or found.most == 0:
        page.say(
            "No float may stay open here, and no change of a few stitches helps: line the piece, or choose a chart "
            "without floats.",
            wrap=True,
        )
    elif not found.mended and not found.left:
        page.say(f"No float passes your limit of {limit_words(scene)}: nothing to change.", wrap=True)
    else:
        _tell_changes(page, told)
    if scene.shaping is not None:
        page.say(STRAIGHT, wrap=True)
    page.say(CAUTION, wrap=True)


def _tell_changes(page: Page, told: MendTold) -> None:
    scene, found = told.scene, told.found
    unit = row_word(scene)
    if found.mended:
        page.say(
            f"{count(len(found.mended), 'change')} of the chart, the smallest that will do, each tried: "
            f"{unit}s of the chart from the bottom, stitches from the right of its face.",
            wrap=True,
        )
        if found.symmetric:
            ways = listed([SYMMETRIC[one] for one in found.symmetric])
            page.say(f"The chart is the same {ways}; what keeps it so comes first.", wrap=True)
    for one in found.mended[:MOST_NAMED]:
        page.say(f"- {change_said(scene, one)}", wrap=True)
    if len(found.mended) > MOST_NAMED:
        page.say(f"- and {len(found.mended) - MOST_NAMED:,} more (--json lists them all).", wrap=True)
    if found.changed_rows:
        page.say("")
        page.say(f"The {unit}s of the chart that change, as printed:")
        for row in reversed(found.changed_rows):
            page.say(f"  {row + 1:>4}  {told.row(found.before, row)}")
            page.say(f"   now  {told.row(found.after, row)}")
        page.say("")
    if found.stopped:
        page.say(
            f"After {MOST_TRIED} floats no more were looked at: a chart that takes so many is better drawn anew, "
            "or caught ('fabricsim catches').",
            wrap=True,
        )
    elif found.left:
        places = listed([float_said(scene, one) for one in found.left[:MOST_NAMED]])
        page.say(f"No small change breaks {places}: catch them ('fabricsim catches').", wrap=True)
    where = "the whole piece" if scene.shaping is None else "the piece without its shaping"
    page.say(
        f"Counted in {where}: {count(told.before, 'float')} over your limit of {limit_words(scene)} before, "
        f"{told.after:,} after, and no new one. Look whether the motif still says what you mean: 'fabricsim chart'.",
        wrap=True,
    )
    if scene.floats.plan_catches:
        page.say(
            "Your scene plans catches; none was counted here, since these changes would take their place.", wrap=True
        )
    if told.written is not None:
        page.say(f"A copy of the scene with the chart so changed is in {told.written}.")


def change_said(scene: Scene, one: Mended) -> str:
    """Return one change: ``Round 3, stitches 4 and 9 in pine: breaks the float of pine behind 8 stitches ...``"""
    said = f"{_edit_said(scene, one.edit)}: breaks {float_said(scene, one.float)}"
    if one.broken > 1:
        said += f" and {count(one.broken - 1, 'other')} like it"
    said += "."
    if one.alone is not None:
        said += f" {_edit_said(scene, one.alone)} alone would do for the first, but not keep it so."
    return f"{said} Or catch it {TIMES.get(one.catches, f'{one.catches} times')}, the chart as it is."


def _edit_said(scene: Scene, edit: Edit) -> str:
    """Return where which yarn goes: ``round 3, stitches 4 and 9 in pine``."""
    places: dict[tuple[int, int], list[int]] = {}
    for (row, column), yarn in edit:
        places.setdefault((row, yarn), []).append(scene.stitches_per_repeat - column)
    parts = [
        f"{row_word(scene)} {row + 1}, stitch{'es' if len(at) > 1 else ''} {listed([str(one) for one in sorted(at)])} "
        f"in {scene.yarns[yarn].name}"
        for (row, yarn), at in places.items()
    ]
    said = "; ".join(parts)
    return f"{said[0].upper()}{said[1:]}"


def float_said(scene: Scene, one: Passed) -> str:
    """Return a float by the first stitch that it passes: ``the float of pine behind 8 stitches from stitch 3 ...``"""
    row, column = one.squares[0]
    return (
        f"the float of {scene.yarns[one.yarn].name} behind {count(len(one.squares), 'stitch')} from stitch "
        f"{scene.stitches_per_repeat - column} of {row_word(scene)} {row + 1}"
    )
