"""A lining: plain knitting inside all of a piece but its rib, so that nothing gets behind the floats."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.design.piece.model import WholePiece


@dataclass(frozen=True)
class Lining:
    """``picked_up`` stitches above the rib, so many plain ``rows``, then the rounds of the crown, ``closing`` of them
    (0: none); ``last`` stitches are drawn together or sewn down; ``stitches`` in all."""

    yarn: int
    picked_up: int
    rows: int
    closing: int
    last: int
    stitches: int


def lining_of(piece: WholePiece) -> Lining | None:
    """Return the lining of a piece, as many rounds as it covers; None for one that has none."""
    if not piece.makeup.lining:
        return None
    plain = [*piece.section("chart").rows, *piece.section("plain").rows]
    crown = piece.section("crown").rows
    return Lining(
        yarn=piece.section("rib").rows[0].yarn if piece.section("rib").rows else piece.cast_on[0],
        picked_up=piece.stitches,
        rows=len(plain),
        closing=len(crown),
        last=crown[-1].after if crown else piece.stitches,
        stitches=piece.stitches * (1 + len(plain)) + sum(row.after for row in crown),
    )
