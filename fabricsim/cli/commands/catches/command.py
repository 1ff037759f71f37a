"""``fabricsim catches``: where to catch the floats that would be too long, with as few catches as can be."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from fabricsim import units
from fabricsim.cli.commands.catches.words import Change, Told, tell
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import SceneArgument, open_scene
from fabricsim.cli.shell.outputs import (
    file_for_output,
    said_of,
    suffix_of,
    write_bytes_atomically,
    write_text_atomically,
)
from fabricsim.cli.words.float_keys import limits
from fabricsim.design.catches.plan import SECONDS, CatchPlan, as_catches, plan_of, with_catches
from fabricsim.design.floats.caught import CaughtStitch, caught_stitches, very_long
from fabricsim.design.floats.found import faults
from fabricsim.design.floats.found import floats as floats_of_piece
from fabricsim.design.rows.squares import Passed, Square
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.errors import InputError

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""
SUFFIXES = (".png", ".svg", ".pdf")


def catches(
    scene: SceneArgument = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
    map: Annotated[
        Path | None,
        typer.Option(
            "--map", help="Draw the back with its floats and catches: a .png, .svg or .pdf.", show_default=False
        ),
    ] = None,
    write: Annotated[
        Path | None,
        typer.Option(
            "--write", help="Write a copy of SCENE with the catches listed in it: a .toml.", show_default=False
        ),
    ] = None,
    seconds: Annotated[float, typer.Option("--seconds", help="How long the best places may be looked for.")] = SECONDS,
) -> None:
    """Plan the catches of SCENE: as few as can be, evenly placed, never stacked where it can be helped."""
    read = open_scene(scene)
    if not 0.0 < seconds < float("inf"):
        raise InputError("--seconds", f"{seconds:g}", "a number above 0", f"{SECONDS:g} is usual")
    with said_of("--map"):
        suffix = suffix_of(map, SUFFIXES) if map is not None else ""
    if write is not None:
        _check_copy(read, write)
    plan = plan_of(read, seconds)
    told = _told(read, plan)
    if map is not None:
        with said_of("--map"), file_for_output(map) as file:
            write_bytes_atomically(file, _drawn(read, plan, suffix))
    if write is not None:
        with said_of("--write"), file_for_output(write) as file:
            write_text_atomically(file, _copied(read, plan))
    written = [("the map of the back", map), ("a copy of the scene with these catches", write)]
    told = told._replace(files=[(what, path) for what, path in written if path is not None])
    give(lambda: _answer(told), json=json, csv=csv, out=out)


def answer_of(scene: Scene, plan: CatchPlan) -> Answer:
    """Return what is said of a ``plan`` of catches."""
    return _answer(_told(scene, plan))


def _answer(told: Told) -> Answer:
    return Answer(lambda page: tell(page, told), _for_programs(told), _lines(told.scene, told.stitches), COLUMNS)


def _told(scene: Scene, plan: CatchPlan) -> Told:
    before, after = (_change(with_catches(scene, squares), len(squares)) for squares in (plan.listed, plan.caught))
    return Told(scene, plan, caught_stitches(scene, plan), before, after, very_long(scene))


def _change(scene: Scene, squares: int) -> Change:
    found = floats_of_piece(scene)
    longest = max(found, key=lambda one: one.gap, default=None)
    return Change(
        catches=squares,
        over=len(faults(found, scene.limits)),
        floats=len(found),
        longest_gap=longest.gap if longest else 0,
        longest_cm=longest.gap_width / units.CM if longest else 0.0,
    )


# ---- files ---------------------------------------------------------------------------------------


def _drawn(scene: Scene, plan: CatchPlan, suffix: str) -> bytes:
    from fabricsim.render.basics.files import figure_pdf, figure_png, figure_svg
    from fabricsim.render.chart.back_map import catch_map

    figure = catch_map(scene, plan)
    if suffix == ".pdf":
        return figure_pdf(figure, scene.title)
    return figure_svg(figure) if suffix == ".svg" else figure_png(figure)


def _check_copy(scene: Scene, write: Path) -> None:
    """Raise ``InputError`` if a copy of the ``scene`` can't be written there."""
    with said_of("--write"):
        suffix_of(write, (".toml",))
    assert scene.source is not None  # every scene of a command was read from a file
    if write.exists() and write.samefile(scene.source):
        raise InputError("--write", f"'{write}', the scene itself", "a new file", "name another file")
    beside = scene.chart.file or scene.chart.image
    if beside is not None and write.parent.resolve() != scene.source.parent.resolve():
        raise InputError(
            "--write",
            f"'{write}', away from '{beside}'",
            "a file in the scene's own folder, where its chart lies",
            f"name it {scene.source.with_name(write.name)}",
        )


def _copied(scene: Scene, plan: CatchPlan) -> str:
    """Return the scene's own text with the catches of the ``plan`` in it."""
    from fabricsim.design.catches.in_text import text_with_catches
    from fabricsim.design.scene.opened import read_text

    source = scene.source
    assert source is not None  # every scene of a command was read from a file
    changed = text_with_catches(read_text(source, str(source)), as_catches(plan.caught, scene.stitches_per_repeat))
    if changed is None:
        raise InputError(
            f"{source}: floats",
            "written in a way in which the catches can't be listed without touching the rest",
            "a line [floats] and its keys below, one a line",
            "write it so, and ask again",
        )
    return changed


# ---- for programs and spreadsheets ---------------------------------------------------------------


def _for_programs(told: Told) -> dict[str, Any]:
    scene, plan = told.scene, told.plan
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "catches",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "worked": scene.worked,
        "limits": {**limits(scene), "longest_open_stitches": plan.most},
        "before": told.before._asdict(),
        "after": told.after._asdict(),
        "planned": len(plan.planned),
        "listed": len(plan.listed),
        "fewest_proven": plan.fewest_proven,
        "places_proven": plan.places_proven,
        "catches": _lines(scene, told.stitches),
        "stacked": [{"lower": _square(scene, low), "upper": _square(scene, high)} for low, high in plan.stacked],
        "left_open": [_gap(scene, one) for one in plan.left_open],
        "very_long": [_gap(scene, one) for one in told.very_long],
    }


COLUMNS = (
    "row",
    "stitch",
    "yarns_caught",
    "behind_yarn",
    "stitch_of_its_colour",
    "stitches_of_its_colour",
    "listed",
)
"""Of the table for spreadsheets: keys of every line."""


def _lines(scene: Scene, stitches: list[CaughtStitch]) -> list[dict[str, object]]:
    """Return a line for each catch, in the order of the knitting."""
    symbols = scene.symbols
    return [
        {
            "row": one.row,
            "stitch": one.stitch,
            "yarns_caught": "".join(symbols[yarn] for yarn in one.caught),
            "behind_yarn": symbols[one.front],
            "stitch_of_its_colour": one.nth,
            "stitches_of_its_colour": one.run,
            "listed": one.listed,
        }
        for one in stitches
    ]


def _square(scene: Scene, square: Square) -> dict[str, int]:
    return {"row": square[0] + 1, "stitch": scene.stitches_per_repeat - square[1]}


def _gap(scene: Scene, one: Passed) -> dict[str, Any]:
    """Return a stretch of a float by the first square that it passes behind, from the right."""
    return {
        "yarn": scene.symbols[one.yarn],
        **_square(scene, one.squares[0]),
        "gap_stitches": len(one.squares),
        "gap_cm": len(one.squares) * scene.gauge.stitch_width / units.CM,
    }
