"""What is written on a chart for printing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, limit_words, numbers_in_piece, row_word
from fabricsim.cli.words.strands import strands_said
from fabricsim.design.catches.plan import catches_of
from fabricsim.design.floats.meeting import stitches_of_yarns
from fabricsim.design.floats.on_paper import Charted
from fabricsim.design.rows.squares import EVERY_STRAND
from fabricsim.design.scene.items import KINDS
from fabricsim.design.scene.model import Scene
from fabricsim.lengths import fine, fine_number, gauge_number, gauge_over
from fabricsim.render.chart.layout import SheetLayout
from fabricsim.render.chart.marks import plain_marks, too_alike
from fabricsim.render.chart.sheet import ChartSheet, KeyYarn, size_lines
from fabricsim.render.chart.squares import ChartSquare
from fabricsim.units import MM

TIMES = {1: "once", 2: "twice"}
JOINED = {"first": "beginning", "last": "end"}
MOST_NAMED = 8
"""Catches at the join of rounds that the key names before it says how many more there are (chosen)."""


def sheet_of(
    scene: Scene, chart: Charted, *, square: bool, marks: bool, sizes: Sequence[tuple[str, int]] = ()
) -> tuple[ChartSheet, str]:
    """Return all that is on the sheets of ``chart``; and what to tell about its symbols, if anything.

    ``sizes``: the name and the stitches of each size that ends somewhere in it.
    """
    symbols, note = plain_marks(len(scene.yarns)) if marks else scene.symbols, ""
    if not marks and (alike := too_alike(scene.symbols)):
        symbols = plain_marks(len(scene.yarns))
        why = " and ".join(f"'{symbol}'" for symbol in alike) + (
            " look too alike in small print" if len(alike) == 2 else " can't be printed"
        )
        note = f"Plain marks stand for the yarns, as {why}."
    end = len(chart.yarn_ij[0]) - chart.steek[0]
    made = stitches_of_yarns([yarn_j[chart.steek[1] : end] for yarn_j in chart.yarn_ij], len(scene.yarns))
    everything = sum(made)
    return ChartSheet(
        title=scene.title,
        about=_about(scene, chart),
        repeat=_repeat(scene, chart),
        yarns=tuple(
            KeyYarn(
                ChartSquare(symbol, yarn.rgb),
                yarn.name,
                f"{yarn.colour}, {count(stitches, 'stitch')} ({100 * stitches / everything:.0f} %)",
                listed=stitches > 0,
            )
            for symbol, yarn, stitches in zip(symbols, scene.yarns, made, strict=True)
        ),
        framed="The frame holds one repeat." if chart.whole or any(chart.steek) else None,
        long=_long(scene, chart) if chart.passed else None,
        caught=_caught(chart),
        joins=_at_joins(scene, chart),
        foot=_foot(scene, square=square),
        row=row_word(scene),
        shape=1.0 if square else scene.gauge.row_height / scene.gauge.stitch_width,
        sizes=size_lines(_together(sizes)),
        steek=_steek(scene) if any(chart.steek) else None,
    ), note


def _steek(scene: Scene) -> str:
    """Return what a filled corner means."""
    right, left = scene.beside
    middle = "in the middle of the first" if right > left else "between the last and the first"
    return (
        f"A filled corner: a stitch of the steek. A round begins with the {right} at the right and ends with the "
        f"{left} at the left; they are cut apart {middle}. No float there counts, and no stitch is numbered."
    )


def _caught(chart: Charted) -> str | None:
    """Return what a ring means."""
    if not any(map(any, chart.caught_ij)):
        return None
    said = "A ring: catch here what is carried behind this stitch."
    return f"{said} A ring in the colour of a yarn: only that strand." if chart.strands else said


def _at_joins(scene: Scene, chart: Charted) -> str | None:
    """Return which catches are made beside the join of rounds only, which a chart of one repeat doesn't show."""
    said = []
    joins = [] if chart.whole else sorted(hold for hold in catches_of(scene) if hold.repeat != "every")
    for repeat in ("first", "last"):
        places = [
            f"{scene.yarns[hold.yarn].name if hold.yarn != EVERY_STRAND else 'what passes'} behind stitch "
            f"{scene.stitches_per_repeat - hold.column} of round {chart.first + hold.row}"
            for hold in joins
            if hold.repeat == repeat
        ]
        if places:
            more = f", and {len(places) - MOST_NAMED:,} more" if len(places) > MOST_NAMED else ""
            said.append(
                f"Only in the {repeat} repeat of a round, at its {JOINED[repeat]}, catch too: "
                f"{', '.join(places[:MOST_NAMED])}{more}."
            )
    return " ".join(said) or None


def _together(sizes: Sequence[tuple[str, int]]) -> list[tuple[str, int]]:
    """Return sizes of one count under one label."""
    named: dict[int, list[str]] = {}
    for name, stitches in sizes:
        named.setdefault(stitches, []).append(name)
    return [(f"{' and '.join(names)}: {stitches} sts", stitches) for stitches, names in named.items()]


def _about(scene: Scene, chart: Charted) -> str:
    """Return how the chart is read."""
    said = f"Each square is one stitch, seen from the face. {_numbering(scene, chart)}"
    if scene.worked == "round":
        return said + "Start at the bottom right; read every round from right to left."
    first = "right" if chart.from_right_i[0] else "left"
    said += (
        f"Start at the bottom {first}. Rows numbered at the right are right-side rows, read from right to left; rows "
        "numbered at the left are wrong-side rows, read from left to right."
    )
    if not chart.whole and len(chart.yarn_ij) % 2 == 1 and scene.chart.up > 1:
        said += (
            f" The repeat has an odd number of rows ({len(chart.yarn_ij)}): in every second repeat up, right-side and "
            "wrong-side rows change places."
        )
    return said


def _numbering(scene: Scene, chart: Charted) -> str:
    """Return what the numbers of rows are, and what is beside the chart, where that needs saying."""
    unit, said = row_word(scene), ""
    if not chart.whole and scene.chart.plain_below + scene.chart.up > 1:
        said += f"{unit.capitalize()}s have the numbers of the pattern"
        if scene.chart.up > 1:
            said += f"; the lowest is worked as {unit}s {numbers_in_piece(scene, 0)}"
        said += ". "
    if sum(chart.edges):
        right, left = chart.edges
        said += f"Edge stitches are charted too, {right} at the right and {left} at the left. "
    return said


def _long(scene: Scene, chart: Charted) -> str:
    """Return what the line in squares means, and how many floats it stands for."""
    many = f"({count(chart.long, 'float')} in {'the piece' if chart.whole else 'the repeat'})"
    if scene.limits.none_open:
        return f"A line low in the squares: behind these runs an open float, and none may be left open {many}."
    return f"A line low in the squares: behind these a float runs past the limit of {limit_words(scene)} {many}."


def _foot(scene: Scene, *, square: bool) -> str:
    gauge = scene.gauge
    said = (
        "They are square, not in the proportions of your stitches."
        if square
        else f"They have the proportions of your stitches: {gauge_number(gauge.stitches)} across, "
        f"{gauge_number(gauge.rows)} up to {gauge_over()}."
    )
    below = strands_said(scene)
    said += f" {below}" if below else ""
    baby = scene.item is not None and KINDS[scene.item].baby
    return f"{said} {CAUTION}" if baby else said


def _repeat(scene: Scene, chart: Charted) -> str:
    """Return how large the repeat is and how often it is worked."""
    bottom, top, left, right = chart.repeat
    across, up = (f"{_times(number)} {way}" for number, way in ((scene.chart.across, "across"), (scene.chart.up, "up")))
    return f"repeat {right - left} sts x {top - bottom} {row_word(scene)}s, {across}, {up}"


def _times(number: int) -> str:
    return TIMES.get(number, f"{number} times")


def told(files: list[Path], layout: SheetLayout) -> str:
    """Return where the chart is and how it is laid out."""
    sheets = len(layout.tiles)
    where = str(files[0]) if len(files) == 1 else f"{files[0]} to {files[-1].name}"
    laid = f" ({layout.across} side by side, {layout.up} one above the other)" if sheets > 1 else ""
    way = "upright" if layout.sheet[0] < layout.sheet[1] else "on its side"
    return (
        f"The chart is in {where}: {count(sheets, 'sheet')} of A4 {way}{laid}, squares "
        f"{fine_number(layout.wide * MM)} x {fine(layout.tall * MM)}; print it at 100 %."
    )
