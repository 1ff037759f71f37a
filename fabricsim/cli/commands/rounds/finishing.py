"""How a piece begins and ends, in words: cast-on, what becomes of the last stitches, seam, ends, washing."""

from __future__ import annotations

from collections.abc import Mapping

from fabricsim.cli.words.counts import count, listed, row_word
from fabricsim.cli.words.measures import breadth, closed_as
from fabricsim.cli.words.steeks import steek_counted, steek_opened
from fabricsim.cli.words.thumbs import thumb_made
from fabricsim.design.counted.yarn_amounts import DRAW_TAIL, TAIL, yarn_amounts
from fabricsim.design.piece.lining import lining_of
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.piece.thumb import thumb_of
from fabricsim.design.piece.used import around_of, binds_off_with
from fabricsim.lengths import gauge_said, long
from fabricsim.units import GRAM


def needed(piece: WholePiece) -> list[str]:
    """Return the gauge and the yarn that it takes."""
    scene = piece.scene
    gauge = scene.gauge
    amounts = yarn_amounts(scene, around=around_of(piece))
    yarns = [
        f"{count(one.balls, 'ball')} of {scene.yarns[one.yarn].name}, {scene.yarns[one.yarn].ball_grams:g} g each "
        f"({one.mass / GRAM:.0f} g are used)"
        for one in amounts.yarns
    ]
    return [
        f"Gauge: {gauge_said(gauge.stitches, gauge.rows, row_word(scene))} of plain stockinette; take "
        "the needles that give you that.",
        f"Yarn: {listed(yarns)}; {100.0 * amounts.yarns[0].margin:g} % to spare are in them, a swatch is not.",
    ]


def cast_on(piece: WholePiece, called: Mapping[int, str], *, full: bool = False) -> str:
    """Return how to begin, after the head ``Cast on``."""
    yarn, stitches = piece.cast_on
    loosely = ", loosely" if piece.makeup.rib is None else ", loosely enough for the rib to stretch"
    many = count(stitches, "stitch") if full else f"{stitches} {_sts(stitches)}"
    said = f"{many} with {called[yarn]}{steek_counted(piece.scene)}{loosely}."
    if piece.scene.worked == "round":
        said += " Join in the round without a twist, and mark where the round begins."
    return f"{said} {_left(stitches, full)}"


def ending(piece: WholePiece, called: Mapping[int, str], *, full: bool = False) -> tuple[str, str]:
    """Return what becomes of the last stitches: what it is called, and what to do."""
    stitches = piece.last.after
    many = count(stitches, "stitch") if full else f"{stitches} {_sts(stitches)}"
    if piece.end == "draw together":
        yarn = called[piece.last.yarn]
        said = f"break {yarn}, leaving {long(DRAW_TAIL, 0)}; draw it twice through the last {many} and pull tight."
        return "Draw together", f"{said} {_left(0, full)}"
    way = ", in rib" if piece.sections[-1].kind == "rib above" else ""
    loosely = "loosely enough to stretch" if piece.scene.item not in (None, "swatch") else "loosely"
    return "Bind off", f"all {many} with {called[binds_off_with(piece)]}{way}, {loosely}. {_left(0, full)}"


def _left(stitches: int, full: bool) -> str:
    return f"{count(stitches, 'stitch')} in all." if full else f"[{stitches}] {_sts(stitches)}."


def _sts(stitches: int) -> str:
    return "st" if stitches == 1 else "sts"


def finishing(piece: WholePiece, called: Mapping[int, str]) -> list[str]:
    """Return what is left to do: the seam, the ends, washing (common practice)."""
    amounts = yarn_amounts(piece.scene, around=around_of(piece))
    ends = listed([f"{one.ends} of {called[one.yarn]}" for one in amounts.yarns])
    said = []
    if piece.makeup.seam:
        right, left = piece.edges
        deep = "a stitch" if right == left == 1 else f"the {count(right, 'stitch')} at the right and {left} at the left"
        said.append(
            f"Sew the edges together from the face with {called[piece.cast_on[0]]}, taking in {deep} at each edge: a "
            f"seam of {long(piece.height())}."
        )
    said += [*thumb_made(piece, called), *steek_opened(piece.scene), *_lined(piece, called)]
    darned = f"{long(TAIL, 0)} each, behind stitches of their own colour"
    if piece.scene.steek is not None:
        said.append(
            "Darn in the ends of cast-on and bind-off on the inside, and those of balls that ended outside the steek, "
            f"{darned}; the others were cut off with it."
        )
    else:
        said.append(f"Darn in the ends on the inside, {darned}: {ends}.")
    measure = f"{long(piece.finished)} {breadth(piece)}"
    if closed_as(piece) == "hat":
        shape = "over a bowl or a ball as large as the head"
    elif piece.is_tube:
        shape = "flat, its sides smoothed and not stretched"
    else:
        shape = "flat and straight, and pin it out without stretching it"
    said.append(
        f"Wash it as the ball band says, press the water out in a towel and let it dry {shape}: it should come to "
        f"{measure}."
    )
    return said


def _lined(piece: WholePiece, called: Mapping[int, str]) -> list[str]:
    """Return how the lining is made (common practice)."""
    lining, unit = lining_of(piece), row_word(piece.scene)
    if lining is None:
        return []
    above = "rib" if piece.section("rib").rows else "cast-on"
    said = (
        f"Line it, so that nothing gets behind the floats: from the inside pick up {count(lining.picked_up, 'stitch')} "
        f"with {called[lining.yarn]} just above the {above}, and work {count(lining.rows, f'plain {unit}')}"
    )
    if lining.closing:
        first, last = piece.last.number - lining.closing + 1, piece.last.number
        said += (
            f", then {unit}s {first}-{last} of the crown again, and draw the last {count(lining.last, 'stitch')} "
            "together. Push it in and tack it to the crown"
        )
    else:
        said += f", then sew its {count(lining.last, 'stitch')} down loosely on the inside, one by one"
    if thumb_of(piece) is not None:
        said += ". Hold the place of the thumb in it too, and knit that a thumb of its own, whose yarn is not counted"
    return [f"{said}. The lining is in the yarn, and its thickness in the width of every size."]
