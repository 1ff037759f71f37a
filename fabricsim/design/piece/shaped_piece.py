"""A whole piece as shaped rows: what its pattern says, stitch by stitch, from cast-on to the last round."""

from __future__ import annotations

from fabricsim.design.catches.plan import Held
from fabricsim.design.counted.rounds import WorkedRow
from fabricsim.design.piece.model import PieceRow, PieceSection, Rib, WholePiece
from fabricsim.design.rows.shaped import ShapedRow, ShapedRows, knitted
from fabricsim.design.scene.made import Made
from fabricsim.design.sizes.crown import CrownRound
from fabricsim.design.sizes.spread import Spread
from fabricsim.errors import InputError


def shaped_rows(piece: WholePiece) -> ShapedRows:
    """Return every row of a ``piece`` with what is made in it.

    What is cut open later is no tube and no flat piece while it is worked: raises ``InputError`` for a steek. A thumb
    and a lining are knitted by themselves and are left out. Flat work lies as it leaves the needles, but for what is
    drawn together at its top, as a hat: its wedges lie flat in no way, so it is sewn up, edge to edge, and drawn up.
    """
    scene = piece.scene
    if scene.steek is not None:
        raise InputError(
            scene.where("steek"),
            "a steek",
            "none for the whole piece",
            "take the steek out, or look at the chart alone",
        )
    flat, drawn = piece.makeup.flat, piece.end == "draw together"
    word = "row" if flat else "round"
    rows = [_row(row, section, word) for section in piece.sections for row in section.rows]
    return ShapedRows(
        tuple(rows),
        tube=not flat or drawn,
        drawn=drawn,
        seamed=flat and drawn,
        where=str(scene.source or scene.title),
    )


def held_in_whole(piece: WholePiece) -> Held:
    """Return which yarns are caught behind which stitches, (row, column) of ``shaped_rows``."""
    held: dict[tuple[int, int], frozenset[int]] = {}
    for number, row in enumerate(piece.rows):
        if not isinstance(row.work, WorkedRow):
            continue
        at = 0
        for run in row.work.line.runs:
            for stitch, yarn in run.caught:
                worked = at + stitch - 1
                column = worked if row.wrong_side else row.after - 1 - worked
                held[number, column] = held.get((number, column), frozenset()) | {yarn}
            at += run.stitches
    return held


def _row(row: PieceRow, section: PieceSection, word: str) -> ShapedRow:
    part = "" if section.kind in ("chart", "plain", "crown") else f"{section.kind}, "
    name, work = f"{part}{word} {row.number}", row.work
    if isinstance(work, WorkedRow):
        stitches = [(run.made, run.yarn) for run in work.line.runs for _ in range(run.stitches)]
        made, yarns = zip(*(stitches if row.wrong_side else reversed(stitches)), strict=True)
        return ShapedRow(name, made, yarns)
    return knitted(name, _made(row), row.yarn, isinstance(work, Rib))


def _made(row: PieceRow) -> list[Made]:
    """Return what is made in a row of one yarn, in the order of the knitting as if all were worked from the right."""
    work = row.work
    if isinstance(work, Rib):
        before, after = work.beside
        knit: Made = "k"
        purl: Made = "p"
        over = [knit] * work.knits + [purl] * work.purls
        between = [over[at % len(over)] for at in range(row.after - before - after)]
        return [knit] * before + between + [knit] * after
    made: list[Made] = []
    if isinstance(work, Spread) and work.change is not None:
        for plain in work.plain:
            made += ["k"] * plain
            made.append(work.change)
        made += ["k"] * work.tail
    elif isinstance(work, CrownRound):
        made += ["k"] * (work.edges // 2)
        for _ in range(work.wedges):
            made += ["k"] * (work.before - 2)
            made.append("k2tog")
        made += ["k"] * (work.edges - work.edges // 2)
    else:
        made += ["k"] * row.after
    return made
