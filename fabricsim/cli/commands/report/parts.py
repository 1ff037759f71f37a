"""What stands in a report: the answers of all commands, their pictures, and room for what a test knitter measures."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from fabricsim.cli.commands.catches import command as catches
from fabricsim.cli.commands.colours import command as colours
from fabricsim.cli.commands.difficulty import command as difficulty
from fabricsim.cli.commands.floats import command as floats
from fabricsim.cli.commands.floats.options import FloatsOptions
from fabricsim.cli.commands.preview.data import numbers
from fabricsim.cli.commands.preview.words import figures, remarks, trust
from fabricsim.cli.commands.report.pictures import back_map, charted, in_other_eyes, of_fabric
from fabricsim.cli.commands.rounds import command as rounds
from fabricsim.cli.commands.sizes import command as sizes
from fabricsim.cli.commands.slack import command as slack
from fabricsim.cli.commands.slack.options import SlackOptions
from fabricsim.cli.commands.yarn import command as yarn
from fabricsim.cli.shell.answer import Answer
from fabricsim.cli.shell.by_size import every_size, sizes_found
from fabricsim.cli.shell.options import Load
from fabricsim.cli.shell.page import Table
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.shell.recorded import Sentence, recorded
from fabricsim.cli.words.cautions import CAUTION, cautions
from fabricsim.cli.words.counts import count, row_word
from fabricsim.cli.words.fabric import seen_as
from fabricsim.design.catches.plan import SECONDS, plan_of
from fabricsim.design.counted.yarn_amounts import Amounts, yarn_amounts
from fabricsim.design.floats.found import faults
from fabricsim.design.floats.meeting import meetings
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.design.sizes.fits import FITS
from fabricsim.render.handouts.report import Block, Chapter, Fields, Figures, Items, Notes, Report, TableBlock, Text
from fabricsim.study.forecast.forecast import Forecast, forecast
from fabricsim.units import CM, GRAM, MM

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def gathered(scene: Scene, load: Load, watch: Watch, *, draft: bool) -> tuple[Report, dict[str, Any]]:
    """Return the report of ``scene`` and the same for programs; raises InputError and NoEquilibriumError."""
    found = forecast(scene, load.case, band=not draft, stage=watch.stage)
    over = faults(found.equilibrium.floats, scene.limits)
    drawn = of_fabric(found, draft, watch)
    amounts = yarn_amounts(scene)
    parts: dict[str, dict[str, Any]] = {"preview": numbers(found, over)}
    chapters = [Chapter("forecast", "What to expect", (*_forecast(found), Figures(drawn)))]

    def add(key: str, title: str, answer: Answer, *more: Block, blocks: Callable[[Answer], list[Block]]) -> None:
        parts[key] = dict(answer.said)
        chapters.append(Chapter(key, title, (*blocks(answer), *more)))

    def told(answer: Answer) -> list[Block]:
        return blocks_of(scene, recorded(answer.tell))

    if len(found.equilibrium.floats):
        add("slack", "How slack to carry the floats", slack.answer_of(scene, SlackOptions(load), watch), blocks=told)
    chapters.append(Chapter("chart", "The chart", (Figures(charted(scene)),)))
    eyes = (Figures((in_other_eyes(scene),)),) if meetings(scene) else ()
    add("colours", "The colours", colours.answer_of(scene), *eyes, blocks=told)
    add("difficulty", "How hard it is", difficulty.answer_of(scene), blocks=told)
    add("floats", "Floats and yarn carried up", floats.answer_of(scene, FloatsOptions()), blocks=told)
    plan = plan_of(scene, SECONDS)
    maps = (Figures((back_map(scene, plan),)),) if plan.caught else ()
    add("catches", "Where to catch", catches.answer_of(scene, plan), *maps, blocks=told)
    by_size: tuple[Block, ...] = ()
    if scene.item in FITS:
        sized = sizes_found(scene, None if draft else watch)
        add("sizes", "Sizes", sizes.answer_of(sized), blocks=told)
        if any(one.counted is not None for one in sized.sizes):
            each = [(one, yarn_amounts(one.scene)) for one in every_size(scene, sized)]
            answer = yarn.answer_by_size(scene, each)
            parts["yarn_by_size"] = dict(answer.said)
            by_size = (Text("For every size", strong=True), *told(answer))
    add("yarn", "Yarn", yarn.answer_of(scene, amounts), *by_size, blocks=told)
    unit = row_word(scene)
    add("rounds", f"{unit.capitalize()} by {unit}", rounds.answer_of(scene), blocks=lambda a: _ticked(told(a)))
    chapters.append(Chapter("mine", "Your own piece", _worksheet(scene, found, amounts)))
    report = Report(scene.title, _about(scene), cautions(scene), tuple(chapters), tuple(trust(found)))
    return report, {
        "schema_version": SCHEMA_VERSION,
        "command": "report",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "cautions": list(cautions(scene)),
        "parts": parts,
    }


def blocks_of(scene: Scene, parts: Sequence[Sentence | Table]) -> list[Block]:
    """Return what a command says as blocks of a page, without the title and the caution, which the page has itself."""
    made: list[Block] = []
    items: list[str] = []

    def end_list() -> None:
        if items:
            made.append(Items(tuple(items)))
            items.clear()

    for part in parts:
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


def _about(scene: Scene) -> tuple[str, ...]:
    rows = scene.piece_rows()
    gauge = scene.gauge
    way = "in the round" if scene.worked == "round" else "flat"
    what = f" ({scene.item})" if scene.item is not None else ""
    facts = (
        f"{count(len(rows[0]), 'stitch')} x {count(len(rows), row_word(scene))}{what}, worked {way}, at "
        f"{gauge.stitches:g} stitches and {gauge.rows:g} rows to 10 cm of plain knitting, in "
        f"{', '.join(yarn.name for yarn in scene.yarns)}."
    )
    return (" ".join(scene.story.split()), facts) if scene.story.strip() else (facts,)


def _forecast(found: Forecast) -> list[Block]:
    """Return the numbers of the forecast, and what to do about them."""
    from fabricsim.cli.words.advice import advice

    scene, mesh = found.equilibrium.scene, found.equilibrium.mesh
    over = faults(found.equilibrium.floats, scene.limits)
    unit = row_word(scene)
    lines = tuple((what, how) for what, how in figures(found, over, unit))
    return [
        Text(seen_as(scene, mesh)),
        *(Text(sentence) for sentence in remarks(found)),
        TableBlock("The forecast", (("", "left"), ("", "left")), lines),
        Text("What to do", strong=True),
        Items(tuple(advice(found, over))),
    ]


def _ticked(blocks: list[Block]) -> list[Block]:
    """Return the same with a box to tick at every row, which are the paragraphs that begin with its number."""
    rows = [one.text for one in blocks if isinstance(one, Text) and one.text.startswith(("Rnd", "Row"))]
    others = [one for one in blocks if not (isinstance(one, Text) and one.text in rows)]
    return [*others, Items(tuple(rows), tick=True)]


def _worksheet(scene: Scene, found: Forecast, amounts: Amounts) -> tuple[Block, ...]:
    """Return what a test knitter measures, beside what was forecast."""
    widths, pucker = found.measures.widths, found.pucker
    band = found.draw_in
    low, high = (widths.plain * (1.0 - end) / CM for end in (band.high, band.low))
    width = f"{widths.width / CM:.1f} cm" + (f" ({low:.1f} to {high:.1f})" if found.corners else "")
    what = "girth" if found.equilibrium.mesh.case == "round" else "width"
    lines = [
        ("stitches to 10 cm, plain", f"{scene.gauge.stitches:g}", ""),
        ("rows to 10 cm, plain", f"{scene.gauge.rows:g}", ""),
        (f"{what}, colourwork", width, "cm"),
        (f"{what}, plain, of as many stitches", f"{widths.plain / CM:.1f} cm", "cm"),
        ("pucker, from peak to valley", f"{pucker.nominal / MM:.1f} mm", "mm"),
        ("stretched as far as it goes with ease", "", "cm"),
        ("weight of the finished piece", f"{sum(one.mass for one in amounts.yarns) / GRAM:.0f} g", "g"),
        *(
            (f"left over of {scene.yarns[one.yarn].name}", f"{(one.wanted_mass - one.mass) / GRAM:.0f} g to spare", "g")
            for one in amounts.yarns
        ),
        ("needles, yarns, how long it took", "", ""),
    ]
    return (
        Text("Measure flat and relaxed, after washing if it will be washed, and write it beside the forecast."),
        Fields(tuple(lines)),
        Notes("Rows that were hard to follow, floats that pulled or hung, what you would change:"),
    )
