"""What ``yarn`` says to a knitter."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim import units
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Alignment, Table
from fabricsim.cli.words.counts import count, listed, row_word
from fabricsim.cli.words.shares import share_said
from fabricsim.design.counted.yarn_amounts import TAIL, Amounts, YarnAmount
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.piece.swatch import swatch_amounts
from fabricsim.design.piece.thumb import thumb_of
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.yarn import Yarn
from fabricsim.lengths import far_per_unit, far_unit, far_unit_word, long


def tell(page: Page, piece: WholePiece, found: Amounts, edges: bool) -> None:
    """Print what to buy, what it is for, and what it rests on."""
    scene = piece.scene
    page.say(f"{scene.title}, {piece.size}" if piece.size else scene.title, bold=True, wrap=True)
    each = piece_words(piece)
    page.say(each if found.pieces == 1 else f"{found.pieces} pieces of {each} each", wrap=True)
    spare = f"{100.0 * found.yarns[0].margin:g} % to spare"
    numbers = ("of stitches", "of yarn", far_unit_word(), "grams", "balls")
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
                    _far(one.wanted),
                    f"{one.wanted_mass / units.GRAM:.0f}",
                    str(one.balls),
                    _ball(scene.yarns[one.yarn]),
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
        _edges_called(piece): [one.edges for one in found.yarns],
        "lining": [one.lining for one in found.yarns],
        "thumb": [one.thumb for one in found.yarns],
        "seam": [one.seam for one in found.yarns],
        "ends": [one.tails for one in found.yarns],
    }
    used = {heading: metres for heading, metres in parts.items() if any(metres)}
    sides: dict[str, Alignment] = {"yarn": "left", **dict.fromkeys([*used, "in all"], "right")}
    page.table(
        Table(
            f"Where it goes, in {far_unit_word()}",
            sides,
            [
                [scene.yarns[one.yarn].name, *(_far(metres[at]) for metres in used.values()), _far(one.length)]
                for at, one in enumerate(found.yarns)
            ],
        )
    )
    for sentence in _sentences(piece, found, edges):
        page.say(sentence, wrap=True)


def tell_by_size(page: Page, scene: Scene, every: Sequence[tuple[WholePiece, Amounts]], edges: bool) -> None:
    """Print what to buy for every size."""
    page.say(scene.title, bold=True, wrap=True)
    numbers = ("stitches", far_unit_word(), "grams", "balls")
    pieces = every[0][1].pieces
    spare = f"{100.0 * every[0][1].yarns[0].margin:g} % to spare included"
    page.table(
        Table(
            f"To buy, {spare}" + (f", for {pieces} pieces each" if pieces > 1 else ""),
            {"size": "left", "yarn": "left", **dict.fromkeys(numbers, "right"), "each of": "left"},
            [
                [
                    size.size if one is found.yarns[0] else "",
                    scene.yarns[one.yarn].name,
                    str(size.stitches) if one is found.yarns[0] else "",
                    _far(one.wanted),
                    f"{one.wanted_mass / units.GRAM:.0f}",
                    str(one.balls),
                    _ball(scene.yarns[one.yarn]),
                ]
                for size, found in every
                for one in found.yarns
            ],
        )
    )
    page.say(
        f"The whole piece in each size{'' if edges else ', but for cast-on and last edge'}: {_parts(every[-1][0])}. "
        f"By {_widths(scene):.2g} stitch widths of yarn to a stitch, and floats as slack as you say. Weigh your swatch "
        "to check.",
        wrap=True,
    )
    for sentence in _swatch(scene, every[-1][1], every):
        page.say(sentence, wrap=True)


def piece_words(piece: WholePiece) -> str:
    """Return how large a piece is, and of what parts: ``90 stitches x 68 rounds (rib 10, chart 39, crown 19)``."""
    unit = row_word(piece.scene)
    said = f"{count(piece.stitches, 'stitch')} x {count(len(list(piece.rows)), unit)}"
    parts = ", ".join(f"{one.kind} {len(one.rows)}" for one in piece.sections)
    said = f"{said} ({parts})" if piece.sections[1:] else said
    steek = piece.scene.steek
    return said if steek is None else f"{said}, {steek.stitches} of the stitches for the steek"


def _edges_called(piece: WholePiece) -> str:
    return "cast-on, last stitches" if piece.end == "draw together" else "cast-on, bind-off"


def _parts(piece: WholePiece) -> str:
    """Return what a piece consists of, in a list."""
    return listed(
        [
            "cast-on",
            *(one.kind for one in piece.sections),
            *(["lining"] if piece.makeup.lining else []),
            *(["thumb"] if thumb_of(piece) is not None else []),
            *(["seam"] if piece.makeup.seam else []),
            "ends",
        ]
    )


def _sentences(piece: WholePiece, found: Amounts, edges: bool) -> list[str]:
    """Return what the tables don't say."""
    scene = piece.scene
    name = {one.yarn: scene.yarns[one.yarn].name for one in found.yarns}
    said = []
    if found.over_plain is not None:
        unit = row_word(scene)
        said.append(f"A patterned {unit} takes {share_said(round(found.over_plain, 2))} more yarn than a plain one.")
    ends = ", ".join(f"{one.ends} of {name[one.yarn]}" for one in found.yarns)
    mass = sum(one.mass for one in found.yarns) / units.GRAM
    darn = "Ends to darn in" if scene.steek is None else "Ends, most of them in the steek, where they are cut off"
    said.append(f"{darn}: {ends}, {long(TAIL, 0)} each. The finished knitting weighs about {mass:.0f} g.")
    left = listed([f"{left_of_balls(scene, one):.0f} g of {name[one.yarn]}" for one in found.yarns])
    spare = listed([f"{(one.wanted_mass - one.mass) / units.GRAM:.0f} g" for one in found.yarns])
    said.append(
        f"Left of these balls when it is done: {left}. Of that, {spare} {'are' if found.yarns[1:] else 'is'} the "
        f"{100.0 * found.yarns[0].margin:g} % to spare, in case your hands take more."
    )
    left_out = "" if edges else " Cast-on and last edge are not in it."
    said += _swatch(scene, found, [(piece, found)])
    said.append(
        f"An estimate: {_widths(scene):.2g} stitch widths of yarn to a stitch at your gauge, and floats as slack as "
        f"you say.{left_out} Weigh your swatch to check."
    )
    return said


def _widths(scene: Scene) -> float:
    """Return the yarn in one stitch, in stitch widths."""
    return scene.gauge.loop_length / scene.gauge.stitch_width


def _swatch(scene: Scene, found: Amounts, every: Sequence[tuple[WholePiece, Amounts]]) -> list[str]:
    """Return what a swatch takes on top, and for which sizes that makes a ball more."""
    if scene.item in (None, "swatch"):
        return ["A swatch to try it first is not in it."]
    swatch, amounts = swatch_amounts(scene, 100.0 * found.yarns[0].margin)
    rows = swatch.knitted_rows()
    takes = listed([f"{one.wanted_mass / units.GRAM:.0f} g of {scene.yarns[one.yarn].name}" for one in amounts.yarns])
    said = (
        f"A swatch comes on top: {count(len(rows[0]), 'stitch')} x {count(len(rows), 'row')} take {takes}, the margin "
        f"included{' and a steek to try the cutting on' if scene.steek is not None else ''}."
    )
    more = [
        (piece, scene.yarns[one.yarn].name)
        for piece, of_piece in every
        for one in of_piece.yarns
        for extra in amounts.yarns
        if extra.yarn == one.yarn and left_of_balls(scene, one, wanted=True) * units.GRAM < extra.wanted_mass
    ]
    if not more:
        return [f"{said} The balls above hold it too."]
    if len(every) == 1:
        return [f"{said} Buy a ball more of {listed([name for _, name in more])} for it."]
    sizes: dict[str, list[str]] = {}
    for piece, name in more:
        sizes.setdefault(name, []).append(piece.size)
    who = "; ".join(f"of {name} for {listed(those)}" for name, those in sizes.items())
    return [f"{said} Buy a ball more for it {who}."]


def left_of_balls(scene: Scene, one: YarnAmount, *, wanted: bool = False) -> float:
    """Return what is left of the balls of one yarn once the piece is done, g; ``wanted``: with the margin gone too."""
    left = one.left_of_balls(scene.yarns[one.yarn].ball_grams * units.GRAM)
    return (left - (one.wanted_mass - one.mass if wanted else 0.0)) / units.GRAM


def _far(metres: float) -> str:
    far = metres / far_per_unit()
    return f"{far:.1f}" if far < 100.0 else f"{far:,.0f}"


def _ball(yarn: Yarn) -> str:
    """Return what a ball weighs and how long its yarn is."""
    return f"{yarn.ball_grams:g} g, {yarn.ball_length / far_per_unit():.0f} {far_unit()}"
