"""What a piece takes of its yarns around the rows of its scene, and where they are carried up."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from fabricsim.design.counted.yarn_amounts import Around, most_of
from fabricsim.design.floats.carry_ups import CarryUp, find_carry_ups
from fabricsim.design.piece.leads import yarn_of_leads
from fabricsim.design.piece.lining import lining_of
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.piece.thumb import thumb_of


def around_of(piece: WholePiece) -> Around:
    """Return what is around the rows of a piece's scene, for ``yarn_amounts``: its rib, adjusting rounds, crown, edge
    stitches, cast-on, and what ends it."""
    made: Counter[int] = Counter()
    for row in piece.rows:
        made.update(row.made_y)
    for yarn_j in piece.scene.knitted_rows():
        made.subtract(yarn_j)
    lining, thumb = lining_of(piece), thumb_of(piece)
    return Around(
        made_y=made,
        cast_on=piece.cast_on,
        bind_off=(binds_off_with(piece), piece.last.after),
        drawn=piece.end == "draw together",
        seam=(piece.cast_on[0], piece.height() if piece.makeup.seam else 0.0),
        lining=(piece.cast_on[0], 0, 0) if lining is None else (lining.yarn, lining.stitches, lining.last),
        carried=carries_of(piece),
        leads=yarn_of_leads(piece),
        thumb=(0, 0) if thumb is None else (thumb.yarn, thumb.stitches),
    )


def carries_of(piece: WholePiece) -> tuple[CarryUp, ...]:
    """Return where yarns are carried up in the piece, past its own rows and from and to those below and above.

    Rows are those of the scene; what lies below is row -1 or less.
    """
    scene, own = piece.scene, piece.scene.knitted_rows()
    below, above = rows_around(piece)
    main = piece.section("rib").rows[0].yarn if below else piece.last.yarn
    plain = [(main,) * len(own[0])] * 2  # two, so that right-side rows stay right-side rows
    found = find_carry_ups(
        [*(plain if below else []), *own, *(plain if above else [])],
        row_height=scene.gauge.row_height,
        stitch_width=scene.gauge.stitch_width,
        in_the_round=scene.worked == "round",
        limits=scene.limits,
    )
    shift = 2 if below else 0
    return tuple(replace(one, from_row=one.from_row - shift, to_row=one.to_row - shift) for one in found)


def rows_around(piece: WholePiece) -> tuple[bool, bool]:
    """Return whether there are rows below and above those of the scene."""
    at = next(number for number, one in enumerate(piece.sections) if one.kind == "chart")
    return at > 0, at < len(piece.sections) - 1


def binds_off_with(piece: WholePiece) -> int:
    """Return the yarn that binds off: that of most stitches of the last row."""
    return most_of(piece.scene.knitted_rows()[-1]) if piece.sections[-1].kind == "chart" else piece.last.yarn
