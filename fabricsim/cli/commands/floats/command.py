"""``fabricsim floats``: what is carried behind what, and how far."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any

import typer

from fabricsim import units
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import SceneArgument, open_scene
from fabricsim.cli.shell.page import Page, Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import chart_row, count, limit_words, row_word
from fabricsim.cli.words.float_keys import FLOAT_KEYS, float_keys, limits
from fabricsim.design.catches.plan import caught_rows
from fabricsim.design.floats.carry_ups import CarryUp
from fabricsim.design.floats.found import Float, FloatFault, carry_ups, faults, floats_of_repeat
from fabricsim.design.floats.found import floats as floats_of_piece
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.design.scene.rules import BAGGY

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""
COLUMNS = (*FLOAT_KEYS, "chart_row", "over_stitches", "over_cm")
"""Of the table for spreadsheets: keys of every line."""
MOST_LINES = 40
"""Lines of the short table. Chosen: what a screen and a half shows."""


def floats(
    scene: SceneArgument = None,
    json: JsonOption = False,
    every: Annotated[bool, typer.Option("--all", help="List every float.")] = False,
    repeat: Annotated[
        bool, typer.Option("--repeat", help="Count the chart endlessly repeated, not the whole piece.")
    ] = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """List the floats and carry-ups of SCENE, and which of them pass your limits."""
    read = open_scene(scene)
    give(lambda: answer_of(read, every=every, repeat=repeat), json=json, csv=csv, out=out)


def answer_of(scene: Scene, *, every: bool = False, repeat: bool = False) -> Answer:
    """Return the floats of a piece, or of one ``repeat`` of its chart; told of the longest, or of ``every`` one."""
    found = floats_of_repeat(scene) if repeat else floats_of_piece(scene)
    carried = () if repeat else carry_ups(scene)
    over = faults(found, scene.limits)
    said = _for_programs(scene, found, carried, over, repeat=repeat)

    def tell(page: Page) -> None:
        page.say(scene.title, bold=True, wrap=True)
        if found:
            _float_table(page, scene, found, over, every=every, repeat=repeat)
        if carried:
            page.table(_carry_table(scene, carried))
        for sentence in _summary(scene, found, over, repeat=repeat):
            page.say(sentence)

    return Answer(tell, said, said["floats"], COLUMNS)


# ---- for people ----------------------------------------------------------------------------------

_LEFT = ("yarn", "from stitch to stitch", "over your limit")
"""Headings of columns of words; the others are of numbers."""


def _float_table(
    page: Page,
    scene: Scene,
    found: Sequence[Float],
    over: Sequence[FloatFault],
    *,
    every: bool,
    repeat: bool,
) -> None:
    """Print every float, or the longest of each row and yarn (the worst ones, if there are very many)."""
    fault_of = {id(one.float): one for one in over}
    groups: dict[tuple[int, int], list[Float]] = {}
    for one in found:
        groups.setdefault((one.row, one.yarn), []).append(one)
    longest = [max(group, key=lambda one: one.gap) for group in groups.values()]
    worst = sorted(range(len(longest)), key=lambda line: -longest[line].gap)[:MOST_LINES]
    shown = found if every else [longest[line] for line in sorted(worst)]
    unit = row_word(scene)
    cells = [
        {
            unit: str(one.row + 1),
            "chart row": str(chart_row(scene, one.row, repeat=repeat) or "plain"),
            "yarn": scene.yarns[one.yarn].name,
            "floats": _share(groups[one.row, one.yarn], fault_of),
            "gap": str(one.gap),
            "cm": f"{one.gap_width / units.CM:.1f}",
            "span cm": f"{one.span / units.CM:.1f}",
            "slack %": f"{100 * one.slack:+.0f}",
            "from stitch to stitch": _way(one, unit),
            "over your limit": _mark(fault_of.get(id(one))),
        }
        for one in shown
    ]
    headings = [heading for heading in cells[0] if heading != "floats" or not every]
    page.table(
        Table(
            "Every float" if every else f"The longest float of each {unit} and yarn",
            {heading: "left" if heading in _LEFT else "right" for heading in headings},
            [[line[heading] for heading in headings] for line in cells],
            bold={number for number, line in enumerate(cells) if line["over your limit"]},
        )
    )
    if not every and len(shown) < len(longest):
        page.say(f"{len(shown)} of {len(longest)} lines are shown, the longest; --all lists every float.", wrap=True)


def _share(group: Sequence[Float], fault_of: dict[int, FloatFault]) -> str:
    """Return how many floats there are in a ``group``, and how many of them are over the limit."""
    over = sum(id(one) in fault_of for one in group)
    return f"{len(group)} ({over} over)" if over else str(len(group))


def _way(one: Float, unit: str) -> str:
    """Return from where to where it runs, as knitters count; and where it lies, unless inside the row."""
    start = f"{'catch at ' if one.caught_start else ''}{one.stitches - one.start}"
    end = f"{'catch at ' if one.caught_end else ''}{one.stitches - one.end}"
    if one.end_row != one.row:
        return f"{start} to {end} of {unit} {one.end_row + 1}"
    return f"{start} to {end}" + ("" if one.kind == "inside" else f", {one.kind}")


def _mark(fault: FloatFault | None) -> str:
    """Return which of the limits is passed, as words."""
    if fault is None:
        return ""
    return " and ".join(
        word for word, past in (("stitches", fault.too_many_stitches), ("cm", fault.too_many_cm)) if past
    )


def _carry_table(scene: Scene, carried: Sequence[CarryUp]) -> Table:
    unit = row_word(scene)
    return Table(
        f"Yarns that rest for whole {unit}s",
        {
            "yarn": "left",
            f"from {unit}": "right",
            "to": "right",
            "idle": "right",
            "cm up": "right",
            "usual": "left",
        },
        [
            [
                scene.yarns[one.yarn].name,
                str(one.from_row + 1),
                str(one.to_row + 1),
                str(one.idle),
                f"{one.height / units.CM:.1f}",
                _usual(one),
            ]
            for one in carried
        ],
    )


def _usual(one: CarryUp) -> str:
    """Return what is usually done with a resting yarn."""
    if not one.other_edge:
        return one.advice
    across = "carry it across the row between, or " if one.idle == 1 else ""
    return f"waits at the other edge: {across}{one.advice}"


def _summary(scene: Scene, found: Sequence[Float], over: Sequence[FloatFault], *, repeat: bool) -> list[str]:
    """Return the sentences below the tables."""
    whose = "one repeat of the chart" if repeat else "the whole piece"
    if not found:
        return [f"No floats in {whose}."]
    unit, rules = row_word(scene), scene.floats
    longest = max(found, key=lambda one: one.gap)
    said = [
        f"{count(len(found), 'float')} in {whose}; the longest passes behind "
        f"{count(longest.gap, 'stitch')}, {longest.gap_width / units.CM:.1f} cm (from stitch "
        f"{longest.stitches - longest.start} of {unit} {longest.row + 1}). "
        "Stitches are counted from the right of the face.",
        f"{len(over)} of {len(found)} pass the limit you set ({limit_words(scene)})"
        + ("; catch them, or change the chart." if over else "."),
    ]
    squares = sum(map(sum, caught_rows(scene)))
    if squares:
        chart = scene.chart
        all_of_them = "" if repeat else f", {squares * chart.across * chart.up} in the piece"
        how = "Caught as planned" if rules.plan_catches else "Caught"
        said.append(f"{how} at {count(squares, 'square')} of the chart{all_of_them}.")
    if max(one.slack for one in found) > BAGGY:
        said.append(f"Slack above {BAGGY:.0%} usually hangs in loops that snag.")
    return [*said, CAUTION]


# ---- for programs --------------------------------------------------------------------------------


def _for_programs(
    scene: Scene,
    found: Sequence[Float],
    carried: Sequence[CarryUp],
    over: Sequence[FloatFault],
    *,
    repeat: bool,
) -> dict[str, Any]:
    """Return all of it for JSON: rows and stitches from 1 as knitters count, units in the keys."""
    fault_of = {id(one.float): one for one in over}
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "floats",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "worked": scene.worked,
        "counted": "repeat" if repeat else "piece",
        "limits": limits(scene),
        "summary": {
            "floats": len(found),
            "over_limit": len(over),
            "longest_gap_stitches": max((one.gap for one in found), default=0),
            "longest_gap_cm": max((one.gap_width for one in found), default=0.0) / units.CM,
        },
        "floats": [
            {
                **float_keys(scene, one),
                "chart_row": chart_row(scene, one.row, repeat=repeat),
                "over_stitches": (fault := fault_of.get(id(one))) is not None and fault.too_many_stitches,
                "over_cm": fault is not None and fault.too_many_cm,
            }
            for one in found
        ],
        "carry_ups": [
            {
                "yarn": scene.yarns[one.yarn].symbol,
                "from_row": one.from_row + 1,
                "to_row": one.to_row + 1,
                "rows_idle": one.idle,
                "height_cm": one.height / units.CM,
                "waits_at_other_edge": one.other_edge,
                "usual": one.advice,
            }
            for one in carried
        ],
        "catches": _catches(scene),
    }


def _catches(scene: Scene) -> list[dict[str, int]]:
    """Return the caught squares of the chart, counted as everywhere from the bottom right."""
    return [
        {"row": row + 1, "stitch": len(caught_j) - column}
        for row, caught_j in enumerate(caught_rows(scene))
        for column, caught in enumerate(caught_j)
        if caught
    ]
