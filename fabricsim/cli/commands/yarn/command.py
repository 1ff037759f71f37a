"""``fabricsim yarn``: metres, grams and balls of every yarn."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

import typer

from fabricsim.cli.commands.yarn.data import for_programs, for_programs_by_size, lines, lines_by_size
from fabricsim.cli.commands.yarn.options import YarnOptions
from fabricsim.cli.commands.yarn.words import tell, tell_by_size
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.by_size import EverySizeOption, NoForecastOption, SizeOption, asked_sizes, in_size
from fabricsim.cli.shell.options import AcrossOption, SceneArgument, SlackOption, open_scene
from fabricsim.design.counted.yarn_amounts import MARGIN_PERCENT, Amounts, yarn_amounts
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.piece.used import around_of
from fabricsim.design.scene.model import Scene


def yarn(
    scene: SceneArgument = None,
    across: AcrossOption = None,
    size: SizeOption = None,
    sizes: EverySizeOption = False,
    no_forecast: NoForecastOption = False,
    pieces: Annotated[int, typer.Option(min=1, max=10_000, help="How many of it: 2 for a pair of mittens.")] = 1,
    margin: Annotated[
        float, typer.Option(min=0.0, max=500.0, help="Yarn to spare, in per cent (usual: 10 to 15).")
    ] = MARGIN_PERCENT,
    slack: SlackOption = None,
    edges: Annotated[
        bool, typer.Option("--edges/--no-edges", help="With or without a cast-on below and a bind-off above.")
    ] = True,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Reckon the yarn that SCENE takes: metres, grams and whole balls of each colour."""
    read = open_scene(scene)
    options = YarnOptions(
        across=across,
        size=size,
        sizes=sizes,
        forecast=not no_forecast,
        pieces=pieces,
        margin=margin,
        slack=slack,
        edges=edges,
    )
    give(lambda: _reckoned(read, options), json=json, csv=csv, out=out)


def _reckoned(scene: Scene, options: YarnOptions) -> Answer:
    def amounts(of: WholePiece) -> Amounts:
        return yarn_amounts(
            of.scene,
            slack=options.slack,
            edges=options.edges,
            margin_percent=options.margin,
            pieces=options.pieces,
            around=around_of(of),
        )

    if options.sizes:
        every = asked_sizes(scene, forecast=options.forecast)
        return answer_by_size(scene, [(one, amounts(one)) for one in every], options.edges)
    piece = in_size(scene, options.size, options.across, forecast=options.forecast)
    return answer_of(piece, amounts(piece), options.edges)


def answer_of(piece: WholePiece, found: Amounts, edges: bool = True) -> Answer:
    """Return what is said of the yarn that was ``found``; ``edges``: whether it was reckoned with its edges."""
    return Answer(lambda page: tell(page, piece, found, edges), for_programs(piece, found, edges), lines(piece, found))


def answer_by_size(scene: Scene, every: Sequence[tuple[WholePiece, Amounts]], edges: bool = True) -> Answer:
    """Return what is said of the yarn of every size."""
    return Answer(
        lambda page: tell_by_size(page, scene, every, edges),
        for_programs_by_size(scene, every, edges),
        lines_by_size(every),
    )
