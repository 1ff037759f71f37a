"""``fabricsim vary``: the same piece from many hands, how far they differ, and what matters most."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import (
    CaseOption,
    InsideOutOption,
    Load,
    SceneArgument,
    SlackOption,
    load_of,
    open_scene,
)
from fabricsim.cli.shell.outputs import file_for_output, said_of, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.words.counts import count
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError

if TYPE_CHECKING:
    from fabricsim.study.compare.store import Store
    from fabricsim.study.vary.hands import Spreads
    from fabricsim.study.vary.variation import Asked, Variation

PER_CENT = 0.01
MOST_RUNS = 100_000
"""More pieces than anyone waits for (chosen)."""
USUAL_RUNS, USUAL_ERROR = 400, 0.2
"""Pieces at most, and per cent of the width to which its mean is to be known (chosen: a tenth of what hands differ by,
which most scenes reach in about 100 pieces)."""
USUAL_PAIRS, MOST_PAIRS = 32, 4096
"""Pairs of hands behind the shares (chosen: the greatest comes out to a few per cent)."""
WIDEST = 20.0
"""Per cent: a hand that varies by more knits no fabric (chosen)."""
PLOTS = (".png", ".pdf", ".svg")


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
        _spread("--float-spread", "How far slack differs from float to float: two in three within this.", "4"),
    ] = None,
    row_spread: Annotated[float | None, _spread("--row-spread", "And from row to row.", "2")] = None,
    mean_spread: Annotated[
        float | None, _spread("--mean-spread", "And how far all of it may be off from what the scene says.", "1.7")
    ] = None,
    gauge_spread: Annotated[float | None, _spread("--gauge-spread", "How far the gauge may be off.", "2")] = None,
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
    cluster: Annotated[
        str | None,
        typer.Option(help="Address of a dask cluster to work on, or 'local'.", metavar="ADDRESS", show_default=False),
    ] = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Knit SCENE many times over with hands that vary, and tell what comes of it."""
    read = open_scene(scene)
    load = load_of(read, case, slack, inside_out)
    _check("--runs", runs, 1, MOST_RUNS, "pieces")
    _check("--error", error, 1e-3, 10, "per cent")
    _check("--seed", seed, 0, 2**63, "of any number")
    for name, given in {
        "--float-spread": float_spread,
        "--row-spread": row_spread,
        "--mean-spread": mean_spread,
        "--gauge-spread": gauge_spread,
    }.items():
        _check(name, given, 0, WIDEST, "per cent")
    _check("--stiffness-factor", stiffness_factor, 1, 10, "times")
    _check("--processes", processes, 1, 1000, "processors")
    if share_pairs is not None and not (2 <= share_pairs <= MOST_PAIRS and share_pairs & (share_pairs - 1) == 0):
        raise InputError("--share-pairs", str(share_pairs), f"2, 4, 8, 16 ... up to {MOST_PAIRS}", "take one of them")
    with said_of("--plots"):
        suffix = suffix_of(plots, PLOTS) if plots is not None else ""
    _check_floats(read, load)
    pairs = (share_pairs or USUAL_PAIRS) if shares or share_pairs is not None else None
    if (float_spread, row_spread, mean_spread, gauge_spread, stiffness_factor) == (0, 0, 0, 0, 1):
        raise InputError("--float-spread", "nothing that varies", "one spread above 0", "let something vary")
    if mean_spread is None:
        mean_spread = _learnt(read, load)
    spreads = _spreads(float_spread, row_spread, mean_spread, gauge_spread, stiffness_factor)

    def answer() -> Answer:
        from fabricsim.cli.commands.vary.data import for_programs, lines
        from fabricsim.cli.commands.vary.words import tell as tell_people
        from fabricsim.study.vary.variation import Asked

        asked = Asked(runs, error * PER_CENT, seed, spreads, pairs)
        found = _found(read, load, asked, out=out, processes=processes, cluster=cluster)
        if plots is not None:
            _draw(found, plots, suffix)

        def tell(page: Page) -> None:
            tell_people(page, found)
            if plots is not None:
                page.say(f"Drawn in {plots}.")

        return Answer(tell, for_programs(found), lines(found))

    with ExitStack() as places:
        if plots is not None:
            with said_of("--plots"):
                places.enter_context(file_for_output(plots))
        give(answer, json=json, csv=csv, out=out)


def _found(
    scene: Scene, load: Load, asked: Asked, *, out: Path | None, processes: int | None, cluster: str | None
) -> Variation:
    from fabricsim.study.vary.variation import identity, vary

    of = identity(scene, load.case, load.slack, load.inside_out, asked)
    with _kept(out, of) as store, Watch(in_turn=True) as watch:
        return vary(
            scene,
            load.case,
            asked,
            slack=load.slack,
            inside_out=load.inside_out,
            store=store,
            processes=processes,
            cluster=cluster,
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
        try:
            yield store
        finally:
            said = f"{count(len(store.rows), 'piece')} kept in {store.path}"
            print(f"{said}: the same command, or more --runs, goes on from there.", file=sys.stderr)


def _draw(found: Variation, path: Path, suffix: str) -> None:
    from fabricsim.cli.commands.vary.pictures import picture_of

    with said_of("--plots"):
        write_bytes_atomically(path, picture_of(found, suffix))


def _learnt(scene: Scene, load: Load) -> float | None:
    """Return how far the slack of all floats may be off, per cent, if a knitter's file says it; else None."""
    from fabricsim.study.calibrate.posterior import DEVIATIONS
    from fabricsim.study.forecast.doubt import Doubt, doubt_of

    doubt, usual = doubt_of(scene, other_slack=load.slack is not None), Doubt()
    if (doubt.tighter, doubt.looser) == (usual.tighter, usual.looser):
        return None
    return 0.5 * (doubt.looser - doubt.tighter) / DEVIATIONS / PER_CENT


def _spreads(
    floats: float | None, rows: float | None, slack: float | None, gauge: float | None, factor: float | None
) -> Spreads:
    from fabricsim.study.vary.hands import Spreads

    given = {"floats": floats, "rows": rows, "slack": slack, "gauge": gauge}
    shares = {name: value * PER_CENT for name, value in given.items() if value is not None}
    return Spreads(**shares, **({} if factor is None else {"factor": factor}))


def _check(option: str, given: float | None, least: float, most: float, unit: str) -> None:
    if given is not None and not (isfinite(given) and least <= given <= most):
        raise InputError(option, f"{given:g}", f"{least:g} to {most:,g} {unit}", "change the number")


def _check_floats(scene: Scene, load: Load) -> None:
    """Raise ``InputError`` for a scene in which there is nothing to carry."""
    from fabricsim.design.floats.found import floats, floats_of_repeat

    found = floats_of_repeat(scene) if load.case == "repeat" else floats(scene)
    if not found:
        raise InputError(
            scene.where("chart"), "no floats", "a chart with two colours in a row", "nothing varies without floats"
        )
