"""``fabricsim slack``: how loosely to carry the floats, and what that is in the hand."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import CaseOption, InsideOutOption, Load, SceneArgument, load_of, open_scene
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError

PER_CENT = 0.01
USUAL_LOSS = 1.0
"""Per cent of the width that may be lost, unless asked for otherwise (chosen: not seen)."""


def slack(
    scene: SceneArgument = None,
    may_lose: Annotated[
        float, typer.Option("--may-lose", metavar="PERCENT", help="Width that may be lost, per cent.")
    ] = USUAL_LOSS,
    stretch: Annotated[
        float | None,
        typer.Option(
            metavar="PERCENT",
            help="How far it must stretch with ease, per cent; by default what its item needs to be put on.",
            show_default=False,
        ),
    ] = None,
    case: CaseOption = None,
    inside_out: InsideOutOption = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Find how slack the floats of SCENE must be to keep its width and let it stretch."""
    read = open_scene(scene)
    load = load_of(read, case, None, inside_out)
    _check("--may-lose", may_lose, 0.05, 50.0)
    if stretch is not None:
        _check("--stretch", stretch, 0.0, 100.0)

    def answer() -> Answer:
        with Watch(in_turn=True) as watch:
            return answer_of(read, load, watch, may_lose=may_lose, stretch=stretch)

    give(answer, json=json, csv=csv, out=out)


def answer_of(
    scene: Scene, load: Load, watch: Watch, *, may_lose: float = USUAL_LOSS, stretch: float | None = None
) -> Answer:
    """Return how slack the floats must be; ``may_lose`` and ``stretch`` in per cent, the latter by default what the
    item needs."""
    from fabricsim.cli.commands.slack import words
    from fabricsim.design.sizes.fits import stretch_to_put_on
    from fabricsim.study.forecast.loosening import how_loose

    ease = scene.sizes.ease_percent if scene.sizes is not None else None
    found = how_loose(
        scene,
        load.case,
        most_lost=may_lose * PER_CENT,
        stretch=stretch * PER_CENT if stretch is not None else stretch_to_put_on(scene.item, ease),
        inside_out=load.inside_out,
        stage=lambda name: watch.stage(name, 0, 1),
    )
    return Answer(
        lambda page: words.tell(page, scene, found, asked=stretch is not None),
        words.for_programs(scene, found),
        words.lines(found),
        words.COLUMNS,
    )


def _check(option: str, given: Any, least: float, most: float) -> None:
    if not least <= given <= most:
        raise InputError(option, f"{given:g}", f"{least:g} to {most:g} per cent", "give per cent, as in 8")
