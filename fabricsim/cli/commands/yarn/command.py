"""``fabricsim yarn``: metres, grams and balls of every yarn."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

import typer

from fabricsim import units
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.by_size import EverySizeOption, InSize, NoForecastOption, SizeOption, asked_sizes, in_size
from fabricsim.cli.shell.options import AcrossOption, SceneArgument, SlackOption, open_scene
from fabricsim.cli.shell.page import Page, Side, Table
from fabricsim.cli.words.counts import count, row_word
from fabricsim.cli.words.shares import share_said
from fabricsim.design.counted.yarn_amounts import MARGIN_PERCENT, TAIL, Amounts, YarnAmount, yarn_amounts
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.design.scene.yarn import LOOP_LENGTH
from fabricsim.errors import InputError

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def yarn(
    scene: SceneArgument = None,
    across: AcrossOption = None,
    size: SizeOption = None,
    sizes: EverySizeOption = False,
    no_forecast: NoForecastOption = False,
    pieces: Annotated[int, typer.Option(min=1, max=10_000, help="How many of it: 2 for a pair of mittens.")] = 1,
    margin: Annotated[
        float, typer.Option(min=0, max=500, help="Yarn to spare, in per cent (usual: 10 to 15).")
    ] = MARGIN_PERCENT,
    slack: SlackOption = None,
    edges: Annotated[
        bool, typer.Option("--edges/--no-edges", help="With or without a cast-on below and a bind-off above.")
    ] = True,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Reckon the yarn that SCENE takes: metres, grams and whole balls of each colour."""
    read = open_scene(scene)
    if sizes and (size is not None or across is not None):
        given = "together with " + ("--size" if size is not None else "--across")
        raise InputError("--sizes", given, "one of the two", "leave one out")

    def amounts(of: Scene) -> Amounts:
        return yarn_amounts(of, slack=slack, edges=edges, margin_percent=margin, pieces=pieces)

    def answer() -> Answer:
        if sizes:
            every = asked_sizes(read, forecast=not no_forecast)
            return answer_by_size(read, [(one, amounts(one.scene)) for one in every], edges)
        piece = in_size(read, size, across, forecast=not no_forecast)
        return answer_of(piece, amounts(piece), edges)

    give(answer, json=json, csv=csv, out=out)


def answer_of(scene: Scene, found: Amounts, edges: bool = True) -> Answer:
    """Return what is said of the yarn that was ``found``; ``edges``: whether it was reckoned with its edges."""
    lines = [_keys(scene, found, one) for one in found.yarns]
    return Answer(lambda page: _tell(page, scene, found, edges), _for_programs(scene, found, edges, lines), lines)


def answer_by_size(scene: Scene, every: Sequence[tuple[InSize, Amounts]], edges: bool = True) -> Answer:
    """Return what is said of the yarn of every size."""
    lines = [
        {"size": size.name, "stitches_across": size.stitches, **_keys(scene, found, one)}
        for size, found in every
        for one in found.yarns
    ]
    said = {
        "schema_version": SCHEMA_VERSION,
        "command": "yarn",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "sizes": [
            {
                "size": size.name,
                **_for_programs(size.scene, found, edges, [_keys(scene, found, y) for y in found.yarns]),
            }
            for size, found in every
        ],
    }
    return Answer(lambda page: _tell_by_size(page, scene, every, edges), said, lines)


# ---- for people ----------------------------------------------------------------------------------


def _tell(page: Page, scene: Scene, found: Amounts, edges: bool) -> None:
    """Print what to buy, what it is for, and what it rests on."""
    rows = scene.piece_rows()
    page.say(scene.title, bold=True, wrap=True)
    each = f"{count(len(rows[0]), 'stitch')} x {count(len(rows), row_word(scene))}"
    page.say(each if found.pieces == 1 else f"{found.pieces} pieces of {each} each", wrap=True)
    spare = f"{100.0 * found.yarns[0].margin:g} % to spare"
    numbers = ("of stitches", "of yarn", "metres", "grams", "balls")
    buy: dict[str, Side] = {"yarn": "left", **dict.fromkeys(numbers, "right"), "each of": "left"}
    page.table(
        Table(
            f"To buy, {spare} included",
            buy,
            [
                [
                    scene.yarns[one.yarn].name,
                    f"{100 * found.stitch_share(one):.0f} %",
                    f"{100 * found.yarn_share(one):.0f} %",
                    _metres(one.wanted),
                    f"{one.wanted_mass / units.GRAM:.0f}",
                    str(one.balls),
                    f"{scene.yarns[one.yarn].ball_grams:g} g, {scene.yarns[one.yarn].ball_length:.0f} m",
                ]
                for one in found.yarns
            ],
        )
    )
    parts = {
        "stitches": [one.loops for one in found.yarns],
        "floats": [one.floats for one in found.yarns],
        "catches": [one.catches for one in found.yarns],
        "carried up": [one.carried for one in found.yarns],
        "cast-on, bind-off": [one.edges for one in found.yarns],
        "ends": [one.tails for one in found.yarns],
    }
    used = {heading: metres for heading, metres in parts.items() if any(metres)}
    sides: dict[str, Side] = {"yarn": "left", **dict.fromkeys([*used, "in all"], "right")}
    page.table(
        Table(
            "Where it goes, in metres",
            sides,
            [
                [scene.yarns[one.yarn].name, *(_metres(metres[at]) for metres in used.values()), _metres(one.length)]
                for at, one in enumerate(found.yarns)
            ],
        )
    )
    for sentence in _sentences(scene, found, edges):
        page.say(sentence, wrap=True)


def _tell_by_size(page: Page, scene: Scene, every: Sequence[tuple[InSize, Amounts]], edges: bool) -> None:
    """Print what to buy for every size."""
    page.say(scene.title, bold=True, wrap=True)
    numbers = ("stitches", "metres", "grams", "balls")
    pieces = every[0][1].pieces
    spare = f"{100.0 * every[0][1].yarns[0].margin:g} % to spare included"
    page.table(
        Table(
            f"To buy, {spare}" + (f", for {pieces} pieces each" if pieces > 1 else ""),
            {"size": "left", "yarn": "left", **dict.fromkeys(numbers, "right"), "each of": "left"},
            [
                [
                    size.name if one is found.yarns[0] else "",
                    scene.yarns[one.yarn].name,
                    str(size.stitches) if one is found.yarns[0] else "",
                    _metres(one.wanted),
                    f"{one.wanted_mass / units.GRAM:.0f}",
                    str(one.balls),
                    f"{scene.yarns[one.yarn].ball_grams:g} g, {scene.yarns[one.yarn].ball_length:.0f} m",
                ]
                for size, found in every
                for one in found.yarns
            ],
        )
    )
    left_out = "Rib, crown and swatch are not in it" + (", nor are cast-on and bind-off." if not edges else ".")
    page.say(
        f"The rows of the scene in each size, by {LOOP_LENGTH:g} stitch widths of yarn to a stitch and floats as slack "
        f"as you say. {left_out} Weigh your swatch to check.",
        wrap=True,
    )


def _sentences(scene: Scene, found: Amounts, edges: bool) -> list[str]:
    """Return what the tables don't say."""
    name = {one.yarn: scene.yarns[one.yarn].name for one in found.yarns}
    said = []
    if found.over_plain is not None:
        unit = row_word(scene)
        said.append(f"A patterned {unit} takes {share_said(round(found.over_plain, 2))} more yarn than a plain one.")
    ends = ", ".join(f"{one.ends} of {name[one.yarn]}" for one in found.yarns)
    mass = sum(one.mass for one in found.yarns) / units.GRAM
    said.append(
        f"Ends to darn in: {ends}, {TAIL / units.CM:g} cm each. The finished knitting weighs about {mass:.0f} g."
    )
    left_out = "A swatch is not in it" + (", nor are cast-on and bind-off." if not edges else ".")
    said.append(
        f"An estimate: {LOOP_LENGTH:g} stitch widths of yarn to a stitch at your gauge, and floats as slack as you "
        f"say. {left_out} Weigh your swatch to check."
    )
    return said


def _metres(metres: float) -> str:
    return f"{metres:.1f}" if metres < 100.0 else f"{metres:,.0f}"


# ---- for programs and spreadsheets ---------------------------------------------------------------


def _keys(scene: Scene, found: Amounts, one: YarnAmount) -> dict[str, object]:
    """Return one yarn, units in the keys."""
    own = scene.yarns[one.yarn]
    return {
        "yarn": own.symbol,
        "name": own.name,
        "stitches": one.stitches,
        "stitch_share_percent": 100 * found.stitch_share(one),
        "yarn_share_percent": 100 * found.yarn_share(one),
        "loops_m": one.loops,
        "floats_m": one.floats,
        "catches_m": one.catches,
        "carried_up_m": one.carried,
        "edges_m": one.edges,
        "ends": one.ends,
        "ends_m": one.tails,
        "used_m": one.length,
        "used_g": one.mass / units.GRAM,
        "wanted_m": one.wanted,
        "wanted_g": one.wanted_mass / units.GRAM,
        "ball_g": own.ball_grams,
        "ball_m": own.ball_length,
        "balls": one.balls,
    }


def _for_programs(scene: Scene, found: Amounts, edges: bool, lines: list[dict[str, object]]) -> dict[str, object]:
    rows = scene.piece_rows()
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "yarn",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "worked": scene.worked,
        "stitches": len(rows[0]),
        "rows": len(rows),
        "repeats_across": scene.chart.across,
        "pieces": found.pieces,
        "margin_percent": 100 * found.yarns[0].margin,
        "cast_on_and_bind_off": edges,
        "patterned_rows_over_plain_percent": None if found.over_plain is None else 100 * found.over_plain,
        "mass_g_per_m2": found.areal_mass / units.GRAM,
        "yarns": lines,
    }
