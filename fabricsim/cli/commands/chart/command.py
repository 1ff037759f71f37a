"""``fabricsim chart``: the chart on paper, in symbols and colour."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from fabricsim.cli.shell.answer import JsonOption, print_json
from fabricsim.cli.shell.by_size import EverySizeOption, NoForecastOption, asked_sizes
from fabricsim.cli.shell.options import SceneArgument, one_of, open_scene
from fabricsim.cli.shell.outputs import file_for_output, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.words.counts import count
from fabricsim.design.scene.read import scene_hash

if TYPE_CHECKING:
    from fabricsim.render.chart.layout import SheetLayout

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""
SUFFIXES = (".pdf", ".svg", ".png")
Symbols = Literal["scene", "marks"]


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
    symbols = one_of("--symbols", symbols, ("scene", "marks"))
    target = out or Path("charts") / f"{scene.stem if scene is not None else 'demo'}.pdf"
    suffix = suffix_of(target, SUFFIXES)
    from fabricsim.cli.commands.chart.words import sheet_of
    from fabricsim.design.floats.on_paper import charted_piece, charted_repeat
    from fabricsim.render.basics.files import figures_as
    from fabricsim.render.chart.sheet import chart_figures, chart_layout, in_grey

    ends: list[tuple[str, int]] = []
    if sizes:
        every = asked_sizes(read, forecast=not no_forecast)
        read, piece, ends = every[-1].scene, True, [(one.name, one.stitches) for one in every]
    charted = charted_piece(read) if piece else charted_repeat(read)
    sheet, note = sheet_of(read, charted, square=square, marks=symbols == "marks", sizes=ends)
    sheet = in_grey(sheet) if grey else sheet
    layout = chart_layout(sheet, charted)
    with file_for_output(target):
        made = figures_as(suffix, chart_figures(sheet, charted, layout), read.title)
        files = [
            target.with_name(f"{target.stem}-{number}{target.suffix}") if len(made) > 1 else target
            for number in range(1, len(made) + 1)
        ]
        for path, data in zip(files, made, strict=True):
            write_bytes_atomically(path, data)
    if json:
        print_json(
            {
                "schema_version": SCHEMA_VERSION,
                "command": "chart",
                "scene_hash": scene_hash(read),
                "title": read.title,
                "counted": "piece" if piece else "repeat",
                "rows": len(charted.yarn_ij),
                "stitches": len(charted.yarn_ij[0]),
                "floats_over_limit": charted.long,
                "catches": sum(map(sum, charted.caught_ij)),
                "files": [str(file) for file in files],
                **_keys(layout),
            }
        )
        return
    page = Page()
    page.say(_told(files, layout))
    if note:
        page.say(note)


def _keys(layout: SheetLayout) -> dict[str, object]:
    return {
        "sheets": len(layout.tiles),
        "sheets_across": layout.across,
        "sheets_up": layout.up,
        "sheet_mm": list(layout.sheet),
        "square_width_mm": layout.wide,
        "square_height_mm": layout.tall,
    }


def _told(files: list[Path], layout: SheetLayout) -> str:
    sheets = len(layout.tiles)
    where = str(files[0]) if len(files) == 1 else f"{files[0]} to {files[-1].name}"
    laid = f" ({layout.across} side by side, {layout.up} one above the other)" if sheets > 1 else ""
    way = "upright" if layout.sheet[0] < layout.sheet[1] else "on its side"
    return (
        f"The chart is in {where}: {count(sheets, 'sheet')} of A4 {way}{laid}, squares {layout.wide:.1f} x "
        f"{layout.tall:.1f} mm; print it at 100 %."
    )
