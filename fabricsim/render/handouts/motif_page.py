"""A page with many small motifs, each drawn as a chart several times over with its numbers beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from fabricsim.design.scene.chart import Rows
from fabricsim.render.handouts.lesson import page_part, policy, templates

SQUARES = 12
"""Squares across and up that a motif is repeated to, at least (chosen: enough to see how it repeats)."""


@dataclass(frozen=True)
class MotifCard:
    """A motif's ``name``, its chart, ``figures``: (what, how much), and ``why`` it is as good or bad as that."""

    name: str
    chart_ij: Rows
    figures: Sequence[tuple[str, str]]
    why: str


def motif_page(title: str, lead: Sequence[str], cards: Sequence[MotifCard], colours: tuple[str, str]) -> str:
    """Return the page, in the order of the cards; it loads nothing. ``colours``: of the two yarns, as ``#rrggbb``."""
    style = page_part("motifs.css")
    page = templates().get_template("motifs.html.j2")
    shown = [(card, Markup(_drawn(card, colours))) for card in cards]
    return page.render(title=title, lead=lead, cards=shown, style=Markup(style), policy=policy(style, ""))


def _drawn(card: MotifCard, colours: tuple[str, str]) -> str:
    """Return the chart, several times over, as an SVG: a run of like squares is one rectangle."""
    rows, stitches = len(card.chart_ij), len(card.chart_ij[0])
    tall, wide = -(-SQUARES // rows) * rows, -(-SQUARES // stitches) * stitches
    parts = []
    for row in range(tall):
        yarn_j = card.chart_ij[row % rows]
        column = 0
        while column < wide:
            run = column
            while run < wide and yarn_j[run % stitches] == yarn_j[column % stitches]:
                run += 1
            if yarn_j[column % stitches]:
                parts.append(f"M{column} {tall - 1 - row}h{run - column}v1h-{run - column}z")
            column = run
    frame = f'<rect class="repeat" x="0" y="{tall - rows}" width="{stitches}" height="{rows}"/>'
    return (
        f'<svg viewBox="-0.1 -0.1 {wide + 0.2} {tall + 0.2}" role="img"><rect width="{wide}" height="{tall}" '
        f'fill="{colours[0]}"/><path d="{"".join(parts)}" fill="{colours[1]}"/>{frame}</svg>'
    )
