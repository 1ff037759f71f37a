"""The chapters of a report: the answers of all commands, gathered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from fabricsim.cli.commands.catches import command as catches
from fabricsim.cli.commands.colours import command as colours
from fabricsim.cli.commands.difficulty import command as difficulty
from fabricsim.cli.commands.floats import command as floats
from fabricsim.cli.commands.floats.options import FloatsOptions
from fabricsim.cli.commands.preview.data import numbers
from fabricsim.cli.commands.preview.likely import trust
from fabricsim.cli.commands.preview.words import dead_band
from fabricsim.cli.commands.report.data import for_programs
from fabricsim.cli.commands.report.pictures import back_map, charted, in_other_eyes, of_fabric, schematic
from fabricsim.cli.commands.report.words import about, blocks_of, forecast_told, ticked, worksheet
from fabricsim.cli.commands.rounds import command as rounds
from fabricsim.cli.commands.rounds.words import title
from fabricsim.cli.commands.sizes import command as sizes
from fabricsim.cli.commands.slack import command as slack
from fabricsim.cli.commands.slack.options import SlackOptions
from fabricsim.cli.commands.yarn import command as yarn
from fabricsim.cli.shell.answer import Answer
from fabricsim.cli.shell.by_size import every_size, named_size, sizes_found
from fabricsim.cli.shell.options import Load
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.shell.recorded import recorded
from fabricsim.cli.words.cautions import cautions
from fabricsim.cli.words.counts import row_word
from fabricsim.cli.words.washed import washed_for_programs
from fabricsim.cores import usable_cores
from fabricsim.design.catches.plan import SECONDS, plan_of
from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.meeting import meetings
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.used import around_of
from fabricsim.design.scene.model import Scene
from fabricsim.design.sizes.fits import FITS
from fabricsim.fabric.whole import carried_floats
from fabricsim.render.handouts.report import Block, Chapter, Figures, Report, Text
from fabricsim.study.forecast.forecast import Forecast, forecast
from fabricsim.study.washed.blocking import check_blocking
from fabricsim.study.washed.washing import washed


def gathered(
    written: Scene, size: str | None, load: Load, watch: Watch, *, draft: bool
) -> tuple[Report, dict[str, Any]]:
    """Return the report of a scene as it is ``written`` or in a ``size``, and the same for programs; raises InputError
    and NoEquilibriumError."""
    check_blocking(written, load.case, whole=load.whole)
    own = _forecast(written, load, watch, draft=draft) if size is None else None
    sized = None
    if written.item in FITS:
        sized = sizes_found(
            written, None if draft else watch, None if draft or load.case == "repeat" or load.whole else own
        )
    piece = piece_of(written) if size is None or sized is None else named_size(every_size(written, sized), size)
    scene = piece.scene
    found = own or _forecast(scene, load, watch, draft=draft)
    if size is None and load.case != "repeat" and not load.whole:
        narrower = found.measures.widths.plain - found.measures.widths.width
        piece = replace(piece, finished=piece.finished - narrower, forecast=True)  # as the first page says
    over = faults(carried_floats(scene, load.case, whole=load.whole), scene.limits)
    drawn = of_fabric(found, draft, watch)
    amounts = yarn_amounts(scene, around=around_of(piece))
    parts: dict[str, dict[str, Any]] = {"preview": numbers(found, over)}
    wash = washed(scene, found.equilibrium, found.measures, begun=lambda name: watch.stage(name, 0, 1))
    if wash is not None:
        parts["washed"] = washed_for_programs(wash)
    chapters = [Chapter("forecast", "What to expect", (*forecast_told(found, wash), Figures(drawn)))]

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
    if sized is not None:
        add("sizes", "Sizes", sizes.answer_of(sized), blocks=told)
        if any(one.counted is not None for one in sized.sizes):
            each = [(one, yarn_amounts(one.scene, around=around_of(one))) for one in every_size(written, sized)]
            answer = yarn.answer_by_size(scene, each)
            parts["yarn_by_size"] = dict(answer.said)
            by_size = (Text("For every size", strong=True), *told(answer))
    add("yarn", "Yarn", yarn.answer_of(piece, amounts), *by_size, blocks=told)
    unit = row_word(scene)
    lead: tuple[Block, ...] = (Figures((schematic(piece),)),) if piece.sections[1:] else ()
    add(
        "rounds",
        f"The pattern, {unit} by {unit}",
        rounds.answer_of(piece),
        blocks=lambda a: [*lead, *ticked([one for one in told(a) if one != Text(title(piece), strong=True)])],
    )
    chapters.append(Chapter("mine", "Your own piece", worksheet(piece, found, amounts)))
    report = Report(title(piece), about(piece), cautions(scene), tuple(chapters), (*trust(found), *dead_band(found)))
    return report, for_programs(scene, parts)


def _forecast(scene: Scene, load: Load, watch: Watch, *, draft: bool) -> Forecast:
    return forecast(
        scene,
        load.case,
        band=not draft,
        branch=not draft,
        whole=load.whole,
        processes=usable_cores(),
        stage=watch.stage,
        counted=watch.counting,
    )
