"""``fabricsim stretch``: how far the fabric stretches across and up, and where its floats go taut."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import SceneArgument, SlackOption, open_scene
from fabricsim.cli.shell.outputs import file_for_output, said_of, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError

if TYPE_CHECKING:
    from fabricsim.study.stretch.stretching import Stretching

LEAST_LOAD, MOST_LOAD = 0.1, 50.0
"""N/m that can be asked for: half a gram to half a pound on a strip of 5 cm (chosen)."""
SUFFIXES = (".png", ".svg", ".pdf")


def stretch(
    scene: SceneArgument = None,
    load: Annotated[
        list[float] | None,
        typer.Option(
            metavar="N_PER_M",
            help="Pull, newtons per metre of width: 20 is about 100 g hung from each 5 cm. May be given several "
            "times; 5, 10 and 20 by default.",
            show_default=False,
        ),
    ] = None,
    slack: SlackOption = None,
    plots: Annotated[
        Path | None,
        typer.Option(
            "--plots", help="Draw both curves, pull against stretch: a .png, .svg or .pdf.", show_default=False
        ),
    ] = None,
    draft: Annotated[bool, typer.Option("--draft", help="A fast look: no likely range.")] = False,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Forecast how far SCENE stretches across and up, far from its edges, and where its floats go taut."""
    read = open_scene(scene)
    for one in load or ():
        if not LEAST_LOAD <= one <= MOST_LOAD:
            raise InputError(
                "--load", f"{one:g}", f"{LEAST_LOAD:g} to {MOST_LOAD:g} newtons per metre of width", "20 is a firm pull"
            )
    with said_of("--plots"):
        suffix = suffix_of(plots, SUFFIXES) if plots is not None else ""

    def answer() -> Answer:
        from fabricsim.study.stretch.stretching import LOADS, stretching

        def solved() -> Stretching:
            with Watch() as watch:
                return stretching(read, load or LOADS, slack=slack, band=not draft, stage=watch.stage)

        if plots is None:
            return answer_of(read, solved())
        with said_of("--plots"), file_for_output(plots) as file:
            found = solved()
            write_bytes_atomically(file, picture(read, found, suffix))
        return answer_of(read, found, plots)

    give(answer, json=json, csv=csv, out=out)


def answer_of(scene: Scene, found: Stretching, plots: Path | None = None) -> Answer:
    """Return what is said of how a scene stretches, and where its ``plots`` are."""
    from fabricsim.cli.commands.stretch import words

    return Answer(
        lambda page: words.tell(page, scene, found, plots), words.for_programs(scene, found), words.lines(found)
    )


def picture(scene: Scene, found: Stretching, suffix: str) -> bytes:
    """Return the two curves as a file that ends in ``suffix``."""
    import numpy as np

    from fabricsim.fabric.stretching import STRIP
    from fabricsim.render.basics.files import figures_as
    from fabricsim.render.plots.stretch import Pulled, stretch_curves

    most = max(found.loads)
    load_p = np.linspace(0.0, most, 401)
    ways = []
    for along, way in found.ways.items():
        ranges = [way.at(load) for load in load_p]
        ends = [[getattr(one, end) for one in ranges] for end in ("low", "nominal", "high")]
        low_p, stretch_p, high_p = (np.array([np.nan if v is None else v for v in end], dtype=float) for end in ends)
        from_p = way.curve.first_taut
        shown = from_p is not None and 0.0 < from_p <= stretch_p[-1]
        taut = (from_p, float(np.interp(from_p, stretch_p, load_p))) if from_p is not None and shown else None
        banded, floating = bool(way.others), way.curve.floats > 0
        ways.append(
            Pulled(
                title=f"pulled {along}",
                load_p=load_p,
                stretch_p=stretch_p,
                plain_p=np.array([way.plain.at(load) for load in load_p]) if floating else None,
                low_p=low_p if banded else None,
                high_p=high_p if banded else None,
                first_taut=taut,
            )
        )
    return figures_as(suffix, [stretch_curves(ways, STRIP, f"{scene.title}: stretch")], scene.title)[0]
