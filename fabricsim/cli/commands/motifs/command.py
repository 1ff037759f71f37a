"""``fabricsim motifs``: all small motifs, one of each class, and what the fabric of each does."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

import fabricsim
from fabricsim.cli.commands.motifs.options import (
    USUAL_MOST,
    USUAL_SIDE,
    MotifsOptions,
)
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, answer_kind, form, show, written
from fabricsim.cli.shell.cluster import ClusterOption, ProcessesOption, load_for, say_trust
from fabricsim.cli.shell.kept import say_damage
from fabricsim.cli.shell.options import SceneArgument, load_of, open_scene
from fabricsim.cli.shell.outputs import Output, files_for_output, write_bytes_atomically, write_text_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Tally
from fabricsim.cores import usable_cores

MAPPING = "fabricsim.study.motifs.mapping"
"""The module that processes at work on it load."""


def motifs(
    scene: SceneArgument = None,
    rows: Annotated[int, typer.Option("--rows", metavar="N", help="Motifs of up to so many rows.")] = USUAL_SIDE,
    stitches: Annotated[
        int, typer.Option("--stitches", metavar="N", help="Motifs of up to so many stitches.")
    ] = USUAL_SIDE,
    most: Annotated[int, typer.Option("--most", metavar="N", help="So many of them, the smallest.")] = USUAL_MOST,
    symmetric: Annotated[bool, typer.Option("--symmetric", help="Only those that are mirrored both ways.")] = False,
    page: Annotated[
        Path | None,
        typer.Option("--page", help="Write a page with every motif and its numbers: an .html.", show_default=False),
    ] = None,
    pictures: Annotated[
        Path | None,
        typer.Option("--pictures", help="Draw face and back of the best and the worst: a .png.", show_default=False),
    ] = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
    processes: ProcessesOption = None,
    cluster: ClusterOption = None,
) -> None:
    """Bring all small motifs to rest in the yarns, gauge and slack of SCENE: which lie widest and flattest, and why.

    Of motifs that are alike but for shifting, mirroring, turning or swapping their yarns one is taken. With --out, rows
    are kept as they come beside that file: stop it, and the same command goes on where it was.
    """
    read = open_scene(scene)
    options = MotifsOptions(
        scene=read,
        load=load_of(read, "repeat", even=True),
        drawn=pictures,
        rows=rows,
        stitches=stitches,
        most=most,
        symmetric=symmetric,
        out=out,
        page=page,
        processes=processes,
        cluster=cluster,
    )
    as_json, as_csv = form(json=json, csv=csv, out=out)
    _mapped(options, as_json, as_csv)


def _mapped(options: MotifsOptions, json: bool, csv: bool) -> None:
    """Bring to rest what has no row yet, and write or print all of it; stopped by Ctrl-C, what there is."""
    from fabricsim.cli.commands.motifs.words import MotifsTold
    from fabricsim.study.compare.store import Store
    from fabricsim.study.motifs.classes import motifs as motifs_up_to
    from fabricsim.study.motifs.mapping import MotifMap, in_order, map_identity

    every = motifs_up_to(options.rows, options.stitches, symmetric=options.symmetric)
    todo = MotifMap(options.scene, tuple(every[: options.most]), fabricsim.__version__)
    stopped = False
    with files_for_output(Output(options.out, kind=answer_kind(json=json, csv=csv)), *options.files):
        store = Store(options.kept, map_identity(todo)) if options.kept is not None else None
        found = {} if store is None else dict(store.rows)
        try:
            say_damage(store)
            stopped = _solve(options, todo, found, store)
        finally:
            if store is not None:
                store.__exit__(None, None, None)
        told = MotifsTold(todo, len(every), in_order(todo, found), stopped)
        answer = _answer(told)
        if options.out is not None and told.found:
            write_text_atomically(options.out, written(answer, json=json, csv=csv))
        files = [] if stopped else _drawn(options, told)
    if options.out is None:
        show(answer, json=json, csv=csv)
    else:
        answer.tell(Page())
        Page().say(f"Written to {options.out}.")
    for what, path in files if not ((json or csv) and options.out is None) else ():
        Page().say(f"{what} is in {path}.")
    if stopped:
        raise KeyboardInterrupt


def _solve(options: MotifsOptions, todo: object, found: dict[str, dict[str, object]], store: object) -> bool:
    """Find the rows that are missing, each kept as it comes; return whether Ctrl-C ended it."""
    from fabricsim.study.compare.store import Store
    from fabricsim.study.motifs.mapping import MotifMap, mapped

    assert isinstance(todo, MotifMap)
    say_trust(options.cluster)
    before = sum(motif.key in found for motif in todo.motifs)
    try:
        with Tally("motifs brought to rest", len(todo.motifs), before) as tally:
            processes = options.processes or usable_cores()
            load_for(processes, options.cluster, MAPPING)
            for key in mapped(todo, found, processes=processes, cluster=options.cluster):
                if isinstance(store, Store):
                    store.add(key, found[key])
                tally.one_more()
    except KeyboardInterrupt:
        print("stopped: what was found so far is told", file=sys.stderr)
        return True
    return False


def _answer(told: object) -> Answer:
    from fabricsim.cli.commands.motifs.data import COLUMNS, for_programs, lines
    from fabricsim.cli.commands.motifs.words import MotifsTold, tell

    assert isinstance(told, MotifsTold)
    return Answer(lambda page: tell(page, told), for_programs(told), lines(told), COLUMNS)


def _drawn(options: MotifsOptions, told: object) -> list[tuple[str, Path]]:
    """Write the page and the pictures that were asked for; return each with what it is."""
    from fabricsim.cli.commands.motifs.words import MotifsTold

    assert isinstance(told, MotifsTold)
    files = []
    if options.page is not None:
        from fabricsim.cli.commands.motifs.pictures import page_of

        write_text_atomically(options.page, page_of(told))
        files.append(("A page with every motif", options.page))
    if options.drawn is not None:
        from fabricsim.cli.commands.motifs.pictures import pictures

        write_bytes_atomically(options.drawn, pictures(told))
        files.append(("Face and back of the best and the worst", options.drawn))
    return files
