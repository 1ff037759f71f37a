"""Floats into the chart and out of it, in words."""

from __future__ import annotations

from collections.abc import Mapping

from fabricsim.cli.words.counts import count, listed, ordinal, row_word
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.found import Float
from fabricsim.design.piece.leads import leads_of
from fabricsim.design.piece.model import WholePiece
from fabricsim.lengths import long


def leads_counted(piece: WholePiece) -> list[str]:
    """Return which floats there are besides those of the scene's own rounds."""
    return [
        f"Besides, {piece.scene.yarns[one.yarn].name} floats {_way(piece, one)}, behind {_behind(one)}."
        for one in leads_of(piece)
        if one.gap
    ]


def leads_to_catch(piece: WholePiece, called: Mapping[int, str]) -> list[str]:
    """Return where to catch those that are over the limits."""
    scene, said = piece.scene, []
    most = scene.limits.most(scene.gauge.stitch_width)
    for fault in faults(leads_of(piece), scene.limits):
        one = fault.float
        parts = one.gap // (most + 1) + 1
        if most == 0 or one.caught_start or one.caught_end:
            continue
        places = listed([ordinal(round(part * (one.gap + 1) / parts)) for part in range(1, parts)])
        end = "first" if one.row < 0 else "last"
        said.append(
            f"{called[one.yarn]} also floats {_way(piece, one)}, behind {_behind(one)}, over your limit: catch it "
            f"there behind the {places} of the {end} {count(one.gap, 'stitch')} of {row_word(scene)} "
            f"{1 if one.row < 0 else one.row + 1}."
        )
    return said


def _way(piece: WholePiece, one: Float) -> str:
    unit = row_word(piece.scene)
    if one.row < 0:
        return f"from the {unit} below into {unit} 1"
    return f"from {unit} {len(piece.scene.piece_rows())} into the {unit} above it"


def _behind(one: Float) -> str:
    return f"{count(one.gap, 'stitch')}, {long(one.gap_width)}"
