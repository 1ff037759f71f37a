"""Large print: letters of 24 points in one column, for who sees little; as pages to print or as a page that flows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup
from matplotlib.figure import Figure

from fabricsim.render.basics.files import figures_pdf
from fabricsim.render.basics.letters import own, printable, wrapped
from fabricsim.render.handouts.handout import SHEET
from fabricsim.render.handouts.lesson import page_part, policy, templates
from fabricsim.units import MM_PER_INCH

SIZE = 24.0
"""Size of letters, points: large print for low vision (common practice)."""
LEADING = 1.35
"""Height of a line, sizes of its letters (chosen: generous)."""
POINTS_PER_MM = 72.0 / MM_PER_INCH
WIDE, TALL = SHEET[0] * POINTS_PER_MM, SHEET[1] * POINTS_PER_MM
"""The sheet of A4, points."""
EDGE = 20.0 * POINTS_PER_MM
"""Paper left free on all sides, points (chosen: 2 cm)."""
APART = 0.6 * SIZE
"""Between two rows, points (chosen)."""
BLACK = "#000000"
"""On white: the greatest contrast there is."""


@dataclass(frozen=True)
class LargePrint:
    """A ``title``, what to know before (``lead``), and ``rows``: (what each is called, what to do)."""

    title: str
    lead: tuple[str, ...]
    rows: tuple[tuple[str, str], ...]


def large_print_html(text: LargePrint) -> str:
    """Return ``text`` as one HTML page that loads nothing, its letters 24 points; names are escaped."""
    style = page_part("large_print.css")
    page = templates().get_template("large_print.html.j2")
    return page.render(text=text, style=Markup(style), policy=policy(style, ""))


def large_print_pdf(text: LargePrint) -> bytes:
    """Return ``text`` as a PDF of A4 pages, its letters 24 points, a row never parted that fits on one page."""
    pages = tuple(_pages(text))
    return figures_pdf(
        (_figure(lines, f"Page {number} of {len(pages)}") for number, lines in enumerate(pages, start=1)), text.title
    )


def _pages(text: LargePrint) -> Iterator[list[tuple[float, str, bool]]]:
    """Yield the lines of each page: (how far below the top, points; words; whether bold)."""
    step, foot = SIZE * LEADING, TALL - 2.0 * EDGE - SIZE * LEADING
    page: list[tuple[float, str, bool]] = []
    down = 0.0
    blocks = [[(text.title, True)], *([(sentence, False)] for sentence in text.lead)]
    blocks += [[(head, True), (said, False)] for head, said in text.rows]
    for block in blocks:
        lines = [(line, bold) for said, bold in block for line in wrapped(said, SIZE, WIDE - 2.0 * EDGE)]
        if page and down + len(lines) * step > foot:
            yield page
            page, down = [], 0.0
        for line, bold in lines:
            if page and down + step > foot:
                yield page
                page, down = [], 0.0
            page.append((down, line, bold))
            down += step
        down += APART
    yield page


def _figure(lines: list[tuple[float, str, bool]], number: str) -> Figure:
    """Return a page with its ``lines`` and its ``number`` at the foot."""
    figure = Figure(figsize=(WIDE / 72.0, TALL / 72.0), facecolor="white")

    def write(down: float, line: str, bold: bool) -> None:
        bold = bold and own(line)  # other fonts may have a letter in one weight only
        figure.text(
            EDGE / WIDE,
            1.0 - (EDGE + down + SIZE) / TALL,
            printable(line),
            fontsize=SIZE,
            color=BLACK,
            fontweight="bold" if bold else "normal",
            va="baseline",
            parse_math=False,
        )

    for down, line, bold in lines:
        write(down, line, bold)
    write(TALL - 2.0 * EDGE - SIZE, number, False)
    return figure
