"""``fabricsim rounds``: every row in words, as patterns write it, or in full and in large print."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any

import typer

from fabricsim.cli.commands.rounds import words
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.by_size import NoForecastOption, SizeOption, in_size
from fabricsim.cli.shell.options import AcrossOption, SceneArgument, open_scene
from fabricsim.cli.shell.outputs import file_for_output, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.words.counts import chart_row, row_word
from fabricsim.design.counted.rounds import Run, WorkedRow, passages, worked_rows
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.errors import InputError

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""
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
    """Write every row or round of SCENE in words."""
    read = in_size(open_scene(scene), size, across, forecast=not no_forecast)
    suffix = out.suffix.lower() if out is not None else ""
    if suffix in PRINTED and not large_print:
        raise InputError("--out", f"'{out}'", f"{' or '.join(PRINTED)} with --large-print only", "add --large-print")
    if out is not None and large_print and not json and not csv and suffix_of(out, ALLOWED) in PRINTED:
        with file_for_output(out) as file:
            write_bytes_atomically(file, _printed(read, worked_rows(read), suffix))
        Page().say(f"Written to {out}, in letters of 24 points.")
        return

    give(lambda: answer_of(read, large_print), json=json, csv=csv, out=out)


def answer_of(scene: Scene, in_full: bool = False) -> Answer:
    """Return every row in words, short or ``in_full``."""
    rows = worked_rows(scene)
    tell = _tell_in_full if in_full else _tell
    return Answer(lambda page: tell(page, scene, rows), _for_programs(scene, rows), _lines(scene, rows))


# ---- for people ----------------------------------------------------------------------------------


def _tell(page: Page, scene: Scene, rows: Sequence[WorkedRow]) -> None:
    """Print the key, then row after row as patterns write them."""
    called = words.letters(scene)
    page.say(scene.title, bold=True, wrap=True)
    for sentence in (words.size_words(scene), *words.key(scene, rows), ""):
        page.say(sentence, wrap=True)
    for passage in passages(scene, rows):
        _say_hanging(page, words.passage_text(passage, called, row_word(scene)))


def _tell_in_full(page: Page, scene: Scene, rows: Sequence[WorkedRow]) -> None:
    """Print every row by itself in full words."""
    named = words.names(scene)
    page.say(scene.title, bold=True, wrap=True)
    for sentence in words.before_reading(scene, rows):
        page.say(sentence, wrap=True)
    for one in rows:
        head, text = words.row_in_words(one, named, row_word(scene))
        page.say("")
        _say_hanging(page, f"{head}: {text}")


def _say_hanging(page: Page, text: str) -> None:
    for line in words.hanging(text, page.width):
        page.say(line)


def _printed(scene: Scene, rows: Sequence[WorkedRow], suffix: str) -> bytes:
    """Return the file in large print."""
    from fabricsim.render.handouts.large_print import LargePrint, large_print_html, large_print_pdf

    named = words.names(scene)
    said = [words.row_in_words(one, named, row_word(scene)) for one in rows]
    text = LargePrint(
        scene.title,
        tuple(words.bound(sentence) for sentence in words.before_reading(scene, rows)),
        tuple((head, words.bound(todo)) for head, todo in said),
    )
    return large_print_pdf(text) if suffix == ".pdf" else large_print_html(text).encode()


# ---- for programs and spreadsheets ---------------------------------------------------------------


def _lines(scene: Scene, rows: Sequence[WorkedRow]) -> list[dict[str, object]]:
    """Return a line for each row."""
    called, named = words.letters(scene), words.names(scene)
    return [
        {
            "row": one.row + 1,
            "chart_row": chart_row(scene, one.row),
            "side": "WS" if one.wrong_side else "RS",
            "stitches": one.line.stitches,
            "short": words.line_text(one.line, called, "p" if one.wrong_side else "k"),
            "in_words": words.row_in_words(one, named, row_word(scene))[1],
        }
        for one in rows
    ]


def _for_programs(scene: Scene, rows: Sequence[WorkedRow]) -> dict[str, Any]:
    def said(runs: Sequence[Run]) -> list[dict[str, Any]]:
        return [
            {
                "yarn": scene.yarns[run.yarn].symbol,
                "stitches": run.stitches,
                "catch": [{"yarn": scene.yarns[yarn].symbol, "behind_stitch": at} for at, yarn in run.caught],
            }
            for run in runs
        ]

    return {
        "schema_version": SCHEMA_VERSION,
        "command": "rounds",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "worked": scene.worked,
        "stitches": len(scene.piece_rows()[0]),
        "repeats_across": scene.chart.across,
        "yarns": {short: scene.yarns[yarn].symbol for yarn, short in words.letters(scene).items()},
        "rows": [
            {
                **line,
                "worked": "left to right" if one.wrong_side else "right to left",
                "before": said(one.line.before),
                "repeat": said(one.line.again),
                "times": one.line.times,
                "after": said(one.line.after),
            }
            for one, line in zip(rows, _lines(scene, rows), strict=True)
        ],
    }
