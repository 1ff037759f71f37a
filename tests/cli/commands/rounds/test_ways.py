"""Rib, and what stands above a section, word by word, from rows that are told and from counted pieces."""

from __future__ import annotations

import pytest

from fabricsim.cli.commands.rounds.ways import short_rows, way_of
from fabricsim.cli.commands.rounds.words import heading
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.model import PieceRow, PieceSection, Rib
from tests.cli.made_up import scene_of

CALLED = {0: "MC", 1: "CC"}


def row(rib: Rib, stitches: int, number: int = 1, *, wrong_side: bool = False) -> PieceRow:
    return PieceRow(number, wrong_side, stitches, stitches, 0, rib)


@pytest.mark.parametrize(
    ("rib", "stitches", "right", "wrong"),
    [
        (Rib(2, 1), 12, "*k2, p1; rep from * to end", "*p2, k1; rep from * to end"),
        (Rib(2, 1), 14, "*k2, p1; rep from * to last 2 sts, k2", "*p2, k1; rep from * to last 2 sts, p2"),
        (Rib(1, 1), 7, "*k1, p1; rep from * to last st, k1", "*p1, k1; rep from * to last st, p1"),
        (Rib(2, 2), 2, "k2", "p2"),
        (Rib(2, 1, (3, 4)), 9, "k9", "k9"),
        (
            Rib(2, 1, (3, 4)),
            30,
            "k3, *k2, p1; rep from * to last 6 sts, k6",
            "k3, *k2, p1; rep from * to last 6 sts, k6",
        ),
    ],
)
def test_a_row_of_rib(rib: Rib, stitches: int, right: str, wrong: str) -> None:
    """Those of a steek are knitted, on the face alone: it is worked in the round."""
    assert way_of(row(rib, stitches)) == right
    assert way_of(row(rib, stitches, wrong_side=True)) == wrong


def test_rib_worked_flat_tells_each_side_at_once() -> None:
    rows = tuple(row(Rib(2, 2), 10, number, wrong_side=number % 2 == 0) for number in range(1, 5))
    assert short_rows(PieceSection("rib above", rows), CALLED, "row") == [
        "Upper rib rows 1-4 (odd, RS): *k2, p2; rep from * to last 2 sts, k2, all MC. [10] sts each.",
        "Upper rib rows 1-4 (even, WS): *p2, k2; rep from * to last 2 sts, p2, all MC. [10] sts each.",
    ]


def test_what_stands_above_the_sections_of_a_hat() -> None:
    scene = scene_of(
        0.0, chart={"across": 8, "up": 2, "plain_above": 2}, item="hat", sizes={"rib_cm": 3.0, "plain_rounds": 5}
    )
    piece = piece_of(scene)
    assert [heading(piece, section, CALLED) for section in piece.sections] == [
        "Rib, 2 x 2: 6 rounds (3.0 cm), on needles a size or two smaller",
        "Chart: 3 rounds of the chart 2 times up, 2 plain above (4.0 cm), on the needles of your gauge",
        "Plain: 5 rounds (2.5 cm)",
        "Crown, all MC: 8 wedges of 12 stitches, 15 rounds (7.5 cm)",
    ]
