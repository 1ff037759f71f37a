"""``fabricsim calibrate``: a knitter's own slack and stiffness from what was measured on a swatch."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, give
from fabricsim.cli.shell.options import CaseOption, SceneArgument, load_of, open_scene
from fabricsim.cli.shell.outputs import file_for_output, said_of, suffix_of, write_text_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.knitter import Knitter, knitter_text
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.design.swatch.check import check_measured
from fabricsim.design.swatch.form import measured_form
from fabricsim.design.swatch.measured import Measured, read_measured
from fabricsim.errors import InputError

SUFFIXES = (".toml", ".json", ".csv")
"""How a file for ``--out`` may end: a knitter's file, or the answer."""


def calibrate(
    scene: SceneArgument = None,
    measured: Annotated[
        Path | None, typer.Option(help="File (TOML) of what was measured on the swatch.", show_default=False)
    ] = None,
    form: Annotated[
        Path | None,
        typer.Option(help="Write an empty file of that sort here, to fill in, and stop.", show_default=False),
    ] = None,
    motif: Annotated[
        tuple[Path, Path] | None,
        typer.Option(
            metavar="SCENE SWATCH",
            help="A second motif by the same hands, its scene and what was measured on its swatch: two tell slack and "
            "what floats fall short apart.",
            show_default=False,
        ),
    ] = None,
    case: CaseOption = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: Annotated[
        Path | None,
        typer.Option(
            help="Write the knitter's file here, for scenes to name (.toml); or the answer (.json, .csv).",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Learn from a swatch of SCENE how slack this knitter's floats are and how stiff the fabric is."""
    read = open_scene(scene)
    if form is not None:
        if measured is not None or out is not None or motif is not None or json or csv:
            raise InputError("--form", "together with other options", "--form alone", "fill in the form first")
        _write_form(read, form)
        return
    if measured is None:
        raise InputError("--measured", "no file", "a file of what was measured", "make one with --form my_swatch.toml")
    load = load_of(read, case)
    suffix = suffix_of(out, SUFFIXES) if out is not None else ""
    given = read_measured(measured)
    check_measured(read, given, measured)
    second = None if motif is None else _second(*motif)
    if out is None or suffix != ".toml":
        give(lambda: answer_of(read, given, load.case, measured, second)[0], json=json, csv=csv, out=out)
        return
    with file_for_output(out, "a knitter's file"):
        answer, knitter = answer_of(read, given, load.case, measured, second)
        write_text_atomically(out, knitter_text(knitter))
    give(lambda: answer, json=json, csv=csv, out=None)
    if not (json or csv):
        Page().say(f'Written to {out}. Name it in a scene that lies beside it, above [chart]: knitter = "{out.name}"')


def _second(scene_path: Path, path: Path) -> tuple[Scene, Measured]:
    """Return another scene and what was measured on its swatch; raises ``InputError`` for what can't be."""
    scene, given = read_scene(scene_path), read_measured(path)
    check_measured(scene, given, path)
    return scene, given


def answer_of(
    scene: Scene, measured: Measured, case: Case, path: Path, second: tuple[Scene, Measured] | None = None
) -> tuple[Answer, Knitter]:
    """Return what ``measured``, the file ``path``, tells of the knitter of ``scene``, with a ``second`` swatch beside.

    Raises ``InputError`` where no hands could have knitted what was measured.
    """
    from fabricsim.cli.commands.calibrate.data import for_programs, lines
    from fabricsim.cli.commands.calibrate.words import tell
    from fabricsim.study.calibrate.learning import calibrate as learn

    with Watch(in_turn=True) as watch:
        told = watch.again_and_again("the swatch, as other hands would knit it")
        found = learn(scene, measured, case, second=second, progress=told)
    misfit = found.impossible
    if misfit is not None:
        one = misfit.measurement
        raise InputError(
            f"{path}: {one.key}",
            f"{one.value:.4g} {one.unit}",
            f"what hands can knit: beside the rest they come to {misfit.fitted:.4g} {one.unit} at the nearest",
            "measure again, and count the stitches",
        )
    answer = Answer(lambda page: tell(page, scene, found), for_programs(scene, found), lines(found))
    return answer, found.knitter


def _write_form(scene: Scene, path: Path) -> None:
    with said_of("--form"):
        suffix_of(path, (".toml",))
        with file_for_output(path, "a TOML file"):
            write_text_atomically(path, measured_form(scene))
    Page().say(f"Written to {path}. Fill in what you measured, then: fabricsim calibrate SCENE --measured {path}")
