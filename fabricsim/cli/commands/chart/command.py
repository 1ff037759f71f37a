"""``fabricsim chart``: the chart on paper, in symbols and colour."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from fabricsim.cli.commands.chart.options import ChartOptions
from fabricsim.cli.shell.answer import JsonOption, print_json
from fabricsim.cli.shell.by_size import EverySizeOption, NoForecastOption, asked_sizes
from fabricsim.cli.shell.options import SceneArgument, one_of, open_scene
from fabricsim.cli.shell.outputs import file_for_output, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.page import Page

SUFFIXES = (".pdf", ".svg", ".png")


def chart(
    scene: SceneArgument = None,
    piece: Annotated[
        bool, typer.Option("--piece", help="The whole piece, plain rows and all repeats, not one repeat.")
    ] = False,
    sizes: EverySizeOption = False,
    no_forecast: NoForecastOption = False,
    square: Annotated[
        bool, typer.Option("--square", help="Square squares; otherwise they have the proportions of your stitches.")
    ] = False,
    symbols: Annotated[
        str, typer.Option(help="Symbols: those of the scene, or plain marks (scene or marks).")
    ] = "scene",
    grey: Annotated[bool, typer.Option("--grey", help="In greys, as a printer without colours would.")] = False,
    json: JsonOption = False,
    out: Annotated[
        Path | None,
        typer.Option(
            help="File that ends in .pdf, .svg or .png; by default charts/ and the scene's name. A chart on several "
            "sheets is one PDF, or a numbered SVG or PNG for each.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Draw the chart of SCENE for printing on A4."""
    read = open_scene(scene)
    options = ChartOptions(
        piece=piece or sizes,
        sizes=sizes,
        forecast=not no_forecast,
        square=square,
        marks=one_of("--symbols", symbols, ("scene", "marks")) == "marks",
        grey=grey,
    )
    target = out or Path("charts") / f"{scene.stem if scene is not None else 'demo'}.pdf"
    suffix = suffix_of(target, SUFFIXES)
    # The heavy parts load only now, once everything that can be wrong with the command has been said.
    from fabricsim.cli.commands.chart.data import for_programs
    from fabricsim.cli.commands.chart.pictures import drawn
    from fabricsim.cli.commands.chart.words import told
    from fabricsim.design.floats.on_paper import charted_piece, charted_repeat
    from fabricsim.design.piece.making import piece_of

    ends: list[tuple[str, int]] = []
    with file_for_output(target):
        if options.sizes:
            every = asked_sizes(read, forecast=options.forecast)
            read, ends = every[-1].scene, [(one.size, one.stitches) for one in every]
        edges = piece_of(read).edges
        charted = charted_piece(read, edges) if options.piece else charted_repeat(read)
        made = drawn(read, charted, options, suffix, ends)
        files = _written(made.files, target)
    if json:
        print_json(for_programs(read, charted, made.layout, files, piece=options.piece))
        return
    page = Page()
    page.say(told(files, made.layout))
    if made.note:
        page.say(made.note)


def _written(sheets: Sequence[bytes], target: Path) -> list[Path]:
    """Write every sheet, and return where; several are numbered."""
    files = [
        target.with_name(f"{target.stem}-{number}{target.suffix}") if len(sheets) > 1 else target
        for number in range(1, len(sheets) + 1)
    ]
    for path, data in zip(files, sheets, strict=True):
        write_bytes_atomically(path, data)
    return files
