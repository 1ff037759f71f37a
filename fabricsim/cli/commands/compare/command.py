"""``fabricsim compare``: every combination of the settings asked for, side by side in one table."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fabricsim.cli.commands.compare.data import Rows, columns, for_programs, lines
from fabricsim.cli.commands.compare.options import MOST_PICTURES, CompareOptions, study_of
from fabricsim.cli.commands.compare.words import made, stopped, tell
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, answer_kind, form, show, written
from fabricsim.cli.shell.cluster import ClusterOption, ProcessesOption, load_for, say_trust
from fabricsim.cli.shell.kept import say_damage, say_once_more
from fabricsim.cli.shell.options import EvenOption
from fabricsim.cli.shell.outputs import Output, files_for_output, write_bytes_atomically, write_text_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Tally
from fabricsim.errors import NoEquilibriumError
from fabricsim.lengths import speak

if TYPE_CHECKING:
    from fabricsim.study.compare.checkpoint import Kept
    from fabricsim.study.compare.setting import Study

CHAINS = "fabricsim.study.compare.chains"
"""The module that processes at work on it load."""


def _settings(said: str) -> Any:
    return typer.Option(metavar="VALUES", show_default=False, help=said)


def compare(
    scenes: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="SCENE",
            show_default=False,
            help="Scene files (TOML) or folders of them; the built-in hat band if left out.",
        ),
    ] = None,
    study: Annotated[
        Path | None,
        typer.Option(metavar="FILE", show_default=False, help="Scenes and settings from this file (TOML)."),
    ] = None,
    slack: Annotated[list[str] | None, _settings("Slacks of every float: -0.1,0,0.1 or, as a range, -0.1:0.1:0.05")] = (
        None
    ),
    slack_of: Annotated[
        list[str] | None, _settings("Slacks of one yarn, by its symbol: x=-0.05,0,0.05; once for each yarn.")
    ] = None,
    longest_gap: Annotated[
        list[str] | None, _settings("Most stitches that a float may pass behind, in place of the scene's limits: 3,5,7")
    ] = None,
    catches: Annotated[list[str] | None, _settings("Any of none, planned and scene (as it has them).")] = None,
    gauge: Annotated[
        list[str] | None, _settings("Stitches and rows to 10 cm, 19x25.5,20x27, or factors on the scene's: 0.9,1,1.1")
    ] = None,
    stretch_stiffness: Annotated[list[str] | None, _settings("How many times as stiff to stretch: 0.5,1,2")] = None,
    bending_stiffness: Annotated[list[str] | None, _settings("How many times as stiff to bend: 0.5,1,2")] = None,
    case: Annotated[list[str] | None, _settings("Any of repeat, swatch and round; by default the scene's own.")] = None,
    inside_out: Annotated[
        list[str] | None, _settings("no, yes or no,yes: whether a tube is knitted with its floats outside.")
    ] = None,
    even: EvenOption = False,
    onset: Annotated[
        bool | None,
        typer.Option(
            "--onset/--no-onset",
            show_default=False,
            help="Whether to tell from what slack on each puckers; by default where several scenes are compared.",
        ),
    ] = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
    plots: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", show_default=False, help="Draw draw-in and pucker against slack: .png, .pdf or .svg."
        ),
    ] = None,
    pictures: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            show_default=False,
            help=f"Draw face and back of each, of more than {MOST_PICTURES} of the best and the worst: .png.",
        ),
    ] = None,
    processes: ProcessesOption = None,
    cluster: ClusterOption = None,
) -> None:
    """Compare every combination of settings of one scene or several.

    Several values stand between commas. With --out, rows are kept as they come beside that file: stop it, and the same
    command goes on where it was.
    """
    given = {
        "case": case,
        "inside_out": inside_out,
        "gauge": gauge,
        "stretch_stiffness": stretch_stiffness,
        "bending_stiffness": bending_stiffness,
        "catches": catches,
        "longest_gap": longest_gap,
        "slack": slack,
    }
    options = CompareOptions(
        study_of(study, scenes, {**given, **_switches(even, onset)}, slack_of),
        *form(json=json, csv=csv, out=out),
        out=out,
        plots=plots,
        pictures=pictures,
        processes=processes,
        cluster=cluster,
    )
    speak(options.study.scenes[0].units)
    _compared(options)


def _switches(even: bool, onset: bool | None) -> dict[str, list[str] | None]:
    """Return the words of the two that are either so or not."""
    said = None if onset is None else ["yes"] if onset else ["no"]
    return {"even": ["yes"] if even else None, "onset": said}


def _compared(options: CompareOptions) -> None:
    """Solve what is not yet solved, and write or print all of it; stopped by Ctrl-C, what there is."""
    from fabricsim.study.compare.chains import identity
    from fabricsim.study.compare.checkpoint import Kept

    form_of = {"json": options.json, "csv": options.csv}
    interrupted = False
    hold = options.pictures is not None and options.grid.count <= MOST_PICTURES  # else few of them are drawn
    with (
        files_for_output(
            Output(options.out, kind=answer_kind(**form_of)),
            Output(options.plots, "--plots"),
            Output(options.pictures, "--pictures"),
        ),
        Kept(options.rows, identity(options.study), hold=hold) as kept,
    ):
        say_damage(kept.store)
        try:
            _solve(options, kept)
        except KeyboardInterrupt:
            interrupted = True
        if kept.rows and options.out is not None:
            write_text_atomically(options.out, written(answer_of(options.study, kept.rows), **form_of))
        if not interrupted:
            _draw(options, kept)
    to_program = (
        interrupted and options.out is None and (options.json or options.csv)
    )  # to one nothing is an answer too
    if kept.rows or to_program:
        answer = answer_of(options.study, kept.rows)
        if options.out is None:
            show(answer, **form_of)
        else:
            answer.tell(Page())
    if interrupted:
        if kept.rows:
            print(stopped(options, len(kept.rows)), file=sys.stderr)
        raise KeyboardInterrupt
    if not ((options.json or options.csv) and options.out is None):
        for sentence in made(options, kept.rows):
            Page().say(sentence)
    if not any(row["at_rest"] for row in kept.rows.values()):
        raise NoEquilibriumError(f"no setting came to rest; the first: {kept.rows[0]['remark']}")


def _solve(options: CompareOptions, kept: Kept) -> None:
    from fabricsim.study.compare.chains import compare, once_more, usual_processes

    left = options.grid.count - len(kept.rows)
    usual = usual_processes(options.study, left if options.cluster is None else sys.maxsize)
    processes = options.processes or usual
    load_for(processes, options.cluster, CHAINS)
    say_trust(options.cluster)
    say_once_more(once_more(options.study, kept))
    with Tally("settings brought to rest", options.grid.count, len(kept.rows)) as tally:
        for _ in compare(options.study, kept, processes=processes, cluster=options.cluster):
            tally.one_more()


def answer_of(study: Study, rows: Rows) -> Answer:
    """Return the comparison; ``rows`` by the number of their setting, in any order, maybe not yet all."""
    every = lines(study, rows)
    return Answer(lambda page: tell(page, study, rows), for_programs(study, every), every, columns(study))


def _draw(options: CompareOptions, kept: Kept) -> None:
    from fabricsim.cli.commands.compare import pictures

    if options.plots is not None:
        write_bytes_atomically(options.plots, pictures.plots(options.study, kept.rows, options.plots.suffix.lower()))
    if options.pictures is not None:
        write_bytes_atomically(options.pictures, pictures.pictures(options.study, kept))
