"""Counts in words: stitches, rows, places in a list, limits."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim.design.floats.found import Float
from fabricsim.design.scene.model import Scene
from fabricsim.lengths import long_plain
from fabricsim.units import CM


def count(number: int, word: str) -> str:
    """Return ``number`` and ``word``, in the plural where it belongs: ``3 stitches``."""
    plural = word + ("es" if word.endswith("ch") else "s")
    return f"{number:,} {word if number == 1 else plural}"


def ordinal(number: int) -> str:
    """Return a place in an order: ``1st``, ``2nd``, ``11th``."""
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def listed(words: Sequence[str]) -> str:
    """Return words as a list: ``a, b and c``; nothing for none."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if words[1:] else words)


def row_word(scene: Scene) -> str:
    """Return what the knitter of ``scene`` calls a row: a round, in the round."""
    return "round" if scene.worked == "round" else "row"


def chart_row(scene: Scene, row: int, *, repeat: bool = False) -> int | None:
    """Return the row of the chart, from 1, that the piece's ``row`` (from 0) shows; None for a plain row.

    ``repeat``: the ``row`` is one of the chart alone.
    """
    shown = row % len(scene.chart_rows()) if repeat else scene.chart_row_of(row)
    return None if shown is None else shown + 1


def stitch_number(scene: Scene, one: Float, column: int) -> int:
    """Return the number of the stitch in a ``column`` of a float's rows, from 1 at the right of the chart; those of a
    steek before it are 0 and less."""
    knitted = one.stitches > scene.stitches_per_repeat * scene.chart.across
    return one.stitches - column - (scene.beside[0] if knitted else 0)


MOST_REPEATS = 4
"""Repeats up whose numbers are all named (chosen)."""


def numbers_in_piece(scene: Scene, row: int) -> str:
    """Return the numbers in the piece of the chart's ``row`` (from 0), one for each repeat up: ``6 and 20``."""
    tall, up = len(scene.chart_rows()), scene.chart.up
    numbers = [str(scene.chart.plain_below + row + 1 + repeat * tall) for repeat in range(up)]
    if up <= MOST_REPEATS:
        return listed(numbers)
    return f"{numbers[0]}, {numbers[1]} and so on to {numbers[-1]}"


def limit_words(scene: Scene) -> str:
    """Return how long the scene lets a float be, by what counts: ``5 stitches or 2.5 cm``, ``2.5 cm``."""
    gap, cm = scene.limits.longest_gap, scene.limits.longest_cm
    said = [*([] if gap is None else [count(gap, "stitch")]), *([] if cm is None else [long_plain(cm * CM)])]
    return " or ".join(said)
