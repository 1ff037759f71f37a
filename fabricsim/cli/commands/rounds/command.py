"""``fabricsim rounds``: the whole pattern in words, as patterns write it, or in full and in large print."""

from __future__ import annotations

from typing import Annotated

import typer

from fabricsim.cli.commands.rounds import pictures
from fabricsim.cli.commands.rounds.data import for_programs, lines
from fabricsim.cli.commands.rounds.words import tell, tell_in_full
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.by_size import NoForecastOption, SizeOption, in_size
from fabricsim.cli.shell.options import AcrossOption, SceneArgument, open_scene
from fabricsim.cli.shell.outputs import file_for_output, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.design.piece.model import WholePiece
from fabricsim.errors import InputError

PRINTED = (".pdf", ".html")
"""Files in large print."""
ALLOWED = (*PRINTED, ".txt", ".json", ".csv")
"""What ``--out`` may name with ``--large-print``."""


def rounds(
    scene: SceneArgument = None,
    across: AcrossOption = None,
    size: SizeOption = None,
    no_forecast: NoForecastOption = False,
    large_print: Annotated[
        bool,
        typer.Option(
            "--large-print",
            help="Every row by itself and in full words; with --out FILE.pdf or .html in letters of 24 points.",
        ),
    ] = False,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Write the whole pattern of SCENE in words, from cast-on to the last stitch."""
    piece = in_size(open_scene(scene), size, across, forecast=not no_forecast)
    suffix = out.suffix.lower() if out is not None else ""
    if suffix in PRINTED and not large_print:
        raise InputError("--out", f"'{out}'", f"{' or '.join(PRINTED)} with --large-print only", "add --large-print")
    if out is not None and large_print and not json and not csv and suffix_of(out, ALLOWED) in PRINTED:
        with file_for_output(out) as file:
            write_bytes_atomically(file, pictures.large_print(piece, suffix))
        Page().say(f"Written to {out}, in letters of 24 points.")
        return

    give(lambda: answer_of(piece, large_print), json=json, csv=csv, out=out)


def answer_of(piece: WholePiece, in_full: bool = False) -> Answer:
    """Return the whole pattern in words, every row short or ``in_full``."""
    say = tell_in_full if in_full else tell
    return Answer(lambda page: say(page, piece), for_programs(piece), lines(piece))
