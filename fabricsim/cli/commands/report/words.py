"""What stands in a report: what commands say as blocks of its page, and room for what a test knitter measures."""

from __future__ import annotations

import re
from collections.abc import Sequence

from fabricsim.cli.commands.preview.figures import figures
from fabricsim.cli.commands.preview.words import remarks
from fabricsim.cli.commands.rounds.rows import bound
from fabricsim.cli.commands.yarn.words import left_of_balls
from fabricsim.cli.shell.recorded import Sentence
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.advice import advice
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, row_word
from fabricsim.cli.words.fabric import seen_as
from fabricsim.cli.words.measures import closed_as
from fabricsim.cli.words.washed import washed_figures
from fabricsim.design.counted.yarn_amounts import Amounts
from fabricsim.design.floats.faults import faults
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.whole import carried_floats, is_whole
from fabricsim.lengths import fine, fine_unit, gauge_number, gauge_over, gauge_said, long, long_number, long_unit
from fabricsim.render.handouts.report import Block, Fields, Items, Notes, TableBlock, Text
from fabricsim.study.forecast.forecast import Forecast
from fabricsim.study.washed.washing import Washed
from fabricsim.units import GRAM

WORKED = re.compile(r"(Cast on|(Upper )?[Rr]ib (rnd|row)|Rnd|Row|Next|Bind off|Draw together)[^:]*: ")
"""How a paragraph of the pattern begins that is to be worked."""


def blocks_of(scene: Scene, parts: Sequence[Sentence | Table]) -> list[Block]:
    """Return what a command says as blocks of a page, without the title and the caution, which the page has itself."""
    made: list[Block] = []
    items: list[str] = []

    def end_list() -> None:
        if items:
            made.append(Items(tuple(items)))
            items.clear()

    for part in parts:
        if isinstance(part, Sentence) and part.text.startswith("    "):  # set in: what stands under a sentence
            items.append(part.text.strip())
            continue
        if isinstance(part, Sentence) and part.text.lstrip().startswith("- "):
            items.append(part.text.lstrip()[2:])
            continue
        end_list()
        if isinstance(part, Table):
            made.append(
                TableBlock(part.title, tuple(part.side_of.items()), tuple(map(tuple, part.lines)), frozenset(part.bold))
            )
        elif part.text not in ("", scene.title, CAUTION):
            made.append(Text(part.text, part.bold))
    end_list()
    return made


def about(piece: WholePiece) -> tuple[str, ...]:
    """Return the lines under the title: its story, and how it is knitted."""
    scene = piece.scene
    gauge = scene.gauge
    way = "in the round" if scene.worked == "round" else "flat"
    what = f" ({scene.item})" if scene.item is not None else ""
    facts = (
        f"{count(piece.stitches, 'stitch')} x {count(len(list(piece.rows)), row_word(scene))}{what}, worked {way}, at "
        f"{gauge_said(gauge.stitches, gauge.rows)} of plain knitting, in "
        f"{', '.join(yarn.name for yarn in scene.yarns)}."
    )
    return (" ".join(scene.story.split()), facts) if scene.story.strip() else (facts,)


def forecast_told(found: Forecast, wash: Washed | None = None) -> list[Block]:
    """Return the numbers of the forecast and of the piece washed, and what to do about them."""
    scene, mesh = found.equilibrium.scene, found.equilibrium.mesh
    over = faults(carried_floats(scene, mesh.case, whole=is_whole(mesh)), scene.limits)
    unit = row_word(scene)
    lines = tuple((what, how) for what, how in figures(found, over, unit))
    if wash is not None:
        lines += tuple(washed_figures(wash, unit))
    return [
        Text(seen_as(scene, mesh)),
        *(Text(sentence) for sentence in remarks(found)),
        TableBlock("The forecast", (("", "left"), ("", "left")), lines),
        Text("What to do", strong=True),
        Items(tuple(advice(found, over))),
    ]


def ticked(blocks: list[Block]) -> list[Block]:
    """Return the same with a box to tick at everything that is worked, which are the paragraphs that begin so."""
    made: list[Block] = []
    for one in blocks:
        if not (isinstance(one, Text) and not one.strong and WORKED.match(one.text)):
            made.append(one)
        elif made and isinstance(made[-1], Items) and made[-1].tick:
            made[-1] = Items((*made[-1].items, bound(one.text)), tick=True)
        else:
            made.append(Items((bound(one.text),), tick=True))
    return made


def worksheet(piece: WholePiece, found: Forecast, amounts: Amounts) -> tuple[Block, ...]:
    """Return what a test knitter measures, beside what was forecast."""
    scene = piece.scene
    widths, pucker = found.measures.widths, found.pucker
    band = found.draw_in
    low, high = (long_number(widths.plain * (1.0 - end)) for end in (band.high, band.low))
    width = f"{long(widths.width)}" + (f" ({low} to {high})" if found.pieces else "")
    what = "girth" if found.equilibrium.mesh.case == "round" else "width"
    lines = [
        (f"stitches to {gauge_over()}, plain", gauge_number(scene.gauge.stitches), ""),
        (f"rows to {gauge_over()}, plain", gauge_number(scene.gauge.rows), ""),
        (f"{what}, colourwork", width, long_unit()),
        (f"{what}, plain, of as many stitches", long(widths.plain), long_unit()),
        (
            {"hat": "depth, brim to middle of the crown", "mitten": "length, cuff to tip"}.get(
                closed_as(piece), "height, cast-on to last row"
            ),
            f"{long(piece.height())} by the gauge",
            long_unit(),
        ),
        ("pucker, from peak to valley", fine(pucker.nominal), fine_unit()),
        ("stretched as far as it goes with ease", "", long_unit()),
        ("weight of the finished piece", f"{sum(one.mass for one in amounts.yarns) / GRAM:.0f} g", "g"),
        *(
            (
                f"left over of {scene.yarns[one.yarn].name}",
                f"{left_of_balls(scene, one):.0f} g of {count(one.balls, 'ball')}",
                "g",
            )
            for one in amounts.yarns
        ),
        ("needles, yarns, how long it took", "", ""),
    ]
    return (
        Text("Measure flat and relaxed, after washing if it will be washed, and write it beside the forecast."),
        Fields(tuple(lines)),
        Notes("Rows that were hard to follow, floats that pulled or hung, what you would change:"),
    )
