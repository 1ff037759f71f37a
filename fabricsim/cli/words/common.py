"""Words that several commands share."""

from __future__ import annotations

from fabricsim.design.scene.model import Scene

CAUTION = (
    "Caution: a float can snag, and a thread round a tiny finger or toe can cut off blood unseen, so things "
    "for baby hands and feet get no open floats (line them). How long a float may be is for the rules that "
    "hold where the item is sold, and for you as the maker, to say."
)

SAID = 5e-4
"""Shares below half of the last digit printed are nothing."""


def count(number: int, word: str) -> str:
    """Return ``number`` and ``word``, in the plural where it belongs: ``3 stitches``."""
    plural = word + ("es" if word.endswith("ch") else "s")
    return f"{number:,} {word if number == 1 else plural}"


def row_word(scene: Scene) -> str:
    """Return what the knitter of ``scene`` calls a row: a round, in the round."""
    return "round" if scene.worked == "round" else "row"


def chart_row(scene: Scene, row: int, *, repeat: bool = False) -> int | None:
    """Return the row of the chart, from 1, that the piece's ``row`` (from 0) shows; None for a plain row.

    ``repeat``: the ``row`` is one of the chart alone.
    """
    rows = len(scene.chart_rows())
    above = row if repeat else row - scene.chart.plain_below
    return above % rows + 1 if 0 <= above < rows * scene.chart.up else None


def limit_words(scene: Scene) -> str:
    """Return how long the scene lets a float be: ``5 stitches or 2.5 cm``."""
    limits = scene.limits
    return f"{count(limits.longest_gap, 'stitch')} or {limits.longest_cm:g} cm"


def slack_words(slack: float) -> str:
    """Return a slack in words: ``4 % too short``."""
    if abs(slack) < SAID:
        return "no slack: just long enough"
    return f"{share_said(abs(slack))} too short" if slack < 0.0 else f"{share_said(slack)} slack"


def share_said(share: float) -> str:
    """Return a share as a per cent without needless digits."""
    return f"{round(100.0 * share, 1):g} %"
