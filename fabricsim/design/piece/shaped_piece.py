"""A whole piece as shaped rows: what its pattern says, stitch by stitch, from cast-on to the last round."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import islice, takewhile

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
    sewn up, edge to edge: the stitches that go into its seam are left out.
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
    right, left = seam_of(piece)
    rows = [one.within(right, left) for one in _rows(piece, word)]
    return ShapedRows(
        tuple(rows),
        tube=not flat or piece.sewn_up,
        drawn=drawn,
        seamed=piece.sewn_up,
        where=str(scene.source or scene.title),
    )


def seam_of(piece: WholePiece) -> tuple[int, int]:
    """Return how many stitches at the right and at the left of a ``piece`` are taken up by the seam that it is seen
    with: those for it that are knit from cast-on to the end."""
    if not piece.sewn_up or not piece.makeup.sewn:
        return 0, 0
    rows = _rows(piece, "row")
    right = min(_straight(reversed(row.made), piece.edges[0]) for row in rows)
    return right, min(_straight(row.made, piece.edges[1]) for row in rows)


def _straight(made: Iterable[Made], most: int) -> int:
    """Return how many stitches, ``most`` at the most, are knit before the first in which anything else is made."""
    return len(list(takewhile(lambda one: one == "k", islice(made, most))))


def held_in_whole(piece: WholePiece) -> Held:
    """Return which yarns are caught behind which stitches, (row, column) of ``shaped_rows``."""
    left = seam_of(piece)[1]
    held: dict[tuple[int, int], frozenset[int]] = {}
    for number, row in enumerate(piece.rows):
        if not isinstance(row.work, WorkedRow):
            continue
        at = 0
        for run in row.work.line.runs:
            for stitch, yarn in run.caught:
                worked = at + stitch - 1
                column = (worked if row.wrong_side else row.after - 1 - worked) - left
                held[number, column] = held.get((number, column), frozenset()) | {yarn}
            at += run.stitches
    return held


def _rows(piece: WholePiece, word: str) -> list[ShapedRow]:
    return [_row(row, section, word) for section in piece.sections for row in section.rows]


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
