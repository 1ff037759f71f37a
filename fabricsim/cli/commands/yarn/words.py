"""What ``yarn`` says to a knitter."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim import units
from fabricsim.cli.shell.by_size import InSize
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Alignment, Table
from fabricsim.cli.words.counts import count, listed, row_word
from fabricsim.cli.words.shares import share_said
from fabricsim.design.counted.yarn_amounts import TAIL, Amounts, YarnAmount
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.yarn import LOOP_LENGTH


def tell(page: Page, scene: Scene, found: Amounts, edges: bool) -> None:
    """Print what to buy, what it is for, and what it rests on."""
    rows = scene.piece_rows()
    page.say(scene.title, bold=True, wrap=True)
    each = f"{count(len(rows[0]), 'stitch')} x {count(len(rows), row_word(scene))}"
    page.say(each if found.pieces == 1 else f"{found.pieces} pieces of {each} each", wrap=True)
    spare = f"{100.0 * found.yarns[0].margin:g} % to spare"
    numbers = ("of stitches", "of yarn", "metres", "grams", "balls")
    buy: dict[str, Alignment] = {"yarn": "left", **dict.fromkeys(numbers, "right"), "each of": "left"}
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
    sides: dict[str, Alignment] = {"yarn": "left", **dict.fromkeys([*used, "in all"], "right")}
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


def tell_by_size(page: Page, scene: Scene, every: Sequence[tuple[InSize, Amounts]], edges: bool) -> None:
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
    left = listed([f"{left_of_balls(scene, one):.0f} g of {name[one.yarn]}" for one in found.yarns])
    spare = listed([f"{(one.wanted_mass - one.mass) / units.GRAM:.0f} g" for one in found.yarns])
    said.append(
        f"Left of these balls when it is done: {left}. Of that, {spare} {'are' if found.yarns[1:] else 'is'} the "
        f"{100.0 * found.yarns[0].margin:g} % to spare, in case your hands take more."
    )
    left_out = "A swatch is not in it" + (", nor are cast-on and bind-off." if not edges else ".")
    said.append(
        f"An estimate: {LOOP_LENGTH:g} stitch widths of yarn to a stitch at your gauge, and floats as slack as you "
        f"say. {left_out} Weigh your swatch to check."
    )
    return said


def left_of_balls(scene: Scene, one: YarnAmount) -> float:
    """Return what is left of the balls of one yarn once the piece is done, g."""
    return one.left_of_balls(scene.yarns[one.yarn].ball_grams * units.GRAM) / units.GRAM


def _metres(metres: float) -> str:
    return f"{metres:.1f}" if metres < 100.0 else f"{metres:,.0f}"
