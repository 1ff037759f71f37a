"""``fabricsim vary``: the same piece from many hands, how far they differ, and what matters most."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fabricsim.cli.commands.vary.options import (
    USUAL_ERROR,
    USUAL_PAIRS,
    USUAL_RUNS,
    SpreadOptions,
    VaryOptions,
    check_floats,
)
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.cluster import ClusterOption, say_trust
from fabricsim.cli.shell.kept import say_damage
from fabricsim.cli.shell.options import CaseOption, InsideOutOption, SceneArgument, SlackOption, load_of, open_scene
from fabricsim.cli.shell.outputs import Output, write_bytes_atomically
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.words.counts import count
from fabricsim.design.scene.model import Scene

if TYPE_CHECKING:
    from fabricsim.study.compare.store import Store
    from fabricsim.study.vary.variation import Variation


def _spread(name: str, said: str, usual: str) -> Any:
    return typer.Option(name, metavar="PERCENT", help=said, show_default=usual)


def vary(
    scene: SceneArgument = None,
    runs: Annotated[int, typer.Option(help="Knit it this many times at the most.")] = USUAL_RUNS,
    error: Annotated[
        float,
        typer.Option(metavar="PERCENT", help="Stop once the mean draw-in is known this well (its standard error)."),
    ] = USUAL_ERROR,
    seed: Annotated[int, typer.Option(help="Another number gives other hands; the same gives the same.")] = 0,
    float_spread: Annotated[
        float | None,
        _spread("--float-spread", "How far slack differs from float to float: two in three within this.", "3"),
    ] = None,
    row_spread: Annotated[float | None, _spread("--row-spread", "And from row to row.", "half as far")] = None,
    mean_spread: Annotated[
        float | None,
        _spread(
            "--mean-spread",
            "And how far all of it may be off from what the scene says.",
            "1.7, 6 where it says no slack",
        ),
    ] = None,
    gauge_spread: Annotated[float | None, _spread("--gauge-spread", "How far the gauge may be off.", "0")] = None,
    short: Annotated[
        float | None,
        typer.Option(metavar="MM", help="By how much every float falls short.", show_default="0.2 to 0.7"),
    ] = None,
    stiffness_factor: Annotated[
        float | None,
        typer.Option(
            metavar="FACTOR", help="Up to how many times stiffer or softer the fabric may be.", show_default="2"
        ),
    ] = None,
    shares: Annotated[bool, typer.Option("--shares", help="Also find which of these matters most.")] = False,
    share_pairs: Annotated[
        int | None,
        typer.Option(
            metavar="N",
            help="Pairs of hands behind --shares, 2, 4, 8, 16 ...: each takes 8 pieces.",
            show_default=str(USUAL_PAIRS),
        ),
    ] = None,
    plots: Annotated[
        Path | None, typer.Option(help="Draw it to this file: .png, .pdf or .svg.", show_default=False)
    ] = None,
    case: CaseOption = None,
    slack: SlackOption = None,
    inside_out: InsideOutOption = None,
    processes: Annotated[
        int | None, typer.Option(help="Processors to work on; by default all.", show_default=False)
    ] = None,
    cluster: ClusterOption = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Knit SCENE many times over with hands that vary, and tell what comes of it."""
    read = open_scene(scene)
    options = VaryOptions(
        load=load_of(read, case, slack, inside_out),
        spreads=SpreadOptions(float_spread, row_spread, mean_spread, gauge_spread, stiffness_factor, short),
        runs=runs,
        error=error,
        seed=seed,
        pairs=(USUAL_PAIRS if share_pairs is None else share_pairs) if shares or share_pairs is not None else None,
        plots=plots,
        out=out,
        processes=processes,
        cluster=cluster,
    )
    check_floats(read, options.load)
    beside = [Output(plots, "--plots")]
    give(lambda: answer_of(read, options), json=json, csv=csv, out=out, beside=beside, aloud=True)


def answer_of(scene: Scene, options: VaryOptions) -> Answer:
    """Knit the pieces, draw them if asked, and return what came of it."""
    from fabricsim.cli.commands.vary.data import for_programs, lines
    from fabricsim.cli.commands.vary.words import tell

    found = _knitted(scene, options)
    if options.plots is not None:
        _draw(found, options.plots)
    return Answer(lambda page: tell(page, found, options.plots), for_programs(found), lines(found))


def _knitted(scene: Scene, options: VaryOptions) -> Variation:
    from fabricsim.study.vary.variation import identity
    from fabricsim.study.vary.variation import vary as knit

    asked, load = options.asked(scene), options.load
    of = identity(scene, load.case, load.slack, load.inside_out, asked)
    say_trust(options.cluster)
    with _kept(options.out, of) as store, Watch(in_turn=True) as watch:
        return knit(
            scene,
            load.case,
            asked,
            slack=load.slack,
            inside_out=load.inside_out,
            store=store,
            processes=options.processes,
            cluster=options.cluster,
            stage=watch.stage,
            counted=watch.counting,
        )


@contextmanager
def _kept(out: Path | None, identity: dict[str, Any]) -> Iterator[Store | None]:
    """Keep every piece beside the file ``out``, if there is to be one, so that nothing is knitted twice."""
    if out is None:
        yield None
        return
    from fabricsim.study.compare.store import Store

    with Store(out.with_name(f"{out.name}.pieces"), identity) as store:
        say_damage(store)
        try:
            yield store
        finally:
            if store.rows:
                said = f"{count(len(store.rows), 'piece')} kept in {store.path}"
                print(f"{said}: the same command, or more --runs, goes on from there.", file=sys.stderr)


def _draw(found: Variation, path: Path) -> None:
    from fabricsim.cli.commands.vary.pictures import picture_of

    write_bytes_atomically(path, picture_of(found, path.suffix.lower()))
