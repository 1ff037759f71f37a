"""Floats that lead from the round below into the chart, or out of it into the round above: over the join of rounds."""

from __future__ import annotations

from dataclasses import replace

from fabricsim.design.catches.plan import held_in_piece
from fabricsim.design.counted.yarn_amounts import beyond_loops
from fabricsim.design.floats.found import Float, find_floats
from fabricsim.design.piece.model import WholePiece


def leads_of(piece: WholePiece) -> tuple[Float, ...]:
    """Return the floats between the rounds of a piece's scene and the plain ones of its rib, crown or plain part.

    Rows are those of the scene; -1 is the one below. Worked flat there are none, for yarns are held at the edges, nor
    by a steek, which holds them too.
    """
    return tuple(one for one, _ in _found(piece))


def yarn_of_leads(piece: WholePiece) -> dict[int, float]:
    """Return the yarn in them beyond the loops at their ends, m, for each yarn."""
    made: dict[int, float] = {}
    for one, beyond in _found(piece):
        made[one.yarn] = made.get(one.yarn, 0.0) + beyond
    return made


def _found(piece: WholePiece) -> list[tuple[Float, float]]:
    scene, own = piece.scene, piece.scene.piece_rows()
    if scene.cut_open:
        return []
    at = next(number for number, one in enumerate(piece.sections) if one.kind == "chart")
    held, width, last = held_in_piece(scene), len(own[0]), len(own) - 1
    found = []
    for row, beside in ((-1, piece.sections[:at][-1:]), (last, piece.sections[at + 1 :][:1])):
        if not beside:
            continue
        plain = (beside[0].rows[-1 if row < 0 else 0].yarn,) * width
        pair = [plain, own[0]] if row < 0 else [own[last], plain]
        floats = find_floats(
            pair,
            closing="spiral",
            stitch_width=scene.gauge.stitch_width,
            slack_by_yarn=scene.slack_of_yarns,
            catches={(at_row - row, column): yarns for (at_row, column), yarns in held.items()},
            from_below=scene.strands_from_below,
        )
        found += [
            (replace(one, row=one.row + row), beyond_loops(one, pair, scene.gauge.stitch_width))
            for one in floats
            if one.kind == "round join"
        ]
    return found
