"""What ``floats`` says to a knitter."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim.cli.commands.floats.options import FloatsOptions
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import chart_row, count, limit_words, row_word, stitch_number
from fabricsim.cli.words.steeks import longest_in_steek
from fabricsim.design.catches.plan import catches_of
from fabricsim.design.floats.carry_ups import CarryUp
from fabricsim.design.floats.faults import FloatFault
from fabricsim.design.floats.found import Float
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import BAGGY
from fabricsim.lengths import long, long_number, long_unit

MOST_LINES = 40
"""Lines of the short table. Chosen: what a screen and a half shows."""
_LEFT = ("yarn", "from stitch to stitch", "over your limit")
"""Headings of columns of words; the others are of numbers."""


def tell(
    page: Page,
    scene: Scene,
    found: Sequence[Float],
    carried: Sequence[CarryUp],
    over: Sequence[FloatFault],
    options: FloatsOptions,
    leads: Sequence[str] = (),
) -> None:
    """Print the floats, the yarns ``carried`` up, and which floats are ``over`` the limits."""
    page.say(scene.title, bold=True, wrap=True)
    if found:
        _float_table(page, scene, found, over, options)
    if carried:
        page.table(_carry_table(scene, carried))
    for sentence in _summary(scene, found, over, leads, repeat=options.repeat):
        page.say(sentence, wrap=True)


def _float_table(
    page: Page,
    scene: Scene,
    found: Sequence[Float],
    over: Sequence[FloatFault],
    options: FloatsOptions,
) -> None:
    """Print every float, or the longest of each row and yarn (the worst ones, if there are very many)."""
    fault_of = {id(one.float): one for one in over}
    groups: dict[tuple[int, int], list[Float]] = {}
    for one in found:
        groups.setdefault((one.row, one.yarn), []).append(one)
    longest = [max(group, key=lambda one: one.gap) for group in groups.values()]
    worst = sorted(range(len(longest)), key=lambda line: -longest[line].gap)[:MOST_LINES]
    shown = found if options.every else [longest[line] for line in sorted(worst)]
    unit = row_word(scene)
    cells = [
        {
            unit: str(one.row + 1),
            "chart row": str(chart_row(scene, one.row, repeat=options.repeat) or "plain"),
            "yarn": scene.yarns[one.yarn].name,
            "floats": _share(groups[one.row, one.yarn], fault_of),
            "gap": str(one.counted_gap),
            long_unit(): long_number(one.counted_width),
            f"span {long_unit()}": long_number(one.span),
            "slack %": f"{100 * one.slack:+.0f}",
            "from stitch to stitch": _way(scene, one, unit),
            "over your limit": _mark(fault_of.get(id(one))),
        }
        for one in shown
    ]
    headings = [heading for heading in cells[0] if heading != "floats" or not options.every]
    page.table(
        Table(
            "Every float" if options.every else f"The longest float of each {unit} and yarn",
            {heading: "left" if heading in _LEFT else "right" for heading in headings},
            [[line[heading] for heading in headings] for line in cells],
            bold={number for number, line in enumerate(cells) if line["over your limit"]},
        )
    )
    if not options.every and len(shown) < len(longest):
        page.say(f"{len(shown)} of {len(longest)} lines are shown, the longest; --all lists every float.", wrap=True)


def _share(group: Sequence[Float], fault_of: dict[int, FloatFault]) -> str:
    """Return how many floats there are in a ``group``, and how many of them are over the limit."""
    over = sum(id(one) in fault_of for one in group)
    return f"{len(group)} ({over} over)" if over else str(len(group))


def _stitch(scene: Scene, one: Float, column: int) -> str:
    number = stitch_number(scene, one, column)
    inside = number >= 1 and column >= scene.beside[1]
    return str(number) if inside or one.kind != "steek edge" else "the steek"


def _way(scene: Scene, one: Float, unit: str) -> str:
    """Return from where to where it runs, as knitters count; and where it lies, unless inside the row."""
    start = f"{'catch at ' if one.caught_start else ''}{_stitch(scene, one, one.start)}"
    end = f"{'catch at ' if one.caught_end else ''}{_stitch(scene, one, one.end)}"
    if one.end_row != one.row:
        return f"{start} to {end} of {unit} {one.end_row + 1}"
    return f"{start} to {end}" + ("" if one.kind in ("inside", "steek edge") else f", {one.kind}")


def _mark(fault: FloatFault | None) -> str:
    """Return which of the limits is passed, as words."""
    if fault is None:
        return ""
    return " and ".join(
        word for word, past in (("stitches", fault.too_many_stitches), (long_unit(), fault.too_many_cm)) if past
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
            long_unit(): "right",
            "usual": "left",
        },
        [
            [
                scene.yarns[one.yarn].name,
                str(one.from_row + 1),
                str(one.to_row + 1),
                str(one.idle),
                long_number(one.length),
                _usual(one),
            ]
            for one in carried
        ],
        bold={number for number, one in enumerate(carried) if one.over_limit},
    )


def _usual(one: CarryUp) -> str:
    """Return what is usually done with a resting yarn, and whether it would be open for too long."""
    if not one.other_edge:
        return one.advice + (" (over your limit)" if one.over_limit else "")
    across = "carry it across the row between, or " if one.idle == 1 else ""
    return f"waits at the other edge: {across}{one.advice}"


def _from(scene: Scene, one: Float) -> str:
    at = _stitch(scene, one, one.start)
    return at if at == "the steek" else f"stitch {at}"


def _summary(
    scene: Scene, found: Sequence[Float], over: Sequence[FloatFault], leads: Sequence[str], *, repeat: bool
) -> list[str]:
    """Return the sentences below the tables; ``leads``: what is said of floats into the piece and out of it."""
    whose = "one repeat of the chart" if repeat else "the whole piece"
    if not found:
        return [f"No floats in {whose}."]
    unit, rules = row_word(scene), scene.floats
    longest = max(found, key=lambda one: one.counted_gap)
    said = [
        f"{count(len(found), 'float')} in {whose}; the longest passes behind "
        f"{count(longest.counted_gap, 'stitch')}, {long(longest.counted_width)} (from "
        f"{_from(scene, longest)} of {unit} {longest.row + 1}). "
        "Stitches are counted from the right of the face.",
        f"{len(over)} of {len(found)} pass the limit you set ({limit_words(scene)})"
        + ("; catch them, or change the chart." if over else "."),
    ]
    if scene.steek is not None and not repeat:
        said.append(
            "The floats within the steek are not among them: they pass behind "
            f"{count(longest_in_steek(scene), 'stitch')} at most and are cut, and what a float passes there on its way "
            "to the chart doesn't count."
        )
    said += leads
    places = len(catches_of(scene))
    if places:
        all_of_them = "" if repeat else f", {count(sum(one.caught_end for one in found), 'time')} in the piece"
        how = "Caught as planned" if rules.plan_catches else "Caught"
        said.append(f"{how} at {count(places, 'place')} of the chart{all_of_them}.")
    if max(one.slack for one in found) > BAGGY:
        said.append(f"Slack above {BAGGY:.0%} usually hangs in loops that snag.")
    return [*said, CAUTION]
