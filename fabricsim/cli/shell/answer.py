"""How a command answers: a person in tables and sentences, a program in JSON, a spreadsheet in CSV; on the screen or
into a file."""

from __future__ import annotations

import io
import json as json_format
from collections.abc import Callable, Mapping, Sequence
from contextlib import redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import typer

from fabricsim.cli.shell.kinds import Kind
from fabricsim.cli.shell.outputs import Output, files_for_output, write_text_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.spreadsheet import csv_text
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.errors import InputError

JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for programs instead of tables.")]
CsvOption = Annotated[bool, typer.Option("--csv", help="Print the table as CSV, for a spreadsheet.")]
OutOption = Annotated[
    Path | None,
    typer.Option(
        help="Write to this file, not the screen; a name in .json or .csv says which it is.", show_default=False
    ),
]


@dataclass(frozen=True)
class Answer:
    """The same answer three times: ``tell`` prints it for a person, ``said`` is for programs, units in the keys;
    ``lines`` are for a spreadsheet, one mapping a line, all with the same keys: the ``columns``, which may be left out
    where there always is a line."""

    tell: Callable[[Page], None]
    said: Mapping[str, Any]
    lines: Sequence[Mapping[str, object]]
    columns: Sequence[str] = ()


def head_of(command: str, version: int, scene: Scene) -> dict[str, Any]:
    """Return how the JSON of a ``command`` about one ``scene`` begins; ``version``: of its keys."""
    return {"schema_version": version, "command": command, "scene_hash": scene_hash(scene), "title": scene.title}


def give(
    answer: Callable[[], Answer],
    *,
    json: bool,
    csv: bool,
    out: Path | None,
    beside: Sequence[Output] = (),
    aloud: bool = False,
) -> None:
    """Print or write the answer, in the form asked for; it is worked out only once it can be written.

    ``beside``: what ``answer`` writes as well; all files come about, and the answer is told, or none. ``aloud``: what
    is written is told to a person on the screen as well. Raises ``InputError`` if JSON and CSV are asked for at once,
    or a file can't be written.
    """
    json, csv = form(json=json, csv=csv, out=out)
    with files_for_output(*beside, Output(out, kind=answer_kind(json=json, csv=csv))):
        made = answer()
        if out is not None:
            write_text_atomically(out, written(made, json=json, csv=csv))
    if out is None:
        show(made, json=json, csv=csv)
        return
    page = Page()
    if aloud:
        made.tell(page)
    page.say(f"Written to {out}.")


def show(answer: Answer, *, json: bool, csv: bool) -> None:
    """Print the answer, in the form asked for."""
    if json or csv:
        print(written(answer, json=json, csv=csv), end="")
    else:
        answer.tell(Page())


def answer_kind(*, json: bool, csv: bool) -> Kind:
    """Return what kind of file an answer makes."""
    return "a JSON file" if json else "a table in CSV" if csv else "a text file"


def form(*, json: bool, csv: bool, out: Path | None) -> tuple[bool, bool]:
    """Return whether the answer is JSON and whether it is CSV, as asked for or as the name of its file says."""
    if json and csv:
        raise InputError("--csv", "together with --json", "one of the two", "leave one out")
    suffix = out.suffix.lower() if out is not None and not json and not csv else ""
    return json or suffix == ".json", csv or suffix == ".csv"


def written(answer: Answer, *, json: bool, csv: bool) -> str:
    """Return the answer as text, in the form asked for."""
    if json:
        return json_text(answer.said)
    if csv:
        return csv_text(answer.lines, answer.columns or list(next(iter(answer.lines), {})))
    page = io.StringIO()
    with redirect_stdout(page):
        answer.tell(Page())
    return page.getvalue()


def json_text(said: Mapping[str, Any]) -> str:
    """Return what is said to programs as JSON."""
    return json_format.dumps(said, indent=2, allow_nan=False) + "\n"


def print_json(said: Mapping[str, Any]) -> None:
    """Print ``said`` for a program to read."""
    print(json_text(said), end="")
